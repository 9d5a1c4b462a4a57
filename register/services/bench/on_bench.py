"""What the bench asks and does: the item of a scanned tag with all that its test needs, and the record kept."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, time
from decimal import Decimal
from enum import StrEnum
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.asked import duties_of
from register.domain.explain import why
from register.domain.places import times_words
from register.domain.records import ReadingPlan, TestRecord
from register.domain.rulebook import Rulebook
from register.domain.schedule import Done
from register.domain.text import clean_tag
from register.domain.wear import strokes
from register.domain.words import Bound, Check, Duty, Kind, Result, SetUp, Standing
from register.errors import Refused
from register.services.bench.worksheet import INSULATION_V, Worksheet
from register.services.cases import Case, case
from register.services.corrections import Corrected, correct_record
from register.services.items import find_item
from register.services.places import plan_of
from register.services.plate import change_plate
from register.services.projection import REMOVED
from register.services.questions import soon_days, standing_of
from register.services.recording import Recorded, RecordEntry, record_tests
from register.services.withdrawals.needed import Withdrawn, withdrawn_now
from register.store.amended import stands
from register.store.engine import Change
from register.store.tables import Area, Instrument, Item, Reading, Record, Site, Tag, Tester
from register.store.types import new_key

WRONG_AT_THE_LOOK: Final = "Wrong at the look: "
"""So begins what a record says of a look at which something was wrong; the titles follow, and a full stop."""


AT_250_V: Final = "Insulation was measured at 250 V d.c."
"""What a record says where it was; else it was measured at 500 V."""


class Outcome(StrEnum):
    """What became of a scan."""

    FOUND = "found"
    DONE_TODAY = "done-today"
    ELSEWHERE = "elsewhere"
    UNKNOWN = "unknown"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class LastPass:
    """The newest pass of an item. `slowest` is its slowest trip in words, empty where nothing tripped."""

    tested_on: date
    slowest: str


@dataclass(frozen=True, slots=True)
class Wrong:
    """A record that is to be corrected: what it said, and the worksheet from which the right one starts."""

    record_id: str
    verdict: Result
    tested_on: date
    tested_at: time | None
    tester: str
    instrument: str
    remarks: str
    sheet: Worksheet


@dataclass(frozen=True, slots=True)
class BenchItem:
    """One item as it lies on the bench. `record_id` is the id of the record about to be made of it.

    `corrects` is the record in whose place that one goes; None where it is another test.
    """

    id: str
    tag: str
    description: str
    site_id: str
    site: str
    site_name: str
    area_id: str
    area: str
    environment: str
    strokes: int
    standing: Standing
    withdrawn: Withdrawn | None
    known: Case
    rulebook: Rulebook
    plan: ReadingPlan
    last_pass: LastPass | None
    record_id: str
    corrects: Wrong | None = None

    @property
    def duties(self) -> tuple[Duty, ...]:
        """The contractor's duties that can be done on it here."""
        return duties_of(self.known.item, self.rulebook)

    def worksheet(self) -> Worksheet:
        """Return an empty worksheet: of every duty that is asked of the item where it is, or of all.

        Of a correction, return the one that the wrong record makes.
        """
        if self.corrects is not None:
            return self.corrects.sheet
        asked = {due.duty for due in self.known.duties() if not due.terms.relieved}
        duties = tuple(duty for duty in self.duties if duty in asked) or self.duties
        set_up = None
        if self.known.item.has_switch:
            fixed = self.known.item.kind is Kind.FIXED_SAFETY_SWITCH
            set_up = SetUp.DEVICE_FEEDS_TESTER if fixed else SetUp.TESTER_FEEDS_DEVICE
        return Worksheet(self.known.item, self.rulebook, self.plan, duties, set_up=set_up)


@dataclass(frozen=True, slots=True)
class Scan:
    """A tag that was scanned or typed, cleaned, and what became of it. `said` is a sentence unless it was just found.

    `item` is set where it is one of the register that can be tested, `record_id` where it was tested today already.
    """

    code: str
    outcome: Outcome
    said: str = ""
    item: BenchItem | None = None
    record_id: str = ""


def scan(connection: Connection, typed: str, today: date, at_site: str = "") -> Scan:
    """Look up a tag that any item has or had. `at_site` is the id of the site where one works, empty for anywhere."""
    try:
        code = clean_tag(typed)
    except Refused as reason:
        return Scan(typed, Outcome.REFUSED, str(reason))
    held = sa.select(Item.state, Item.tag_number).join(Tag, Tag.item_id == Item.id).where(Tag.number == code)
    holders = connection.execute(held).all()
    if not holders:
        return Scan(code, Outcome.UNKNOWN, f"No item has or had the tag {code}.")
    try:
        item_id = find_item(connection, code)
    except Refused:
        said = f"The tag {code} is on items of several owners. Choose the right one on the Register page and test it."
        return Scan(code, Outcome.REFUSED, said)
    if connection.execute(sa.select(Item.state).where(Item.id == item_id)).scalar_one() == REMOVED:
        said = f"{code} was removed for good, so no test can be recorded on it. Check the tag."
        return Scan(code, Outcome.REFUSED, said)
    return _found(connection, code, on_bench(connection, item_id, today), today, at_site)


def _found(connection: Connection, code: str, item: BenchItem, today: date, at_site: str) -> Scan:
    """Say of an item that was found whether it was tested today already, or belongs to another site."""
    if at_site and item.site_id != at_site:
        said = f"{item.tag} belongs to {item.site_name}, {item.area}, not to the site where you work."
        return Scan(code, Outcome.ELSEWHERE, said, item)
    done = sa.select(Record.id, Record.verdict).where(
        Record.item_id == item.id, Record.tested_on == today, stands(Record.id)
    )
    newest = connection.execute(done.order_by(Record.recorded_at.desc(), Record.id.desc()).limit(1)).first()
    if newest is not None:
        said = f"{item.tag} was done today already: {newest.verdict}. Test it again only if that is what you mean."
        return Scan(code, Outcome.DONE_TODAY, said, item, newest.id)
    return Scan(code, Outcome.FOUND, item=item)


def on_bench(connection: Connection, item_id: str, today: date) -> BenchItem:
    """Return an item with all that its test needs."""
    row = connection.execute(
        sa.select(
            Item.__table__, Site.code, Site.name.label("site_name"), Site.reading_plan, Area.name.label("area_name")
        )
        .join(Site, Site.id == Item.site_id)
        .join(Area, Area.id == Item.area_id)
        .where(Item.id == item_id)
    ).first()
    if row is None:
        raise Refused("That item is in the register no more: entering it was undone. Scan its tag to enter it anew.")
    known = case(connection, item_id)
    rules = known.rulebooks[known.stays[-1].exposure.rulebook]
    return BenchItem(
        id=item_id, tag=row.tag_number, description=row.description, site_id=row.site_id, site=row.code,
        site_name=row.site_name, area_id=row.area_id, area=row.area_name,
        environment=rules.environments[known.environment].title, strokes=strokes(rules, known.environment),
        standing=standing_of(row, today, soon_days(connection)),
        withdrawn=withdrawn_now(connection, [known]).get(item_id), known=known, rulebook=rules,
        plan=plan_of(row.reading_plan), last_pass=_last_pass(connection, item_id), record_id=new_key(),
    )  # fmt: skip


def _last_pass(connection: Connection, item_id: str) -> LastPass | None:
    newest = connection.execute(
        sa.select(Record.id, Record.tested_on)
        .where(Record.item_id == item_id, Record.verdict == Result.PASS.value, stands(Record.id))
        .order_by(Record.tested_on.desc(), Record.id.desc())
        .limit(1)
    ).first()
    if newest is None:
        return None
    trips = connection.execute(
        sa.select(Reading.value, Reading.multiple).where(
            Reading.record_id == newest.id, Reading.quantity == Check.TRIP_TIME.value, Reading.value != "",
            Reading.bound == Bound.EXACT.value,
        )
    ).all()  # fmt: skip
    return LastPass(newest.tested_on, _slowest(trips))


def _slowest(trips: Sequence[Row[*tuple[Any, ...]]]) -> str:
    if not trips:
        return ""
    slowest = max(trips, key=lambda row: Decimal(row.value))
    return f"{slowest.value} ms at {times_words(Decimal(slowest.multiple))}"


@dataclass(frozen=True, slots=True)
class NextDue:
    """The date an item gets if its test passes, and the sentences that say why."""

    due: date
    why: tuple[str, ...]


def next_due_if_passed(item: BenchItem, sheet: Worksheet, today: date) -> NextDue | None:
    """Return the earliest contractor's date that the item would get today; None where no date is asked of it."""
    done = {**item.known.done, **{duty: Done(today) for duty in sheet.duties}}
    dated = [
        duty
        for duty in item.known._replace(item=sheet.item, done=done).duties()
        if duty.contractors and not duty.terms.relieved and duty.due is not None
    ]
    if not dated:
        return None
    first = min(dated, key=lambda duty: duty.due or date.max)
    assert first.due is not None
    return NextDue(first.due, why(sheet.item, first, item.known.rulebooks))


@dataclass(frozen=True, slots=True)
class Finished:
    """A test ready to be kept: the item as it was put on the bench, its worksheet, the record, and who measured."""

    item: BenchItem
    sheet: Worksheet
    record: TestRecord
    tester: str
    instrument: str


def save_record(change: Change, done: Finished) -> Recorded:
    """Keep a test, and what its rating plate was found to say; all or nothing.

    Its time is the moment of the change, unknown on an earlier day. The same worksheet twice changes nothing.
    """
    (recorded,) = record_tests(change, [_entry(change, done)])
    return recorded


def save_correction(change: Change, done: Finished, reason: str) -> Corrected:
    """Keep a test in the place of the record that it corrects, which stays to be seen with the reason; all or nothing.

    It keeps the time of that record where it is of the same day. Refused like `correct_record`.
    """
    assert done.item.corrects is not None
    return correct_record(change, done.item.corrects.record_id, _entry(change, done), reason)


def _entry(change: Change, done: Finished) -> RecordEntry:
    """Note what the rating plate was found to say, and return the test as it is taken in."""
    if done.sheet.item != done.item.known.item:
        change_plate(change, done.item.id, done.sheet.item)
    return RecordEntry(
        id=done.item.record_id, tag=done.item.tag, record=replace(done.record, tested_at=_time(change, done)),
        site=done.item.site, tester=done.tester, instrument=done.instrument, remarks=" ".join(_remarks(done)),
    )  # fmt: skip


def _remarks(done: Finished) -> Iterator[str]:
    """Yield what the record says in words: what was wrong at the look, a voltage that is not the usual, the rest."""
    seen, sheet, corrects = done.sheet.wrong_in_look, done.sheet, done.item.corrects
    if seen:
        yield f"{WRONG_AT_THE_LOOK}{', '.join(seen)}."
    if sheet.insulation_measured and sheet.insulation_v != INSULATION_V[0]:
        yield AT_250_V
    if corrects is not None and corrects.remarks:
        yield corrects.remarks


def _time(change: Change, done: Finished) -> time | None:
    corrects, on = done.item.corrects, done.record.tested_on
    if corrects is not None and corrects.tested_on == on:
        return corrects.tested_at
    return change.at.astimezone().time().replace(microsecond=0) if on == change.today else None


@dataclass(frozen=True, slots=True)
class Who:
    """A tester or an instrument to choose from, with the day its licence or calibration ends."""

    name: str
    about: str
    until: date | None


@dataclass(frozen=True, slots=True)
class Crew:
    """Who may have measured, and with what."""

    testers: tuple[Who, ...]
    instruments: tuple[Who, ...]


def crew(connection: Connection) -> Crew:
    """Return the testers by name and the instruments by serial number."""
    testers = connection.execute(sa.select(Tester.name, Tester.licence, Tester.expires_on).order_by(Tester.name))
    instruments = connection.execute(
        sa.select(Instrument.serial, Instrument.description, Instrument.calibrated_until).order_by(Instrument.serial)
    )
    return Crew(tuple(Who(*row) for row in testers), tuple(Who(*row) for row in instruments))
