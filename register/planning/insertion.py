"""A plan at once: the stops put in one after another where they lengthen the drives least.

It serves as the first plan to be seen, as the start of the search for a better one, and alone where the solver is not
installed.
"""

from typing import NamedTuple

from register.planning.problem import Problem, Progress, Routes, Served, Shift, Way, allowed


class _At(NamedTuple):
    """A stop on a route: when work begins at the earliest and at the latest, so that all after it stays in time."""

    earliest: int
    latest: int


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
        self.times = [self._times(shift, route) for shift, route in zip(problem.shifts, self.routes, strict=True)]

    def rank(self, number: int) -> tuple[float, int, int]:
        """Put first what is worth most, and of that what takes longest or is far away, which fits in last."""
        stop = self.problem.stops[number]
        worth = max((way.worth for way in stop.ways), default=0)
        far = max((self.problem.travel.minutes[s.start_place][stop.place] for s in self.problem.shifts[:1]), default=0)
        return -worth, -max((way.minutes for way in stop.ways), default=0) - far, number

    def insert(self, number: int) -> None:
        """Put a stop in its best place, if it is worth more than it lengthens the drives."""
        best: tuple[int, int, int, int] | None = None
        stop = self.problem.stops[number]
        for at, shift in enumerate(self.problem.shifts):
            for place, way in enumerate(stop.ways):
                if allowed(stop, way, shift) and (best is None or -way.worth < best[0]):
                    found = self._cheapest(at, number, place)
                    if found is not None and found[0] < 0 and (best is None or found[0] < best[0]):
                        best = (found[0], at, found[1], place)
        if best is not None:
            _, at, where, place = best
            self.routes[at].insert(where, (number, place))
            self.times[at] = self._times(self.problem.shifts[at], self.routes[at])

    def all(self) -> Routes:
        """Return the plan."""
        return tuple(tuple(route) for route in self.routes)

    def _cheapest(self, at: int, number: int, way_place: int) -> tuple[int, int] | None:
        """Return the least that a stop adds on a shift, less its worth, and where it comes; None where it fits not."""
        shift, route, times = self.problem.shifts[at], self.routes[at], self.times[at]
        minutes = self.problem.travel.minutes
        stop = self.problem.stops[number]
        way = stop.ways[way_place]
        best: tuple[int, int] | None = None
        before, free = shift.start_place, shift.start
        for where in range(len(route) + 1):
            last = where == len(route)
            after = shift.end_place if last else self.problem.stops[route[where][0]].place
            latest = shift.end if last else times[where].latest
            added = minutes[before][stop.place] + minutes[stop.place][after]
            added -= minutes[before][after] if route else 0
            leave = max(free + minutes[before][stop.place], way.opens) + way.minutes
            fits = leave <= way.closes and leave + minutes[stop.place][after] <= latest
            if fits and (best is None or added - way.worth < best[0]):
                best = (added - way.worth, where)
            if not last:
                free = times[where].earliest + self._way(route[where]).minutes
                before = after
        return best

    def _way(self, served: Served) -> Way:
        return self.problem.stops[served[0]].ways[served[1]]

    def _times(self, shift: Shift, route: list[Served]) -> list[_At]:
        """Return the earliest and the latest beginning of each stop of a route."""
        minutes = self.problem.travel.minutes
        places = [self.problem.stops[stop].place for stop, _ in route]
        earliest, now, here = [], shift.start, shift.start_place
        for served, place in zip(route, places, strict=True):
            begin = max(now + minutes[here][place], self._way(served).opens)
            earliest.append(begin)
            now, here = begin + self._way(served).minutes, place
        latest, until, there = [], shift.end, shift.end_place
        for served, place in zip(reversed(route), reversed(places), strict=True):
            way = self._way(served)
            until = min(way.closes, until - minutes[place][there]) - way.minutes
            latest.append(until)
            there = place
        return [_At(*pair) for pair in zip(earliest, reversed(latest), strict=True)]
