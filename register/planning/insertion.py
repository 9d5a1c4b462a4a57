"""A plan at once: the stops put in one after another where they lengthen the drives and the waits least.

It serves as the first plan to be seen, as the start of the search for a better one, and alone where the solver is not
installed.
"""

from itertools import pairwise

from register.planning.problem import Problem, Progress, Routes, Served, Shift, allowed
from register.planning.stretch import Stretch


def insert_all(problem: Problem, progress: Progress | None = None, routes: Routes | None = None) -> Routes:
    """Return a plan made by insertion: what must be visited first, then what is worth more than it lengthens.

    `routes` is a plan to go on from. Every route it returns fits its shift and the sites' hours.
    """
    plan = _Plan(problem, routes)
    there = {stop for route in plan.routes for stop, _ in route}
    order = sorted(set(range(len(problem.stops))) - there, key=plan.rank)
    for done, stop in enumerate(order):
        plan.insert(stop)
        if progress is not None:
            progress(done + 1, len(order))
    return plan.all()


class _Plan:
    def __init__(self, problem: Problem, routes: Routes | None) -> None:
        self.problem = problem
        self.routes: list[list[Served]] = [list(route) for route in routes or ((),) * len(problem.shifts)]
        self.days = [_Day(problem, shift, route) for shift, route in zip(problem.shifts, self.routes, strict=True)]

    def rank(self, number: int) -> tuple[float, int, int]:
        """Put first what is worth most, and of that what takes longest or is far away, which fits in last."""
        stop = self.problem.stops[number]
        worth = max((way.worth for way in stop.ways), default=0)
        far = max((self.problem.travel.minutes[s.start_place][stop.place] for s in self.problem.shifts[:1]), default=0)
        return -worth, -max((way.minutes for way in stop.ways), default=0) - far, number

    def insert(self, number: int) -> None:
        """Put a stop in its best place, if it is worth more than it lengthens the drives and the waits."""
        best: tuple[int, int, int, int] | None = None
        stop = self.problem.stops[number]
        for at, shift in enumerate(self.problem.shifts):
            for place, way in enumerate(stop.ways):
                if allowed(stop, way, shift) and (best is None or -way.worth < best[0]):
                    found = self.days[at].cheapest(number, place)
                    if found is not None and found[0] < 0 and (best is None or found[0] < best[0]):
                        best = (found[0], at, found[1], place)
        if best is not None:
            _, at, where, place = best
            self.routes[at].insert(where, (number, place))
            self.days[at] = _Day(self.problem, self.problem.shifts[at], self.routes[at])

    def all(self) -> Routes:
        """Return the plan."""
        return tuple(tuple(route) for route in self.routes)


class _Day:
    """A route as it stands: the stretches up to each place in it, and those from there on, with base and home."""

    def __init__(self, problem: Problem, shift: Shift, route: list[Served]) -> None:
        self.problem = problem
        minutes, whole = problem.travel.minutes, Stretch(0, shift.start, shift.end)
        self.places = [shift.start_place, *(problem.stops[stop].place for stop, _ in route), shift.end_place]
        drives = [minutes[one][other] for one, other in pairwise(self.places)] if route else [0]
        stops = [self._stop(*served) for served in route]
        self.drives = drives
        self.before: list[Stretch | None] = [whole]
        for drive, stop in zip(drives, stops, strict=False):
            self.before.append(joined(self.before[-1], drive, stop))
        self.after: list[Stretch | None] = [whole]
        for drive, stop in zip(reversed(drives), reversed(stops), strict=False):
            self.after.append(joined(stop, drive, self.after[-1]))
        self.after.reverse()
        self.all = joined(self.before[-1], drives[-1], whole)

    def cheapest(self, number: int, way_place: int) -> tuple[int, int] | None:
        """Return the least that a stop adds, less its worth, and where it comes; None where it does not fit."""
        minutes, here = self.problem.travel.minutes, self.problem.stops[number].place
        way, stop = self.problem.stops[number].ways[way_place], self._stop(number, way_place)
        best: tuple[int, int] | None = None
        for where, (before, after) in enumerate(zip(self.before, self.after, strict=True)):
            to, on = minutes[self.places[where]][here], minutes[here][self.places[where + 1]]
            whole = joined(joined(before, to, stop), on, after)
            if whole is None or self.all is None:
                continue
            added = to + on - self.drives[where]
            if self.problem.waits_cost:
                added = whole.minutes - self.all.minutes - way.minutes
            if best is None or added - way.worth < best[0]:
                best = (added - way.worth, where)
        return best

    def _stop(self, number: int, way_place: int) -> Stretch:
        way = self.problem.stops[number].ways[way_place]
        return Stretch(way.minutes, way.opens, way.closes - way.minutes)


def joined(one: Stretch | None, drive: int, other: Stretch | None) -> Stretch | None:
    """Return two stretches as one; None where either or both together don't keep their hours."""
    return None if one is None or other is None else one.then(drive, other)
