"""The schedule as it is kept for lists: one row for each duty, and the earliest date on the item."""

import sys
from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import ExitStack
from datetime import date
from typing import Any, Final, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.words import Condition, Result, WithdrawalReason
from register.services.cases import Case, cases_among, overrides_in_force, spans
from register.store.bulk import Among, delete_rows, insert_rows, many_values, rows_of, update_rows, without_indexes
from register.store.engine import Change
from register.store.tables import Duty, Item, Record, Withdrawal

IN_SERVICE: Final = "in-service"
WITHDRAWN: Final = "withdrawn"
REMOVED: Final = "removed"

MANY: Final = 5_000
"""After so many changed rows it is quicker to make the indexes anew at the end."""

DUTY_COLUMNS: Final = (
    "item_id", "duty", "site_id", "contractors", "planned", "interval", "last_done", "due", "first_needed",
)  # fmt: skip


class Projected(NamedTuple):
    """What the register keeps of one item's schedule."""

    item_id: str
    environment: str
    next_due: date | None
    untested: bool
    duties: tuple[tuple[Any, ...], ...]


class _Outcome(NamedTuple):
    """What items that are alike share of their schedule: of each duty what it is, whose, how often, and its dates."""

    next_due: date | None
    untested: bool
    duties: tuple[tuple[Any, ...], ...]


_Alike = dict[tuple[object, ...], tuple[Case, _Outcome]]
"""Outcomes by the facts they follow from. Each keeps its case, so that no other fact takes the identity of one."""


def redate(change: Change, item_ids: Collection[str] | None = None) -> int:
    """Write the schedule of the items named, or of all, anew from records and rules; return how many items."""
    change.session.flush()
    connection = change.session.connection()
    overrides, unplanned = overrides_in_force(connection), _unplanned(connection)
    items = rows = 0
    with many_values(), ExitStack() as quickly:
        for among in spans(connection, item_ids):
            if rows > MANY and item_ids is None:
                quickly.enter_context(without_indexes(connection, Duty.due, Item.next_due))
                rows = -sys.maxsize
            found = _Differences(connection, among)
            for wanted in _projected(cases_among(connection, among, overrides), unplanned):
                found.compare(wanted)
            items += found.items
            rows += found.write(connection)
    change.session.expire_all()
    return items


class _Differences:
    """What is kept of some items' schedule against what records and rules say: most of it seldom differs."""

    def __init__(self, connection: Connection, among: Among) -> None:
        self.items = 0
        self._kept_duties = {row[:2]: row for row in _kept(connection, _DUTIES, among)}
        self._kept_items = {row[0]: row[1:] for row in _kept(connection, _ITEMS, among)}
        self._fresh: list[tuple[Any, ...]] = []
        self._changed: list[tuple[Any, ...]] = []
        self._dated: list[tuple[Any, ...]] = []
        self._moved: list[tuple[Any, ...]] = []

    def compare(self, wanted: Projected) -> None:
        """Compare one item's schedule; what of its kept duties is not asked any more stays behind."""
        self.items += 1
        for row in wanted.duties:
            kept = self._kept_duties.pop(row[:2], None)
            if kept is None:
                self._fresh.append(row)
            elif kept[2:_DATES] != row[2:_DATES]:
                self._changed.append((*row[2:], *row[:2]))
            elif kept != row:
                self._dated.append((*row[_DATES:], *row[:2]))
        dates = (wanted.environment, wanted.next_due, wanted.untested)
        if self._kept_items[wanted.item_id] != dates:
            self._moved.append((*dates, wanted.item_id))

    def write(self, connection: Connection) -> int:
        """Write what differs; return how many rows."""
        key, names, dates = DUTY_COLUMNS[:2], DUTY_COLUMNS[2:], DUTY_COLUMNS[_DATES:]
        return (
            delete_rows(connection, Duty, key, self._kept_duties)
            + update_rows(connection, Duty, key, names, self._changed)
            + update_rows(connection, Duty, key, dates, self._dated)
            + insert_rows(connection, Duty, DUTY_COLUMNS, self._fresh)
            + update_rows(connection, Item, ("id",), ("present_environment", "next_due", "untested"), self._moved)
        )


_DATES: Final = DUTY_COLUMNS.index("interval")
"""Where the dates begin among a duty's columns; what stands before them changes only when an item is moved."""

_DUTIES: Final = tuple(getattr(Duty, name) for name in DUTY_COLUMNS)
_ITEMS: Final = (Item.id, Item.present_environment, Item.next_due, Item.untested)


def _kept(connection: Connection, columns: Sequence[Any], among: Among) -> Iterator[tuple[Any, ...]]:
    return rows_of(connection, sa.select(*columns).where(among(columns[0])))


def projected(connection: Connection, item_ids: Collection[str] | None = None) -> Iterator[Projected]:
    """Yield what should be kept of each item's schedule, computed from records and rules."""
    overrides, unplanned = overrides_in_force(connection), _unplanned(connection)
    for among in spans(connection, item_ids):
        yield from _projected(cases_among(connection, among, overrides), unplanned)


def _projected(cases: Iterable[Case], unplanned: set[str]) -> Iterator[Projected]:
    alike: _Alike = {}
    for each in cases:
        next_due, untested, duties = _outcome(each, alike)
        planned = each.id not in unplanned and each.item.condition is not Condition.STORED
        rows = tuple(
            (each.id, duty, each.site_id, contractors, planned, *dates) for duty, contractors, *dates in duties
        )
        yield Projected(each.id, each.environment, next_due, untested, rows)


def _outcome(each: Case, alike: _Alike) -> _Outcome:
    """Return an item's outcome. Items that were entered and tested together share the very values of their facts."""
    facts = (id(each.item), *map(id, each.stays), *each.done, *map(id, each.done.values()))
    found = alike.get(facts)
    if found is None:
        asked = [duty for duty in each.duties() if not duty.terms.relieved]
        dates = [duty.due for duty in asked if duty.contractors and duty.due is not None]
        rows = tuple(
            (
                duty.duty.value, duty.contractors, duty.interval, None if duty.done is None else duty.done.on, duty.due,
                duty.first_needed,
            )
            for duty in asked
        )  # fmt: skip
        untested = any(duty.first_needed for duty in asked)
        found = alike[facts] = each, _Outcome(min(dates, default=None), untested, rows)
    return found[1]


def _unplanned(connection: Connection) -> set[str]:
    """Return the items that no visit is planned for: removed ones, and those withdrawn until they are repaired."""
    removed = sa.select(Item.id).where(Item.state == REMOVED)
    failed_since = sa.select(Record.id).where(
        Record.item_id == Item.id, Record.verdict == Result.FAIL.value, Record.tested_on > Item.condition_since
    )
    repaired = sa.and_(
        Item.condition == Condition.REPAIRED.value,
        Item.condition_since.is_not(None),
        Item.condition_since >= Withdrawal.withdrawn_on,
        ~failed_since.exists(),
    )
    waiting = (
        sa.select(Withdrawal.item_id)
        .join(Item, Item.id == Withdrawal.item_id)
        .where(Withdrawal.ended_on.is_(None), Withdrawal.reason != WithdrawalReason.OVERDUE.value, ~repaired)
    )
    return set(connection.execute(sa.union(removed, waiting)).scalars())
