"""What an owner's report says, row by row, in the register's words: the hand-over from the register to the workbook.

Rows stand in the order in which they are shown. Empty text and None mean that the register knows nothing of it.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Generic, TypeVar

from register.domain.items import SafetySwitch
from register.domain.records import Finding
from register.domain.rulebook import Confidence
from register.domain.words import Duty, Kind, Result, SetUp, Standing, WithdrawalReason

Row_co = TypeVar("Row_co", covariant=True)


@dataclass(frozen=True, slots=True)
class Streamed(Generic[Row_co]):
    """Rows that are read from the register anew, some at a time, whenever they are gone through.

    They can be gone through as long as the connection is open that the report was made on.
    """

    read: Callable[[], Iterator[Row_co]]

    def __iter__(self) -> Iterator[Row_co]:
        return self.read()


@dataclass(frozen=True, slots=True)
class SiteHead:
    """The site that a report is about. `environment` is the title of its own class, `rulebook` title and version."""

    code: str
    name: str
    address: str = ""
    environment: str = ""
    rulebook: str = ""


@dataclass(frozen=True, slots=True)
class Period:
    """The days from `first` to `last`, both counted in."""

    first: date
    last: date


@dataclass(frozen=True, slots=True)
class ReportedItem:
    """What every row says of its item: its present tag, what it is and where, and where it stands on the day.

    `site` is the name of its site in a report on several, else empty.
    """

    tag: str
    kind: Kind
    description: str
    area: str
    standing: Standing
    id: str = ""
    site: str = ""


@dataclass(frozen=True, slots=True)
class DutyDate:
    """One of the contractor's duties and the day it falls due; None where it has no date."""

    duty: Duty
    due: date | None


@dataclass(frozen=True, slots=True)
class RegisterRow:
    """One item with all that the owner may ask of it.

    `duties` are the contractor's. `remarks` are whole sentences; they say why there is no date where there is none.
    """

    item: ReportedItem
    environment: str
    next_due: date | None
    duties: tuple[DutyDate, ...] = ()
    serial: str = ""
    earlier_tags: tuple[str, ...] = ()
    outlets: int = 0
    safety_switch: SafetySwitch | None = None
    rated_current_a: Decimal | None = None
    remarks: str = ""
    not_found_on: date | None = None


@dataclass(frozen=True, slots=True)
class DueRow:
    """One of the contractor's duties that is overdue, due within the days looked ahead, or never done.

    `standing` is the duty's own; the item's is shown instead where the item is withdrawn. `interval` is as written in
    files: `P6M`, `each-use`. `why` are the sentences that explain the date; those about the rule begin with the one
    that names its `source`.
    """

    item: ReportedItem
    standing: Standing
    duty: Duty
    last_done: date | None
    interval: str
    due: date | None
    why: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class WithdrawnRow:
    """One item out of service. `failing` are the findings that failed it, `ends` says what brings it back."""

    item: ReportedItem
    since: date
    reason: WithdrawalReason
    why: str
    failing: tuple[Finding, ...] = ()
    tag_number: str = ""
    waiting_for: str = ""
    ends: str = ""


@dataclass(frozen=True, slots=True)
class OwnDutyRow:
    """One of the user's own duties: a button to press, a look before use. `every` is in words: "each day"."""

    item: ReportedItem
    duty: Duty
    every: str
    last_done: date | None
    due: date | None
    source: str


@dataclass(frozen=True, slots=True)
class RecordRow:
    """One test record with its verdict.

    `findings` hold one for each reading and look; `why` is the sentence that names what decided. `as_found` is True
    where only the verdict came down to us, without readings. `superseded` says by what and why, if so; `id` is the
    record's in the register.
    """

    item: ReportedItem
    tested_on: date
    tester: str
    instrument: str
    duties: tuple[Duty, ...]
    verdict: Result
    why: str
    findings: tuple[Finding, ...] = ()
    set_up: SetUp | None = None
    as_found: bool = False
    superseded: str = ""
    remarks: str = ""
    id: str = ""


@dataclass(frozen=True, slots=True)
class RuleUsed:
    """One edition from which intervals or limits of this report come. `used_for` names them in a few words."""

    edition: str
    used_for: str
    confidence: Confidence
    in_force: bool = True


@dataclass(frozen=True, slots=True)
class AskedRow:
    """One query of the owner about an item, and what was answered; `answered_on` is None while it is open."""

    item: ReportedItem
    text: str
    asked_by: str
    asked_on: date
    answered_on: date | None = None
    answer: str = ""


@dataclass(frozen=True, slots=True)
class BookSent:
    """An owner workbook that was handed over: on which day, and where the register's history stood then."""

    on: date
    events: int
    chain_head: str


@dataclass(frozen=True, slots=True)
class WeekAhead:
    """How many of the contractor's duties fall due in the week that begins on a Monday."""

    monday: date
    duties: int


@dataclass(frozen=True, slots=True)
class MonthTested:
    """How many tests passed in a month, failed, and were left incomplete; `first` is the month's first day."""

    first: date
    passed: int
    failed: int
    incomplete: int


@dataclass(frozen=True, slots=True)
class Figures:
    """What is counted for the charts: items by where they stand, duties by week ahead, tests by month."""

    standings: Mapping[Standing, int] = field(default_factory=dict)
    weeks: tuple[WeekAhead, ...] = ()
    months: tuple[MonthTested, ...] = ()


@dataclass(frozen=True, slots=True)
class OwnerReport:
    """Everything that one owner is told of one site, or of all of his, as at one day.

    `items` are all of the site's, `duties` the contractor's that any of them has, `due` those up to `looks_ahead_to`,
    `records` those from `records_since` to `records_until` (None: no bound) without their findings, `measured` the same
    with them, `failed` those of them that failed and stand. `sites` are the codes of the sites. `events`
    and `chain_head` (hex) are those of the register when the report was made, `last_sent` those of the book before.
    Rows may be `Streamed`.
    """

    firm: str
    owner: str
    site: SiteHead
    as_at: date
    looks_ahead_to: date
    events: int
    chain_head: str
    items: Iterable[RegisterRow] = ()
    duties: tuple[Duty, ...] = ()
    due: Iterable[DueRow] = ()
    withdrawn: Iterable[WithdrawnRow] = ()
    own_duties: Iterable[OwnDutyRow] = ()
    records: Iterable[RecordRow] = ()
    measured: Iterable[RecordRow] = ()
    failed: Iterable[RecordRow] = ()
    queries: tuple[AskedRow, ...] = ()
    rules: tuple[RuleUsed, ...] = ()
    cautions: tuple[str, ...] = ()
    figures: Figures = Figures()
    firm_contact: str = ""
    records_since: date | None = None
    records_until: date | None = None
    sites: tuple[str, ...] = ()
    owner_id: str = ""
    last_sent: BookSent | None = None
