"""The schedule as it is kept for lists: one row for each duty, and the earliest date on the item."""

from collections.abc import Collection, Iterator, Sequence
from contextlib import ExitStack
from datetime import date
from itertools import groupby
from operator import itemgetter
from typing import Any, Final, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.schedule import Stay
from register.domain.words import Condition, Result, WithdrawalReason
from register.services.cases import Case, Overrides, cases_beside, overrides_in_force, spans
from register.store.amended import stands
from register.store.bulk import Among, delete_rows, insert_rows, many_values, rows_of, update_rows, without_indexes
from register.store.engine import Change
from register.store.tables import Duty, Item, Record, Withdrawal

IN_SERVICE: Final = "in-service"
WITHDRAWN: Final = "withdrawn"
REMOVED: Final = "removed"

MANY: Final = 4_000
"""After so many changed rows it is quicker to make the indexes over dates at the end.

Where that many differ at the very start, every duty is written anew too: emptying a table takes no time.
"""

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
    overrides, alike = overrides_in_force(connection), _Alike()
    items = rows = 0
    bare = anew = False
    with many_values(), ExitStack() as stack:
        for among in spans(connection, item_ids):
            schedules = list(_projected(connection, among, overrides, alike, _KEPT))
            found = _Differences({} if anew else _kept(connection, among), schedules)
            if not bare and item_ids is None and rows + found.rows > MANY:
                bare, anew = True, rows == 0
                stack.enter_context(without_indexes(connection, Duty.due, Item.next_due))
                if anew:
                    connection.execute(sa.delete(Duty))
                    found = _Differences({}, schedules)
            items += len(schedules)
            rows += found.write(connection)
    change.session.expire_all()
    return items


_Row = tuple[Any, ...]

_KEPT: Final = (Item.present_environment, Item.next_due, Item.untested)
_DUTIES: Final = tuple(getattr(Duty, name) for name in DUTY_COLUMNS)
_DATES: Final = DUTY_COLUMNS.index("interval")
"""Where the dates begin among a duty's columns; what stands before them changes only when an item is moved."""


def _kept(connection: Connection, among: Among) -> dict[str, tuple[_Row, ...]]:
    """Return the duties kept of some items, by item, in the order of their names."""
    statement = sa.select(*_DUTIES).where(among(Duty.item_id)).order_by(Duty.item_id, Duty.duty)
    return {item_id: tuple(rows) for item_id, rows in groupby(rows_of(connection, statement), key=itemgetter(0))}


class _Differences:
    """What is kept of some items' schedule against what records and rules say: most of it seldom differs."""

    def __init__(self, kept: dict[str, tuple[_Row, ...]], schedules: list[tuple[Projected, _Row]]) -> None:
        """Compare the schedules, each with the values of `_KEPT`, with the duties that are kept of these items."""
        self._gone: list[_Row] = []
        self._fresh: list[_Row] = []
        self._changed: list[_Row] = []
        self._dated: list[_Row] = []
        self._moved: list[_Row] = []
        for wanted, on_item in schedules:
            duties = kept.get(wanted.item_id, ())
            if not duties:
                self._fresh += wanted.duties
            elif duties != wanted.duties:
                self._compare(wanted.duties, {row[1]: row for row in duties})
            dates = (wanted.environment, wanted.next_due, wanted.untested)
            if on_item != dates:
                self._moved.append((*dates, wanted.item_id))

    @property
    def rows(self) -> int:
        """How many rows differ."""
        return sum(map(len, (self._gone, self._fresh, self._changed, self._dated, self._moved)))

    def _compare(self, duties: tuple[_Row, ...], before: dict[str, _Row]) -> None:
        for row in duties:
            kept = before.pop(row[1], None)
            if kept is None:
                self._fresh.append(row)
            elif kept[2:_DATES] != row[2:_DATES]:
                self._changed.append((*row[2:], *row[:2]))
            elif kept != row:
                self._dated.append((*row[_DATES:], *row[:2]))
        self._gone += [row[:2] for row in before.values()]

    def write(self, connection: Connection) -> int:
        """Write what differs; return how many rows."""
        key, names, dates = DUTY_COLUMNS[:2], DUTY_COLUMNS[2:], DUTY_COLUMNS[_DATES:]
        return (
            delete_rows(connection, Duty, key, self._gone)
            + update_rows(connection, Duty, key, names, self._changed)
            + update_rows(connection, Duty, key, dates, self._dated)
            + insert_rows(connection, Duty, DUTY_COLUMNS, self._fresh)
            + update_rows(connection, Item, ("id",), ("present_environment", "next_due", "untested"), self._moved)
        )


def projected(connection: Connection, item_ids: Collection[str] | None = None) -> Iterator[Projected]:
    """Yield what should be kept of each item's schedule, computed from records and rules."""
    overrides, alike = overrides_in_force(connection), _Alike()
    for among in spans(connection, item_ids):
        yield from (each for each, _kept in _projected(connection, among, overrides, alike, ()))


def _projected(
    connection: Connection, among: Among, overrides: Overrides, alike: _Alike, beside: Sequence[Any]
) -> Iterator[tuple[Projected, _Row]]:
    """Yield the schedules of some items, each with further columns of the item's row."""
    unplanned = _unplanned(connection, among)
    for each, kept in cases_beside(connection, among, overrides, beside):
        next_due, untested, duties = _outcome(each, alike)
        planned = each.id not in unplanned and each.item.condition is not Condition.STORED
        rows = tuple((each.id, duty, each.site_id, whose, planned, *dates) for duty, whose, *dates in duties)
        yield Projected(each.id, each.environment, next_due, untested, rows), kept


def _outcome(each: Case, alike: _Alike) -> _Outcome:
    """Return an item's outcome. Items that were entered and tested together share the very values of their facts."""
    facts = (id(each.item), id(each.done), *_first(each.stays), *map(id, each.stays[1:]))
    found = alike.get(facts)
    if found is None:
        asked = [duty for duty in each.duties() if not duty.terms.relieved]
        dates = [duty.due for duty in asked if duty.contractors and duty.due is not None]
        rows = sorted(
            (
                duty.duty.value, duty.contractors, duty.interval, None if duty.done is None else duty.done.on, duty.due,
                duty.first_needed,
            )
            for duty in asked
        )  # fmt: skip
        untested = any(duty.first_needed for duty in asked)
        found = alike[facts] = each, _Outcome(min(dates, default=None), untested, tuple(rows))
    return found[1]


def _first(stays: tuple[Stay, ...]) -> tuple[object, ...]:
    """Return what decides of the first place an item was in: since when it was there does not."""
    if not stays:
        return ()
    where = stays[0].exposure
    return where.environment, where.place, where.rulebook, stays[0].overrides


def _unplanned(connection: Connection, among: Among) -> set[str]:
    """Return those of some items that no visit is planned for: removed, or withdrawn until they are repaired."""
    removed = sa.select(Item.id).where(among(Item.id), Item.state == REMOVED)
    failed_since = sa.select(Record.id).where(
        Record.item_id == Item.id,
        Record.verdict == Result.FAIL.value,
        Record.tested_on > Item.condition_since,
        stands(Record.id),
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
        .where(
            among(Withdrawal.item_id),
            Withdrawal.ended_on.is_(None),
            Withdrawal.reason != WithdrawalReason.OVERDUE.value,
            ~repaired,
        )
    )
    return set(connection.execute(sa.union(removed, waiting)).scalars())
