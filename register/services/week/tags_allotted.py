"""Tag numbers set aside for the visits of a kept week, each van's from its own ranges, so that it knows what to load.

They are for items that are new, or get another tag: most keep the number they have.
"""

from collections.abc import Iterable
from datetime import date
from math import ceil
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.tag_numbers import Numbers
from register.services.tag_ranges import RangeRow, ranges
from register.store.bulk import chunks
from register.store.engine import Change
from register.store.tables import Tag
from register.store.visits import Van, Visit, VisitDuty

LEAST: Final = 5
SHARE: Final = 0.1
"""One number in ten items, and five at least; common practice, no source."""

LOOK_ON: Final = 5_000
"""So many numbers of a range are looked through; a week needs far fewer."""

Span = tuple[str, str]
"""The first and the last of the numbers of a visit; both empty where there are none."""


class _Stock:
    """The numbers of one van that nobody has and that are set aside for no other week, taken in runs."""

    def __init__(self, connection: Connection, held: Iterable[RangeRow], elsewhere: Iterable[Span]) -> None:
        spans = list(elsewhere)
        self._runs = [run for row in held for run in _runs(connection, row, spans)]

    def take(self, count: int) -> Span:
        """Return so many numbers that follow one another; none where no run is as long."""
        for numbers in self._runs:
            if numbers.last - numbers.first + 1 >= count:
                self._runs.remove(numbers)
                end = numbers.first + count - 1
                self._runs.insert(0, Numbers(numbers.prefix, numbers.digits, end + 1, numbers.last))
                return numbers.written(numbers.first), numbers.written(end)
        return "", ""


def allot_tags(change: Change, monday: date) -> tuple[str, ...]:
    """Set numbers aside for the visits of a week from today on; return a sentence for each van that has too few.

    A van has the ranges that name it as their holder. One without any gets none, and nothing is said of it.
    """
    session = change.session
    connection = session.connection()
    items = _items(connection, monday)
    every = [row for row in ranges(connection) if row.following is not None]
    short = []
    for van in session.scalars(sa.select(Van).order_by(Van.position)).all():
        coming = sa.select(Visit).where(
            Visit.van_id == van.id, Visit.day >= change.today, Visit.cancelled == sa.false()
        )
        visits = session.scalars(coming.order_by(Visit.day, Visit.position)).all()
        held = [row for row in every if row.holder.casefold() == van.name.casefold()]
        elsewhere = [(row.tags_first, row.tags_last) for row in visits if row.week != monday and row.tags_first]
        stock = _Stock(connection, held, elsewhere)
        mine = [row for row in visits if row.week == monday]
        for visit in mine:
            visit.tags_first, visit.tags_last = stock.take(max(LEAST, ceil(items.get(visit.id, 0) * SHARE)))
        if held and not all(visit.tags_first for visit in mine):
            short.append(f"{van.name} has too few tag numbers left for the week. Give it more under Firm, Tags.")
    session.flush()
    return tuple(short)


def _items(connection: Connection, monday: date) -> dict[str, int]:
    """Return how many items each visit of a week is for."""
    counted = sa.func.count(sa.distinct(VisitDuty.item_id))
    visits = sa.select(VisitDuty.visit_id, counted).join(Visit, Visit.id == VisitDuty.visit_id)
    return dict(connection.execute(visits.where(Visit.week == monday).group_by(VisitDuty.visit_id)).all())


def _runs(connection: Connection, row: RangeRow, elsewhere: list[Span]) -> list[Numbers]:
    """Return the runs of a range's numbers that are free, from the next one to be given out on."""
    numbers = row.numbers
    first = int((row.following or "").removeprefix(numbers.prefix))
    last = min(numbers.last, first + LOOK_ON)
    taken = set()
    for some in chunks(range(first, last + 1), 500):
        written = {numbers.written(number): number for number in some}
        found = connection.execute(sa.select(Tag.number).where(Tag.number.in_(written))).scalars()
        taken |= {written[tag] for tag in found}
    for one, other in elsewhere:
        if numbers.holds(one) and numbers.holds(other):
            begin, end = (int(tag.removeprefix(numbers.prefix)) for tag in (one, other))
            taken |= set(range(begin, end + 1))
    runs, begin = [], first
    for number in [*sorted(each for each in taken if each >= first), last + 1]:
        if number > begin:
            runs.append(Numbers(numbers.prefix, numbers.digits, begin, number - 1))
        begin = number + 1
    return runs
