"""When a van is where: the times of one route, worked out anew whenever it is changed."""

from collections.abc import Sequence
from dataclasses import dataclass

from register.planning.problem import Problem, Served, Shift


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


def timed(problem: Problem, shift: Shift, route: Sequence[Served]) -> TimedRoute:
    """Return the times of a route: as early as can be, but leaving the base no earlier than the first stop needs."""
    if not route:
        return TimedRoute(shift, shift.start, (), shift.start, 0, 0.0, 0)
    minutes, km = problem.travel.minutes, problem.travel.km
    first = problem.stops[route[0][0]]
    first_drive = minutes[shift.start_place][first.place]
    now = leave = max(shift.start, first.ways[route[0][1]].opens - first_drive)
    place, stops = shift.start_place, []
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
