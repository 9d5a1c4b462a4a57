"""A planned week with its times, ready to be shown."""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from register.domain.explain import day_words
from register.domain.words import counted
from register.planning.bound import least_drive
from register.planning.explain import Quality, early_site_words
from register.planning.problem import DAY, Routes, Served, Shift, drive_minutes
from register.planning.routes import solver_name
from register.planning.site_week import Early, Task
from register.planning.timing import TimedRoute, TimedStop, timed
from register.planning.ways import BOTH, EXTRA, MUST, Part
from register.planning.week import Draft


@dataclass(frozen=True, slots=True)
class PlannedStop:
    """A site visited on a day. Times are minutes of the day on the wall's clock; `minutes` is work and set-up.

    `late` says that something is overdue by then that would have been in time earlier in the week; `lunch` that lunch
    falls between arriving and leaving; `waits` counts the minutes, without lunch, until it opens, `past` those after it
    closes.
    """

    key: str
    code: str
    name: str
    part: int
    parts: int
    day: date
    van: int
    arrive: int
    begin: int
    leave: int
    minutes: int
    ready: int
    drive: int
    km: float
    must: tuple[Task, ...]
    early: tuple[Early, ...]
    pinned: bool
    late: bool
    lunch: bool
    waits: int
    past: int
    why: str


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """A van's day. `at_work` is from leaving the base to being back, `room` the hours of its shift without lunch."""

    day: date
    van: int
    van_name: str
    leave_base: int
    back: int
    stops: tuple[PlannedStop, ...]
    drive_km: float
    drive_minutes: int
    at_work: int
    room: int
    late: int
    locked: bool


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A site that is not visited though it was thought of, and why. `pressing`: something there is overdue or due."""

    code: str
    name: str
    reason: str
    pressing: bool


@dataclass(frozen=True, slots=True)
class PlannedWeek:
    """A week: its days by day and van, empty ones too; what is left out; what had to be assumed; how good it is."""

    draft: Draft
    routes: Routes
    days: tuple[PlannedDay, ...]
    left_out: tuple[LeftOut, ...]
    notes: tuple[str, ...]
    quality: Quality

    @property
    def drive_minutes(self) -> int:
        """The minutes of all drives."""
        return sum(day.drive_minutes for day in self.days)

    @property
    def drive_km(self) -> float:
        """The kilometres of all drives."""
        return sum(day.drive_km for day in self.days)

    @property
    def stops(self) -> tuple[PlannedStop, ...]:
        """All stops, day by day."""
        return tuple(stop for day in self.days for stop in day.stops)


def week_of(made: Draft, routes: Routes, *, tries: int) -> PlannedWeek:
    """Return a draft's week for some routes, with all times."""
    problem = made.problem
    routed = [timed(problem, shift, route) for shift, route in zip(problem.shifts, routes, strict=True)]
    days = tuple(_day(made, each) for each in routed)
    served = {stop for route in routes for stop, _ in route}
    left_out = [
        LeftOut(key, _name(made, key), why, _presses(made, key)) for key, why in sorted(made.left_out.items())
    ]  # fmt: skip
    left_out += [
        _left_out(part) for number, part in enumerate(made.parts)
        if number not in served and part.offer.site.key not in made.left_out
    ]  # fmt: skip
    left_out.sort(key=lambda each: (not each.pressing, each.code))
    return PlannedWeek(made, routes, days, tuple(left_out), made.notes, _quality(made, routes, tries))


def date_of(made: Draft, shift: Shift) -> date:
    """Return the date of a shift."""
    return made.asked.monday + timedelta(days=shift.day)


def _day(made: Draft, route: TimedRoute) -> PlannedDay:
    shift, lunch = route.shift, made.asked.lunch
    on = date_of(made, shift)
    back = lunch.shown(route.back) - shift.day * DAY
    leave = lunch.shown(route.leave_base) - shift.day * DAY
    return PlannedDay(
        day=on, van=shift.van, van_name=made.asked.vans[shift.van].name, leave_base=leave, back=back,
        stops=tuple(_stop(made, shift, each) for each in route.stops), drive_km=route.km, drive_minutes=route.drive,
        at_work=route.back - route.leave_base, room=shift.end - shift.start, late=route.late,
        locked=(on, shift.van) in made.asked.locked,
    )  # fmt: skip


def _stop(made: Draft, shift: Shift, at: TimedStop) -> PlannedStop:
    stop, part, lunch = made.problem.stops[at.stop], made.parts[at.stop], made.asked.lunch
    way, site, on = stop.ways[at.way], part.offer.site, date_of(made, shift)
    arrive, begin, leave = (lunch.shown(minute) - shift.day * DAY for minute in (at.arrive, at.begin, at.leave))
    return PlannedStop(
        key=stop.key, code=site.key, name=site.name, part=part.number, parts=part.parts, day=on, van=shift.van,
        arrive=arrive, begin=begin, leave=leave, minutes=way.minutes, ready=site.ready, drive=at.drive, km=at.km,
        must=() if way.label == EXTRA else part.must, early=() if way.label == MUST else part.early,
        pinned=site.key in made.asked.pins, late=bool(part.must) and on > part.offer.last_in_time,
        lunch=lunch.interrupts(at.leave) and not lunch.interrupts(at.arrive), waits=at.waits, past=at.late,
        why=_why(part, way.label),
    )  # fmt: skip


def _why(part: Part, label: str) -> str:
    """Return why a site is visited this week."""
    offer = part.offer
    if label == EXTRA:
        if offer.first_due is None or not part.early:
            return "Visited because you pinned it."
        return early_site_words(offer.worth, offer.first_due)
    never = sum(task.due is None for task in part.must)
    oldest = min((task.due for task in part.must if task.due is not None), default=None)
    told = [f"{never} never done"] if never else []
    if oldest is not None:
        told.append(f"overdue since {day_words(oldest)}" if offer.overdue_days else f"due from {day_words(oldest)}")
    saves = counted(len(part.early), "done early saves", "done early save")
    early = f" {saves} {offer.worth:.0f} min over the year." if label == BOTH else ""
    return f"{len(part.must)} due: {', '.join(told)}.{early}"


def _left_out(part: Part) -> LeftOut:
    offer, parts = part.offer, f" (visit {part.number} of {part.parts})" if part.parts > 1 else ""
    if part.must:
        minutes = round(offer.site.ready + sum(task.minutes for task in part.must))
        reason = f"No van has {minutes} min left within its hours and the site's{parts}; it comes first next week."
        return LeftOut(offer.site.key, offer.site.name, reason, pressing=True)
    reason = f"Nothing is due before {day_words(offer.first_due)}; " if offer.first_due else ""
    reason += f"the way there costs more than the {offer.worth:.0f} min that an early visit would save."
    return LeftOut(offer.site.key, offer.site.name, reason[:1].upper() + reason[1:], pressing=False)


def _name(made: Draft, key: str) -> str:
    return next((site.name for site in made.asked.sites if site.key == key), key)


def _presses(made: Draft, key: str) -> bool:
    if key in made.pressing_left_out:
        return True
    return any(part.must for part in made.parts if part.offer.site.key == key)


def _quality(made: Draft, routes: Routes, tries: int) -> Quality:
    """Return how good a plan is for what must be visited: stops that need not be are passed by."""
    problem = made.problem
    needed = [tuple(each for each in route if _needed(made, each)) for route in routes]
    drives = sum(drive_minutes(problem, shift, route) for shift, route in zip(problem.shifts, needed, strict=True))
    served = [each for route in needed for each in route]
    on_site = sum(
        made.parts[stop].offer.site.ready + round(sum(task.minutes for task in made.parts[stop].must))
        for stop, _ in served
    )
    places = tuple(sorted({problem.stops[stop].place for stop, _ in served}))
    bases = tuple(sorted({place for shift in problem.shifts for place in (shift.start_place, shift.end_place)}))
    longest = max((shift.end - shift.start for shift in problem.shifts), default=1)
    bound = _bound(problem.travel, bases, places, -(-on_site // longest)) if places else 0.0
    return Quality(drives + on_site, int(bound) + on_site, tries, solver_name())


_bound = lru_cache(maxsize=8)(least_drive)
"""Remembered, since it stays as it is while stops are moved by hand."""


def _needed(made: Draft, served: Served) -> bool:
    return bool(made.parts[served[0]].must)
