"""When a van is where: the times of one route, worked out anew whenever it is changed."""

from collections.abc import Sequence
from dataclasses import dataclass

from register.planning.problem import Problem, Routes, Served, Shift


@dataclass(frozen=True, slots=True)
class TimedStop:
    """A stop with its times on the planner's clock: driven to, there, begun, left."""

    stop: int
    way: int
    drive: int
    km: float
    arrive: int
    begin: int
    leave: int
    late: int

    @property
    def waits(self) -> int:
        """The minutes waited for the site to open."""
        return self.begin - self.arrive


@dataclass(frozen=True, slots=True)
class TimedRoute:
    """A route with its times. `late` adds up the minutes past closing times and the end of the shift."""

    shift: Shift
    leave_base: int
    stops: tuple[TimedStop, ...]
    back: int
    drive: int
    km: float
    late: int

    @property
    def fits(self) -> bool:
        """Whether every stop ends before its site closes and the van is back in time."""
        return self.late == 0

    @property
    def waits(self) -> int:
        """The minutes waited for sites to open."""
        return sum(stop.waits for stop in self.stops)


def timed(problem: Problem, shift: Shift, route: Sequence[Served]) -> TimedRoute:
    """Return the times of a route: as early as can be, but leaving the base no earlier than its waits make sensible."""
    if not route:
        return TimedRoute(shift, shift.start, (), shift.start, 0, 0.0, 0)
    early = _from(problem, shift, route, shift.start)
    idle = _idle(problem, early)
    return _from(problem, shift, route, shift.start + idle) if idle else early


def cost_of(problem: Problem, routes: Routes) -> int:
    """Return what solvers seek to make least: the minutes driven and waited, and the worth of what is left out.

    What is left out counts with the best of its ways.
    """
    spent = 0
    for shift, route in zip(problem.shifts, routes, strict=True):
        day = timed(problem, shift, route)
        spent += day.drive + (day.waits if problem.waits_cost else 0)
    served = dict(each for route in routes for each in route)
    lost = sum(
        max((way.worth for way in stop.ways), default=0) - (stop.ways[served[place]].worth if place in served else 0)
        for place, stop in enumerate(problem.stops)
    )
    return spent + lost


def _idle(problem: Problem, day: TimedRoute) -> int:
    """Return how much later a day can begin without ending later: its waits, as far as no stop misses its hours."""
    waited, free = 0, day.waits
    for at in day.stops:
        waited += at.waits
        closes = problem.stops[at.stop].ways[at.way].closes
        free = min(free, waited + max(0, closes - at.leave))
    return free


def _from(problem: Problem, shift: Shift, route: Sequence[Served], leave: int) -> TimedRoute:
    """Return the times of a route that leaves the base at a time."""
    minutes, km = problem.travel.minutes, problem.travel.km
    now, place, stops = leave, shift.start_place, []
    for number, chosen in route:
        stop = problem.stops[number]
        way = stop.ways[chosen]
        drive = minutes[place][stop.place]
        arrive = now + drive
        begin = max(arrive, way.opens)
        now = begin + way.minutes
        stops.append(
            TimedStop(number, chosen, drive, km[place][stop.place], arrive, begin, now, max(0, now - way.closes))
        )
        place = stop.place
    home = minutes[place][shift.end_place]
    back = now + home
    return TimedRoute(
        shift, leave, tuple(stops), back, sum(each.drive for each in stops) + home,
        sum(each.km for each in stops) + km[place][shift.end_place],
        sum(each.late for each in stops) + max(0, back - shift.end),
    )  # fmt: skip
