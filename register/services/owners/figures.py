"""What is counted for an owner: his items by where they stand, the weeks ahead, and the tests month by month."""

from collections import Counter
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.weeks import monday_of
from register.domain.words import Result, Standing
from register.services.owners.rows import Figures, MonthTested, Period, WeekAhead
from register.services.projection import REMOVED
from register.services.questions import standing_of
from register.store.amended import stands
from register.store.tables import Duty, Item, Record

WEEKS: Final = 13
MOST_MONTHS: Final = 24
"""So many months of tests are counted one by one, the latest."""


def figures(connection: Connection, sites: tuple[str, ...], as_at: date, soon: int, tested: Period) -> Figures:
    """Return the counts for some sites as at one day."""
    return Figures(
        _standings(connection, sites, as_at, soon), _weeks(connection, sites, as_at), _months(connection, sites, tested)
    )


def _standings(connection: Connection, sites: tuple[str, ...], as_at: date, soon: int) -> dict[Standing, int]:
    alike = (Item.state, Item.untested, Item.next_due)
    statement = sa.select(*alike, sa.func.count().label("items")).where(Item.site_id.in_(sites)).group_by(*alike)
    rows: Iterable[sa.Row[Any]] = connection.execute(statement)
    counts: Counter[Standing] = Counter()
    for row in rows:
        counts[standing_of(row, as_at, soon)] += row.items
    return dict(counts)


def _weeks(connection: Connection, sites: tuple[str, ...], as_at: date) -> tuple[WeekAhead, ...]:
    until = as_at + timedelta(weeks=WEEKS)
    rows = connection.execute(
        sa.select(Duty.due, sa.func.count())
        .join(Item, Item.id == Duty.item_id)
        .where(
            Item.site_id.in_(sites),
            Item.state != REMOVED,
            Duty.contractors == sa.true(),
            Duty.due.between(as_at, until),
        )
        .group_by(Duty.due)
    )
    counts: Counter[date] = Counter()
    for due, number in rows:
        assert due is not None, "only dates in the weeks ahead are asked for"
        counts[monday_of(due)] += number
    first = monday_of(as_at)
    mondays = (first + timedelta(weeks=week) for week in range((monday_of(until) - first).days // 7 + 1))
    return tuple(WeekAhead(monday, counts[monday]) for monday in mondays)


def _months(connection: Connection, sites: tuple[str, ...], tested: Period) -> tuple[MonthTested, ...]:
    rows = connection.execute(
        sa.select(Record.tested_on, Record.verdict, sa.func.count())
        .join(Item, Item.id == Record.item_id)
        .where(Item.site_id.in_(sites), Record.tested_on.between(tested.first, tested.last), stands(Record.id))
        .group_by(Record.tested_on, Record.verdict)
    )
    counts: Counter[tuple[date, Result]] = Counter()
    for on, verdict, number in rows:
        counts[on.replace(day=1), Result(verdict)] += number
    months = sorted({month for month, _ in counts})[-MOST_MONTHS:]
    return tuple(
        MonthTested(month, counts[month, Result.PASS], counts[month, Result.FAIL], counts[month, Result.INCOMPLETE])
        for month in months
    )
