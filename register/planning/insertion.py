"""A plan at once: the stops put in one after another where they lengthen the drives and the waits least."""

from collections.abc import Iterable
from itertools import pairwise

from register.planning.problem import Problem, Routes, Served, Shift, allowed
from register.planning.stretch import Stretch


def insert_all(problem: Problem, routes: Routes | None = None) -> Routes:
    """Return a plan made by insertion: what must be visited first, then what is worth more than it lengthens.

    `routes` is a plan to go on from. Every route it returns fits its shift and the sites' hours, if those given do.
    """
    made = Making(problem, routes)
    for stop in sorted(made.missing(), key=made.rank):
        made.put(stop)
    return made.all()


class Making:
    """A plan in the making: stops are put in where they cost least, and taken out again."""

    def __init__(self, problem: Problem, routes: Routes | None = None) -> None:
        self.problem = problem
        self.routes: list[tuple[Served, ...]] = list(routes or ((),) * len(problem.shifts))
        self.days = [Day(problem, shift, route) for shift, route in zip(problem.shifts, self.routes, strict=True)]
        self.best = [max((way.worth for way in stop.ways), default=0) for stop in problem.stops]
        self._open = [_open(problem, number) for number in range(len(problem.stops))]

    def missing(self) -> list[int]:
        """Return the stops that are not in the plan though a shift may serve them."""
        there = {stop for route in self.routes for stop, _ in route}
        return [number for number, ways in enumerate(self._open) if ways and number not in there]

    def rank(self, number: int) -> tuple[float, int, int]:
        """Put first what is worth most, and of that what takes longest or is far away, which fits in last."""
        return -self.best[number], -self.length(number) - self.far(number), number

    def length(self, number: int) -> int:
        """Return the most minutes that a stop takes."""
        return max((way.minutes for way in self.problem.stops[number].ways), default=0)

    def far(self, number: int) -> int:
        """Return the minutes that it is to a stop from where the first shift starts."""
        shifts = self.problem.shifts
        return self.problem.travel.minutes[shifts[0].start_place][self.problem.stops[number].place] if shifts else 0

    def put(self, number: int) -> None:
        """Put a stop in its best place, if it is worth more than it lengthens the drives and the waits."""
        here, least, found = self.problem.stops[number].place, 0, None
        for at, ways in self._open[number]:
            for place, worth, stop in ways:
                if -worth >= least:
                    break
                added, where = self.days[at].cheapest(here, stop, least + worth)
                if where >= 0:
                    least, found = added - worth, (at, where, place)
        if found is not None:
            at, where, place = found
            route = self.routes[at]
            self.change(at, (*route[:where], (number, place), *route[where:]))

    def take_out(self, stops: Iterable[int]) -> None:
        """Take stops out."""
        gone = set(stops)
        for at, route in enumerate(self.routes):
            if any(stop in gone for stop, _ in route):
                self.change(at, tuple(served for served in route if served[0] not in gone))

    def change(self, at: int, route: tuple[Served, ...]) -> None:
        """Give a shift another route."""
        self.routes[at] = route
        self.days[at] = Day(self.problem, self.problem.shifts[at], route)

    def all(self) -> Routes:
        """Return the plan."""
        return tuple(self.routes)


class Day:
    """A route as it stands: its joints, each with the stretch up to it and that from there on, with base and home.

    `cost` is its minutes driven and waited, less what it serves is worth. It does not `fit` where it misses an hour.
    """

    def __init__(self, problem: Problem, shift: Shift, route: tuple[Served, ...]) -> None:
        self.travel, self.waits_cost = problem.travel.minutes, problem.waits_cost
        ways = [problem.stops[stop].ways[way] for stop, way in route]
        stops = [Stretch(way.minutes, way.opens, way.closes - way.minutes) for way in ways]
        whole = Stretch(0, shift.start, shift.end)
        places = [shift.start_place, *(problem.stops[stop].place for stop, _ in route), shift.end_place]
        drives = [self.travel[one][other] for one, other in pairwise(places)] if route else [0]
        before: list[Stretch | None] = [whole]
        for drive, stop in zip(drives, stops, strict=False):
            before.append(joined(before[-1], drive, stop))
        after: list[Stretch | None] = [whole]
        for drive, stop in zip(reversed(drives), reversed(stops), strict=False):
            after.append(joined(stop, drive, after[-1]))
        after.reverse()
        self.joints = [
            (at, places[at], places[at + 1], drives[at], one, other)
            for at, (one, other) in enumerate(zip(before, after, strict=True)) if one is not None and other is not None
        ]  # fmt: skip
        all_of_it = joined(before[-1], drives[-1], whole)
        self.fits = all_of_it is not None
        self.minutes = all_of_it.minutes if all_of_it is not None else 0
        spent = self.minutes - sum([way.minutes for way in ways]) if self.waits_cost else sum(drives)
        self.cost = spent - sum([way.worth for way in ways])

    def cheapest(self, here: int, stop: Stretch, below: int) -> tuple[int, int]:
        """Return the least that a stop adds at a place, if it is below something, and where it comes; else -1 there.

        This is `Stretch.then` twice at each joint of the day, written out: nearly all time of a search is spent here.
        """
        where = -1
        travel, away, waits_cost = self.travel, self.travel[here], self.waits_cost
        work, opens, closes = stop
        if opens > closes:
            return below, where
        without = self.minutes + work
        for at, one, other, drive, (took, earliest, latest), (rest, rest_opens, rest_closes) in self.joints:
            there = took + travel[one][here]
            if earliest + there > closes:
                continue
            gap = opens - there
            wait = gap - latest if gap > latest else 0
            on = there + wait + work + away[other]
            if (max(earliest, gap)) - wait + on > rest_closes:
                continue
            if waits_cost:
                again = rest_opens - on - (min(latest, closes - there))
                added = on + rest - without + (max(0, again))
            else:
                added = there - took + away[other] - drive
            if added < below:
                below, where = added, at
        return below, where


def joined(one: Stretch | None, drive: int, other: Stretch | None) -> Stretch | None:
    """Return two stretches as one; None where either or both together don't keep their hours."""
    return None if one is None or other is None else one.then(drive, other)


Open = tuple[int, tuple[tuple[int, int, Stretch], ...]]
"""A shift, and the ways in which it may serve a stop: their places, what they are worth, and their hours."""


def _open(problem: Problem, number: int) -> tuple[Open, ...]:
    """Return the shifts that may serve a stop, each with the ways in which it may, those worth most first."""
    stop, found = problem.stops[number], []
    for at, shift in enumerate(problem.shifts):
        ways = [(place, way) for place, way in enumerate(stop.ways) if allowed(stop, way, shift)]
        ways.sort(key=lambda each: -each[1].worth)
        if ways:
            found.append((at, tuple(
                (place, way.worth, Stretch(way.minutes, way.opens, way.closes - way.minutes)) for place, way in ways
            )))  # fmt: skip
    return tuple(found)
