"""Planning a week, and bending the plan by hand: a stop on another day or van, timed again at once."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from register.domain.explain import day_words
from register.errors import Refused
from register.planning.asked import Asked
from register.planning.problem import Problem, Progress, Routes, Served, Shift, allowed
from register.planning.routes import EFFORT, solve, tries_for
from register.planning.timing import TimedRoute, timed
from register.planning.week import Draft, draft
from register.planning.week_rows import PlannedWeek, date_of, week_of

Fixed = Mapping[tuple[date, int], tuple[tuple[str, str], ...]]
"""Days of vans that stay as they are: the stops in order, each with the label of what is done there."""


@dataclass(frozen=True, slots=True)
class Difference:
    """What a change of the plan does: minutes and kilometres more (or fewer), and what no longer keeps its hours."""

    minutes: int
    km: float
    past: tuple[str, ...]

    @property
    def words(self) -> str:
        """The change in one line."""
        minutes = f"{abs(self.minutes)} min {'more' if self.minutes > 0 else 'less'} to drive"
        km = f"{abs(self.km):.1f} km {'more' if self.km > 0 else 'less'}"
        same = not self.minutes and abs(self.km) < 0.05  # noqa: PLR2004 - shown to a tenth
        return " ".join(["The drives stay as long." if same else f"{minutes}, {km}.", *self.past])


def plan(
    asked: Asked,
    *,
    seed: int = 1,
    effort: float = EFFORT,
    fixed: Fixed | None = None,
    progress: Progress | None = None,
    first_plan: Callable[[PlannedWeek], None] | None = None,
) -> PlannedWeek:
    """Return the best plan found of a week; the same for the same question, seed and effort.

    `first_plan` is given a plan at once; `progress` is told the steps done of all, and stops the search by raising.
    """
    made = draft(asked)
    held = _held(made, fixed or {})
    open_problem = _without(made, held)

    def week(routes: Routes, seconds: float) -> PlannedWeek:
        return week_of(made, _whole(made, held, routes), tries=tries_for(open_problem, seconds))

    found = solve(
        open_problem, seed=seed, effort=effort, progress=progress,
        first_plan=None if first_plan is None else lambda routes: first_plan(week(routes, 0)),
    )  # fmt: skip
    return week(found, effort)


def move(week: PlannedWeek, key: str, day: date, van: int, position: int | None = None) -> PlannedWeek:
    """Return the week with a stop on another day or van, or elsewhere in its day; without a position, where best.

    Sites' hours may be missed by it, which the days then say. Refused where that van does not work that day.
    """
    problem = week.draft.problem
    number = next((n for n, stop in enumerate(problem.stops) if stop.key == key), None)
    shifts = [(date_of(week.draft, shift), shift.van) for shift in problem.shifts]
    target = shifts.index((day, van)) if (day, van) in shifts else None
    if number is None:
        raise Refused(f"There is no stop at {key} in this week. Check the site's code.")
    if target is None:
        raise Refused(f"That van does not work on {day_words(day)}. Choose another day or van.")
    routes = [tuple(each for each in route if each[0] != number) for route in week.routes]
    way = _way_on(problem, number, problem.shifts[target], week.routes)
    places = range(len(routes[target]) + 1) if position is None else [min(position, len(routes[target]))]
    tried = [(*routes[target][:place], (number, way), *routes[target][place:]) for place in places]
    routes[target] = min(tried, key=lambda route: _misfit(timed(problem, problem.shifts[target], route)))
    return week_of(week.draft, tuple(routes), tries=0)


def take_out(week: PlannedWeek, key: str) -> PlannedWeek:
    """Return the week without a stop."""
    stops = week.draft.problem.stops
    routes = tuple(tuple(each for each in route if stops[each[0]].key != key) for route in week.routes)
    return week_of(week.draft, routes, tries=0)


def difference(before: PlannedWeek, after: PlannedWeek) -> Difference:
    """Return what a change of the plan does."""
    past = tuple(f"{stop.name} would end {stop.past} min after it closes." for stop in after.stops if stop.past)
    home = []
    for day in after.days:
        beyond = day.late - sum(stop.past for stop in day.stops)
        if beyond > 0:
            home.append(f"{day.van_name} would be back {beyond} min after hours on {day_words(day.day)}.")
    return Difference(after.drive_minutes - before.drive_minutes, after.drive_km - before.drive_km, (*past, *home))


def fixed_days(week: PlannedWeek, locked: frozenset[tuple[date, int]]) -> Fixed:
    """Return the days of vans that are locked as they stand in a week."""
    stops = week.draft.problem.stops
    return {
        (day.day, day.van): tuple((stops[n].key, stops[n].ways[way].label) for n, way in route)
        for day, route in zip(week.days, week.routes, strict=True) if (day.day, day.van) in locked
    }  # fmt: skip


def routes_of(made: Draft, fixed: Fixed) -> Routes:
    """Return the routes that the days of a kept plan make in a draft; what is no longer there is passed over."""
    held = _held(made, fixed)
    return tuple(held.get(number, ()) for number in range(len(made.problem.shifts)))


def _held(made: Draft, fixed: Fixed) -> dict[int, tuple[Served, ...]]:
    """Return the routes of the shifts that stay as they are."""
    stops = {stop.key: number for number, stop in enumerate(made.problem.stops)}
    held = {}
    for at, shift in enumerate(made.problem.shifts):
        route = fixed.get((date_of(made, shift), shift.van))
        if route is not None:
            known = [(stops[key], label) for key, label in route if key in stops]
            held[at] = tuple(
                (n, _labelled(made.problem, n, label, shift)) for n, label in known if made.problem.stops[n].ways
            )
    return held


def _labelled(problem: Problem, number: int, label: str, shift: Shift) -> int:
    ways = problem.stops[number].ways
    return min(range(len(ways)), key=lambda n: (ways[n].label != label, _outside(problem, number, n, shift), n))


def _outside(problem: Problem, number: int, way: int, shift: Shift) -> int:
    chosen = problem.stops[number].ways[way]
    return max(0, chosen.opens - shift.end) + max(0, shift.start - chosen.closes)


def _way_on(problem: Problem, number: int, shift: Shift, routes: Routes) -> int:
    """Return the way of serving a stop on a shift that does the same as now, in its hours where it can be."""
    ways = problem.stops[number].ways
    if not ways:
        raise Refused(f"There is no way of visiting {problem.stops[number].key} this week.")
    now = next((way for route in routes for stop, way in route if stop == number), None)
    label = ways[now].label if now is not None else ways[-1].label
    return _labelled(problem, number, label, shift)


def _without(made: Draft, held: Mapping[int, tuple[Served, ...]]) -> Problem:
    """Return the problem for the solver: without the days that stay, and without stops that are planned last."""
    gone = {stop for route in held.values() for stop, _ in route} | set(made.unplaced)
    stops = tuple(replace(stop, ways=()) if n in gone else stop for n, stop in enumerate(made.problem.stops))
    shifts = tuple(shift for n, shift in enumerate(made.problem.shifts) if n not in held)
    return replace(made.problem, stops=stops, shifts=shifts)


def _whole(made: Draft, held: Mapping[int, tuple[Served, ...]], routes: Routes) -> Routes:
    """Return the solver's routes with the days that stay, and with the stops that have no coordinates at the ends."""
    left = iter(routes)
    whole = [held[n] if n in held else next(left) for n in range(len(made.problem.shifts))]
    there = {stop for route in whole for stop, _ in route}
    for number in made.unplaced:
        if number in there or not (made.parts[number].must or made.parts[number].offer.site.key in made.asked.pins):
            continue
        open_days = [at for at in range(len(whole)) if at not in held]
        ends = [end for at in open_days for end in _ends(made, whole[at], at, number)]
        if ends:
            _, at, route = min(ends)
            whole[at] = route
    return tuple(whole)


_End = tuple[tuple[int, bool, int], int, tuple[Served, ...]]
"""How poor a place for a last stop is, the shift, and its route with that stop."""


def _ends(made: Draft, route: tuple[Served, ...], at: int, number: int) -> Iterator[_End]:
    """Yield the routes of a shift that end with a stop, all else kept or without what need not be visited yet.

    Best is a day that goes out anyway and has most time to spare, since nobody knows how long the drive is.
    """
    problem, shift = made.problem, made.problem.shifts[at]
    pinned = made.asked.pins
    bare = tuple(
        served for served in route if made.parts[served[0]].must or made.parts[served[0]].offer.site.key in pinned
    )
    stop = problem.stops[number]
    for way in (place for place, each in enumerate(stop.ways) if allowed(stop, each, shift)):
        for kept in (route, bare):
            day = timed(problem, shift, (*kept, (number, way)))
            if day.fits:
                yield (len(route) - len(kept), not kept, day.back - shift.end), at, (*kept, (number, way))
                break


def _misfit(route: TimedRoute) -> tuple[int, int]:
    return route.late, route.drive + route.waits
