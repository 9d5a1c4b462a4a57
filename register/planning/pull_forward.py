"""When to visit a site over a year so that trips and interval days thrown away cost least and nothing goes overdue.

Every doing before its due date gives away days of the interval that was paid for; every visit costs a trip. Both are
counted in minutes: doing a duty of m minutes e days early, out of an interval of n days, gives away m x e / n minutes.

Two facts make it exact without trying every day. Once it is settled which duties a visit does, the visit is best on
the last day it can be: the day the first of them falls due, or the working day before; all dates counted from it then
move later too. And a duty is best done on the last visit that still is in time, so a visit does the duties due before
the next visit, and no others. So the only choice at a visit is how many of the duties, in the order of their due
dates, it pulls forward.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from register.domain.intervals import Interval, add_interval

YEAR_DAYS: Final = 364
"""52 weeks: what is done on the first day and recurs after 12 months belongs to the next year."""


@dataclass(frozen=True, slots=True, order=True)
class Load:
    """Duties of one site that fall due together: when, how often they recur, and how many minutes of work they are.

    `every` is None for what is asked only once.
    """

    due: date
    every: Interval | None
    minutes: float


@dataclass(frozen=True, slots=True)
class Visit:
    """A visit of a site, and what it does: how many minutes of work and how many of them it gives away."""

    day: date
    loads: tuple[Load, ...]
    given_away: float

    @property
    def minutes(self) -> float:
        """The minutes of work at items."""
        return sum(load.minutes for load in self.loads)


@dataclass(frozen=True, slots=True)
class Year:
    """The visits of a site over a year, and their cost in minutes: trips, and interval days thrown away."""

    visits: tuple[Visit, ...]
    cost: float


@dataclass(frozen=True, slots=True)
class EarlyVisit:
    """A site visited on a given day although it need not be, against its year without that visit.

    `cost` is that of the year which begins with it; `worth` is how many minutes less that is than the best year
    without it, its own trip not counted. `next_without` is the first visit of that other year, `next_with` the first
    one after this.
    """

    visit: Visit
    cost: float
    worth: float
    next_with: date | None
    next_without: date | None


DayFor = Callable[[date], date]


def same_day(day: date) -> date:
    """Return the day itself: every day is a working day."""
    return day


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of a site's year: from which working day on, what a trip costs in minutes, which days are worked.

    `last_day` gives the last day on which a visit can still be in time for a due date.
    """

    start: date
    trip_minutes: float
    last_day: DayFor = same_day
    days: int = YEAR_DAYS


MOST_STEPS: Final = 6_000
"""How many loads are looked at in a site's states before its due dates are put together more coarsely."""

GRAINS: Final = (1, 7, 14, 28, 56)


def site_year(question: Question, loads: Sequence[Load], most_steps: int | None = MOST_STEPS) -> "SiteYear":
    """Return a site's year, with the finest grain for which its best is found within so many steps.

    Dates put together count as the earliest of them, so nothing goes overdue by it. Without a limit it is exact.
    """
    for grain in GRAINS:
        found = SiteYear(question, loads, grain, most_steps)
        try:
            found.best()
        except _TooMany:
            continue
        found.most_steps = None
        return found
    return SiteYear(question, loads, question.days + 1, None)


class _TooMany(Exception):  # noqa: N818 - it is an answer
    """More steps than are to be taken."""


_Load = tuple[int, int, float]
"""A load while it is counted with: the day it is due, the place of its interval in `every`, its minutes."""


class SiteYear:
    """A site's year: the best there is, and what a visit on a certain day is worth.

    A state is what is pending; the best that can be made of each state is kept. Loads that recur alike and fall due
    within `grain` days of the first of them are put together; 1 changes nothing.
    """

    def __init__(self, question: Question, loads: Sequence[Load], grain: int, most_steps: int | None) -> None:
        self.trip, self.grain, self.last_day = question.trip_minutes, grain, question.last_day
        self.start, self.end = question.start.toordinal(), question.start.toordinal() + question.days
        self.steps, self.most_steps = 0, most_steps
        self.every = sorted({load.every for load in loads if load.every is not None})
        self.known: dict[tuple[_Load, ...], tuple[float, int]] = {}
        self.next_due: dict[tuple[int, int], int] = {}
        self.visit_days: dict[int, int] = {}
        self.loads = self._pending(loads)

    def best(self) -> Year:
        """Return the year that costs least."""
        return self._year(self.loads)

    def early(self, day: date) -> EarlyVisit:
        """Return the best that a visit on a given day does, and what it is worth."""
        without = self.best()
        best = self._year(self.loads, day.toordinal()) if self.loads else Year((Visit(day, (), 0.0),), self.trip)
        first = without.visits[0].day if without.visits else None
        later = best.visits[1].day if len(best.visits) > 1 else None
        return EarlyVisit(best.visits[0], best.cost, without.cost - (best.cost - self.trip), later, first)

    def best_of(self, loads: Sequence[Load]) -> Year:
        """Return the year that costs least with other loads of the same intervals."""
        return self._year(self._pending(loads))

    def _pending(self, loads: Sequence[Load]) -> tuple[_Load, ...]:
        """Return the loads within the year, in order; what is overdue is due at once."""
        places = {every: place for place, every in enumerate(self.every)}
        found = [
            (max(load.due.toordinal(), self.start), -1 if load.every is None else places[load.every], load.minutes)
            for load in loads
        ]
        return self._gathered(found)

    def _year(self, pending: tuple[_Load, ...], day: int | None = None) -> Year:
        """Return the best year from a state on, beginning with a visit on a day where one is given."""
        visits: list[Visit] = []
        cost = 0.0
        while pending:
            here = self._day(pending[0][0]) if day is None else day
            count = (self._of(pending) if day is None else self._first(pending, here))[1]
            done = pending[:count]
            lost = sum(self._lost(load, here) for load in done)
            visits.append(Visit(date.fromordinal(here), tuple(map(self._shown, done)), lost))
            cost += self.trip + lost
            pending, day = self._after(pending, here, count), None
        return Year(tuple(visits), cost)

    def _of(self, pending: tuple[_Load, ...]) -> tuple[float, int]:
        """Return the least cost from a state on, and how many loads its first visit does."""
        if not pending:
            return 0.0, 0
        known = self.known.get(pending)
        if known is None:
            known = self._first(pending, self._day(pending[0][0]))
            self.known[pending] = known
        return known

    def _first(self, pending: tuple[_Load, ...], day: int) -> tuple[float, int]:
        """Return the least cost that begins with a visit on a day, where what can't wait is done, and the count."""
        forced = next((place for place, load in enumerate(pending) if self._day(load[0]) > day), len(pending))
        lost = sum(self._lost(load, day) for load in pending[:forced])
        least = self.trip * (1 + self._least_trips(pending, day))
        best = (self.trip + lost + self._of(self._after(pending, day, forced))[0], forced)
        for count in range(forced + 1, len(pending) + 1):
            lost += self._lost(pending[count - 1], day)
            if least + lost >= best[0]:
                break  # whatever comes after, to pull more forward costs more than the best that is known
            cost = self.trip + lost + self._of(self._after(pending, day, count))[0]
            if cost < best[0]:
                best = (cost, count)
        return best

    def _least_trips(self, pending: tuple[_Load, ...], day: int) -> int:
        """Return a number of trips that no plan after a visit can do with fewer: as if all were done at each."""
        again = {load[1] for load in pending if load[1] >= 0}
        if not again or any(load[1] >= 0 and load[0] > self._next(day, load[1]) for load in pending):
            return 0
        trips, place = -1, min(again)
        while day <= self.end:
            trips += 1
            day = self._next(day, place)
        return trips

    def _after(self, pending: tuple[_Load, ...], day: int, count: int) -> tuple[_Load, ...]:
        done = [(self._next(day, place), place, minutes) for _, place, minutes in pending[:count] if place >= 0]
        return self._gathered([*pending[count:], *done])

    def _gathered(self, loads: list[_Load]) -> tuple[_Load, ...]:
        """Return loads within the year in order, those alike put together."""
        self.steps += len(loads)
        if self.most_steps is not None and self.steps > self.most_steps:
            raise _TooMany
        gathered: list[_Load] = []
        firsts: dict[int, tuple[int, int]] = {}
        for due, place, minutes in sorted(loads):
            if due > self.end:
                break
            first, at = firsts.get(place, (-self.grain, -1))
            if due - first < self.grain:
                gathered[at] = (first, place, gathered[at][2] + minutes)
            else:
                firsts[place] = (due, len(gathered))
                gathered.append((due, place, minutes))
        return tuple(gathered)

    def _lost(self, load: _Load, day: int) -> float:
        early = load[0] - day
        return load[2] * early / self.every[load[1]].length if early > 0 and load[1] >= 0 else 0.0

    def _next(self, day: int, place: int) -> int:
        known = self.next_due.get((day, place))
        if known is None:
            known = add_interval(date.fromordinal(day), self.every[place]).toordinal()
            self.next_due[day, place] = known
        return known

    def _day(self, due: int) -> int:
        """Return the day of a visit for what falls due on a day: the last in time, or the first of all."""
        known = self.visit_days.get(due)
        if known is None:
            known = self.visit_days[due] = max(self.start, self.last_day(date.fromordinal(due)).toordinal())
        return known

    def _shown(self, load: _Load) -> Load:
        return Load(date.fromordinal(load[0]), self.every[load[1]] if load[1] >= 0 else None, load[2])
