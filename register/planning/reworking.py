"""A plan made better piece by piece: a few neighbouring stops are taken out, and put in again in another order.

Each time, what the plan lacks gets its chance too, so that what must be visited finds a place wherever others can make
room. A plan that is a little worse is gone on from as well, less and less as the search nears its end, so that it does
not stay in the first valley (simulated annealing over ruin and recreate).
"""

import math
from collections.abc import Callable
from random import Random
from typing import Final

from register.planning.insertion import Making
from register.planning.problem import Problem, Progress, Routes

_EVERY: Final = 20
"""So many steps pass between two reports of progress."""

_FEWEST, _MOST = 3, 12
"""How many stops are taken out at once."""

_WARM, _COOL = 30.0, 1.0
"""How many minutes worse a plan may be, about, that is gone on from: at the start and at the end."""

_PASSED_OVER: Final = 0.25
_WHOLE_DAYS: Final = 0.2
_PRESSING_FIRST: Final = 0.3
"""How likely a neighbour stays, two whole days are taken out instead, and something that is lacking is begun with."""

LACKING: Final = 1_000
"""In minutes of worth: a stop that gives up more than this is not served as it has to be."""


def rework(problem: Problem, start: Routes, *, steps: int, seed: int, progress: Progress | None = None) -> Routes:
    """Return the best plan found from a start on in so many steps; the same for the same start, steps and seed."""
    search = _Search(problem, start, Random(seed))  # noqa: S311 - the same plan each time
    for step in range(steps if search.movable else 0):
        if progress is not None and step % _EVERY == 0:
            progress(step, steps)
        search.step(_COOL + (_WARM - _COOL) * (1 - step / steps) ** 1.5)
    return search.best


def lacks(problem: Problem, routes: Routes) -> bool:
    """Whether a plan leaves out or serves late what could be served as it has to be."""
    served = dict(each for route in routes for each in route)
    return any(
        max((way.worth for way in stop.ways), default=0)
        - (stop.ways[served[number]].worth if number in served else 0) > LACKING
        for number, stop in enumerate(problem.stops)
    )  # fmt: skip


class _Search:
    def __init__(self, problem: Problem, start: Routes, random: Random) -> None:
        self.made, self.random, self.stops = Making(problem, start), random, problem.stops
        self.movable = sorted({*self.made.missing(), *(stop for route in start for stop, _ in route)})
        self.near = {number: self._near(problem, number) for number in self.movable}
        self.cost = self.least = self._cost()
        self.best = self.made.all()
        self.orders: tuple[Callable[[int], float], ...] = (
            lambda _stop: self.random.random(), lambda _stop: self.random.random(),
            lambda stop: -self.made.far(stop), lambda stop: -self.made.length(stop),
            lambda stop: -self.made.best[stop],
        )  # fmt: skip

    def step(self, warmth: float) -> None:
        """Take some stops out, put them and what is missing in again, and go on from that if it is good enough."""
        made, routes, days = self.made, list(self.made.routes), list(self.made.days)
        out = self._chosen()
        made.take_out(out)
        for stop in sorted({*out, *made.missing()}, key=self.random.choice(self.orders)):
            made.put(stop)
        cost = self._cost()
        if cost >= self.cost - warmth * math.log(1 - self.random.random()) or not all(day.fits for day in made.days):
            made.routes, made.days = routes, days
            return
        self.cost = cost
        if cost < self.least:
            self.least, self.best = cost, made.all()

    def _chosen(self) -> list[int]:
        """Return stops to be taken out: neighbours of one, or all of two days."""
        random, routes = self.random, self.made.routes
        if random.random() < _WHOLE_DAYS:
            filled = [route for route in routes if route]
            days = random.sample(filled, min(2, len(filled)))
            return [stop for route in days for stop, _ in route][: 2 * _MOST]
        served = {stop: self.stops[stop].ways[way].worth for route in routes for stop, way in route}
        lacking = [stop for stop in self.movable if self.made.best[stop] - served.get(stop, 0) > LACKING]
        first = random.choice(lacking if lacking and random.random() < _PRESSING_FIRST else self.movable)
        many = random.randint(_FEWEST, _MOST)
        return [stop for stop in self.near[first] if stop in served and random.random() >= _PASSED_OVER][:many]

    def _cost(self) -> int:
        return sum(day.cost for day in self.made.days)

    def _near(self, problem: Problem, number: int) -> list[int]:
        drives, here = problem.travel.minutes, problem.stops[number].place

        def away(other: int) -> tuple[int, int]:
            there = problem.stops[other].place
            return drives[here][there] + drives[there][here], other

        return sorted(self.movable, key=away)
