"""A week to be planned, as solvers see it: stops that can be served in several ways, vans with their shifts, drives.

Times are whole minutes since the week's first midnight, on a clock that stands still during lunch (`LunchClock`), so
that a stop or a drive that lunch interrupts needs no thought anywhere else.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from register.planning.travel import Travel

DAY: Final = 1440
"""The minutes of a day."""


@dataclass(frozen=True, slots=True)
class LunchClock:
    """The clock of a day with a lunch at a fixed time: work that lunch interrupts goes on after it."""

    at: int
    minutes: int

    def packed(self, minute: int) -> int:
        """Return a minute of the week on the clock that stands still during lunch."""
        day, of_day = divmod(minute, DAY)
        return day * DAY + (of_day if of_day <= self.at else max(self.at, of_day - self.minutes))

    def shown(self, packed: int) -> int:
        """Return the minute of the week as the wall's clock shows it."""
        return packed + (self.minutes if self.interrupts(packed) else 0)

    def interrupts(self, packed: int) -> bool:
        """Whether lunch has been had by then."""
        return packed % DAY > self.at


@dataclass(frozen=True, slots=True)
class Way:
    """One way of serving a stop: its minutes there, between opening and closing, and what it is worth in minutes.

    `van` is given where only that van may; `label` is the planner's own mark of what is done then.
    """

    minutes: int
    opens: int
    closes: int
    worth: int
    label: str = ""
    van: int | None = None


@dataclass(frozen=True, slots=True)
class Stop:
    """A site to be visited, at a place of the travel table, in at most one of its ways. `crew` is who it takes."""

    key: str
    place: int
    ways: tuple[Way, ...]
    crew: int = 1


@dataclass(frozen=True, slots=True)
class Shift:
    """A van on a day: from when to when, from and to which places, with how many people."""

    van: int
    day: int
    start: int
    end: int
    start_place: int
    end_place: int
    crew: int = 1


@dataclass(frozen=True, slots=True)
class Problem:
    """Everything a solver needs: it seeks the least minutes driven and waited less the worth of what is served.

    Where `waits_cost` is not so, it is the drives alone that count.
    """

    travel: Travel
    stops: tuple[Stop, ...]
    shifts: tuple[Shift, ...]
    waits_cost: bool = True


Served = tuple[int, int]
"""A stop and one of its ways, by their places in the problem."""

Routes = tuple[tuple[Served, ...], ...]
"""What each shift serves, in order, in the order of the shifts."""

Progress = Callable[[int, int], None]
"""Told how many of how many steps are done. What it raises stops the solver."""


def allowed(stop: Stop, way: Way, shift: Shift) -> bool:
    """Whether a shift can serve a stop in a way at all, its route aside."""
    return (
        stop.crew <= shift.crew
        and way.van in {None, shift.van}
        and max(way.opens, shift.start) + way.minutes <= min(way.closes, shift.end)
    )


def drive_minutes(problem: Problem, shift: Shift, route: tuple[Served, ...]) -> int:
    """Return the minutes driven on a route; none where it is empty."""
    if not route:
        return 0
    places = [shift.start_place, *(problem.stops[stop].place for stop, _ in route), shift.end_place]
    minutes = problem.travel.minutes
    return sum(minutes[one][other] for one, other in pairwise(places))
