"""The schedule as it is kept for lists: one row for each duty, and the earliest date on the item."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.schedule import DutyDue
from register.domain.words import Condition, WithdrawalReason
from register.services.cases import Case, cases
from register.store.bulk import chunks, insert_rows, update_rows
from register.store.engine import Change
from register.store.tables import Duty, Item, Withdrawal

IN_SERVICE: Final = "in-service"
WITHDRAWN: Final = "withdrawn"
REMOVED: Final = "removed"

DUTY_COLUMNS: Final = (
    "item_id", "duty", "site_id", "contractors", "planned", "interval", "last_done", "due", "first_needed",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Projected:
    """What the register keeps of one item's schedule."""

    item_id: str
    environment: str
    next_due: date | None
    untested: bool
    duties: tuple[tuple[Any, ...], ...]


def redate(change: Change, item_ids: Collection[str] | None = None) -> int:
    """Write the schedule of the items named, or of all, anew from records and rules; return how many items."""
    change.session.flush()
    connection = change.session.connection()
    made = list(projected(connection, item_ids))
    if item_ids is None:
        connection.execute(sa.delete(Duty))
    else:
        for some in chunks(item_ids, 500):
            connection.execute(sa.delete(Duty).where(Duty.item_id.in_(some)))
    insert_rows(connection, Duty, DUTY_COLUMNS, (row for each in made for row in each.duties))
    _update_items(connection, made, item_ids)
    change.session.expire_all()
    return len(made)


def projected(connection: Connection, item_ids: Collection[str] | None = None) -> Iterator[Projected]:
    """Yield what should be kept of each item's schedule, computed from records and rules."""
    unplanned = _unplanned(connection)
    for each in cases(connection, item_ids):
        yield _project(each, each.duties(), unplanned)


def _project(each: Case, duties: tuple[DutyDue, ...], unplanned: set[str]) -> Projected:
    planned = each.id not in unplanned and each.item.condition is not Condition.STORED
    asked = [duty for duty in duties if not duty.terms.relieved]
    dates = [duty.due for duty in asked if duty.contractors and duty.due is not None]
    rows = tuple(
        (
            each.id, duty.duty.value, each.site_id, duty.contractors, planned, duty.interval,
            duty.done.on if duty.done is not None else None, duty.due, duty.first_needed,
        )
        for duty in asked
    )  # fmt: skip
    untested = any(duty.first_needed for duty in asked)
    return Projected(each.id, each.environment, min(dates, default=None), untested, rows)


def _unplanned(connection: Connection) -> set[str]:
    """Return the items that no visit is planned for: removed ones, and those withdrawn until they are repaired."""
    removed = sa.select(Item.id).where(Item.state == REMOVED)
    waiting = sa.select(Withdrawal.item_id).where(
        Withdrawal.ended_on.is_(None), Withdrawal.reason != WithdrawalReason.OVERDUE.value
    )
    return set(connection.execute(sa.union(removed, waiting)).scalars())


def _update_items(connection: Connection, made: list[Projected], item_ids: Collection[str] | None) -> None:
    """Write the projection's columns of the items whose values changed."""
    columns = (Item.id, Item.present_environment, Item.next_due, Item.untested)
    kept: dict[str, tuple[Any, ...]] = {}
    if item_ids is None:
        kept = {row[0]: tuple(row[1:]) for row in connection.execute(sa.select(*columns))}
    changed = (
        (each.environment, each.next_due, each.untested, each.item_id)
        for each in made
        if kept.get(each.item_id) != (each.environment, each.next_due, each.untested)
    )
    update_rows(connection, Item, "id", ("present_environment", "next_due", "untested"), changed)
