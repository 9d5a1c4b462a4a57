"""Taking in what a spreadsheet says: compared with the register first, then kept in one transaction, or not at all.

The same file twice changes nothing: items are known by their tag at their owner's, tests by what was measured.
"""

from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache, partial
from typing import Final, TypeVar

import sqlalchemy as sa

from register.domain.text import clean_text
from register.errors import Refused
from register.services.intake.items import take_items
from register.services.intake.marks import without_marked
from register.services.intake.records import take_records
from register.services.intake.rows import Became, IntakeItem, IntakeRecord, RowPlace, RowProblem, SheetRows
from register.services.places import NewSite, add_site, site_id
from register.services.projection import redate
from register.services.replay import replay
from register.services.rulebooks import rulebook
from register.services.withdrawals.deeds import found_out
from register.store import audit
from register.store.audit import Name
from register.store.bulk import without_indexes
from register.store.engine import Change
from register.store.tables import Duty, Intake, Item, Record

_AnyRow = TypeVar("_AnyRow", IntakeItem, IntakeRecord)

DEFAULT_RULEBOOK: Final = "au-in-service"


@dataclass(frozen=True, slots=True)
class IntakeChoices:
    """What the rows may leave open: the site they are of, and how to enter it where it is new."""

    site: str = ""
    site_name: str = ""
    owner: str = ""
    rulebook: str = ""
    environment: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """What taking in a file did, or would do: counts, and every row that was not taken or is to be known.

    `items` and `records` say what became of the item and of the newest test of each row that was taken.
    """

    new_items: int = 0
    changed_items: int = 0
    same_items: int = 0
    new_records: int = 0
    same_records: int = 0
    as_found: int = 0
    problems: tuple[RowProblem, ...] = ()
    items: Mapping[RowPlace, Became] = field(default_factory=dict)
    records: Mapping[RowPlace, Became] = field(default_factory=dict)

    @property
    def refused(self) -> int:
        """How many rows or tests were not taken."""
        return sum(problem.refused for problem in self.problems)

    def why(self, problem: RowProblem) -> str:
        """Return why something of a row was not taken, and that the rest was where that is so."""
        return (
            f"The item comes in without this test. {problem.reason}" if self.is_test_alone(problem) else problem.reason
        )

    def is_test_alone(self, problem: RowProblem) -> bool:
        """Whether a test of a row was not taken, but its item was."""
        return problem.refused and problem.place in self.items

    @property
    def tests_alone(self) -> int:
        """How many of those not taken are tests whose items were."""
        return sum(map(self.is_test_alone, self.problems))


def take_in(change: Change, rows: SheetRows, choices: IntakeChoices, *, file_name: str, sha256: str) -> Taken:
    """Take in the rows of one file; raises `Refused` with nothing kept where the file as a whole can't be taken."""
    with _quickly(change, rows):
        taken = _take_in(change, rows, choices)
    if taken.new_items or taken.changed_items or taken.new_records:
        _note(change, taken, file_name, sha256)
    return taken


def _quickly(change: Change, rows: SheetRows) -> AbstractContextManager[None]:
    """Make the indexes of lists anew at the end, where what comes in is more than a fifth of what is there."""
    connection = change.session.connection()
    present = connection.execute(sa.select(sa.func.count()).select_from(Item)).scalar_one()
    if len(rows.items) < MANY or 5 * len(rows.items) < present:
        return nullcontext()
    return without_indexes(connection, *_LISTED_BY)


MANY: Final = 1_000
_LISTED_BY: Final = (Item.next_due, Item.kind, Item.description, Item.tag_number, Duty.due, Record.tested_on)


def _take_in(change: Change, rows: SheetRows, choices: IntakeChoices) -> Taken:
    problems = list(rows.problems)
    unmarked = without_marked(change.session.connection(), rows)
    rows = unmarked.rows
    code_of = cache(partial(_code, choices=choices))
    items = [_at_site(item, code_of(item.site)) for item in rows.items]
    records = [_at_site(record, code_of(record.site)) for record in rows.records]
    sites = _sites(change, items, records, choices)
    entered = take_items(change, items, sites, _first_seen(records), problems)
    kept = take_records(change, records, problems)
    tested = [each.item_id for each in kept.judged]
    redate(change, sorted({*entered.touched, *tested}))  # in the order of their keys, as they lie in the register
    replay(change, tested)
    found_out(change, entered.out_of_service)
    return Taken(
        new_items=entered.new, changed_items=entered.changed, same_items=entered.same + len(unmarked.items),
        new_records=len(kept.judged), same_records=kept.same + len(unmarked.records),
        as_found=sum(each.as_found for each in kept.judged), problems=tuple(problems),
        items=unmarked.items | entered.became, records=unmarked.records | kept.became,
    )  # fmt: skip


def _note(change: Change, taken: Taken, file_name: str, sha256: str) -> None:
    counts = {
        "new_items": taken.new_items, "changed_items": taken.changed_items, "new_records": taken.new_records,
        "refused": taken.refused,
    }  # fmt: skip
    row = Intake(file_name=file_name, sha256=sha256, taken_at=change.at, counts=counts)
    change.session.add(row)
    change.session.flush()
    audit.log(change, Name.INTAKE, row.id, file=file_name, sha256=sha256, counts=counts)


def _at_site(row: _AnyRow, code: str) -> _AnyRow:
    """Return a row with its site's code written out."""
    return row if row.site == code else replace(row, site=code)


def _code(site: str, choices: IntakeChoices) -> str:
    return clean_text(site or choices.site).upper()


def _first_seen(records: Sequence[IntakeRecord]) -> dict[tuple[str, str], date]:
    """Return the first day on which the rows show each item, by its site's code and its tag."""
    first: dict[tuple[str, str], date] = {}
    for record in records:
        key, day = (record.site, clean_text(record.tag).upper()), record.record.tested_on
        first[key] = min(first.get(key, day), day)
    return first


def _sites(
    change: Change, items: Sequence[IntakeItem], records: Sequence[IntakeRecord], choices: IntakeChoices
) -> dict[str, str]:
    """Return the sites that the rows name by their codes, entering new ones."""
    named: dict[str, IntakeItem | None] = {}
    for item in items:
        named.setdefault(item.site, item)
    for record in records:
        named.setdefault(record.site, None)
    if "" in named:
        raise Refused("The file does not say which site it is of. Name the site, or its column in the mapping.")
    return {code: _site(change, code, item, choices) for code, item in named.items()}


def _site(change: Change, code: str, item: IntakeItem | None, choices: IntakeChoices) -> str:
    found = site_id(change.session.connection(), code)
    if found is not None:
        return found
    rules = choices.rulebook or DEFAULT_RULEBOOK
    if not choices.environment:
        classes = ", ".join(rulebook(rules).environments)
        raise Refused(
            f"The site {code} is new. Name the class its places have by the rulebook {rules}, one of: {classes}."
        )
    name = (item.site_name if item else "") or choices.site_name or code
    owner = (item.owner if item else "") or choices.owner or name
    return add_site(change, NewSite(code, name, owner, rules, choices.environment))
