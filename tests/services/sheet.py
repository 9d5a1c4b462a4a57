"""Short ways to write what a spreadsheet says, and to take it in."""

from datetime import date, time, timedelta

import sqlalchemy as sa

from register.domain.records import TestRecord
from register.domain.words import Kind, Result
from register.services.intake.rows import IntakeItem, IntakeRecord, RowPlace, SheetRows
from register.services.intake.taking_in import IntakeChoices, Taken, take_in
from register.store.tables import Record
from tests.desk import INSPECTION, Desk
from tests.registers import TODAY

DAY = timedelta(days=1)
LEAD, SWITCH = Kind.EXTENSION_LEAD, Kind.PORTABLE_SAFETY_SWITCH
YARD = IntakeChoices(site="yard", environment="workshop")


def item(tag: str, kind: Kind | None = LEAD, row: int = 2, **rest: object) -> IntakeItem:
    return IntakeItem(RowPlace("Register", row), tag, rest.pop("site", ""), kind=kind, **rest)


def sheet_test(
    tag: str,
    on: date = TODAY,
    found: Result | None = None,
    *,
    readings: tuple = (),
    look: Result | None = Result.PASS,
    duties: tuple = (INSPECTION,),
    at: time | None = None,
    row: int = 2,
    **rest: str,
) -> IntakeRecord:
    record = TestRecord(duties, tuple(readings), look, on, at)
    return IntakeRecord(RowPlace("Register", row), tag, rest.pop("site", ""), record, found, **rest)


def take(
    desk: Desk, items: tuple = (), records: tuple = (), choices: IntakeChoices = YARD, problems: tuple = ()
) -> Taken:
    rows = SheetRows(tuple(items), tuple(records), tuple(problems), len(items))
    with desk.change() as change:
        return take_in(change, rows, choices, file_name="yard.xlsx", sha256="ab" * 32)


def counts(taken: Taken) -> tuple[int, ...]:
    """Return how many items were new, changed, as they were; tests new, known, as found; and left out."""
    return (
        taken.new_items, taken.changed_items, taken.same_items, taken.new_records, taken.same_records, taken.as_found,
        taken.refused,
    )  # fmt: skip


def kept_record(desk: Desk) -> sa.Row:
    with desk.read() as connection:
        return connection.execute(sa.select(Record.__table__)).one()
