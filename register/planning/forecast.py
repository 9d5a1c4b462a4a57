"""A year of weeks: how much work and how many trips each brings, and the peaks levelled within what due dates allow."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from register.domain.intervals import add_interval
from register.planning.asked import Asked
from register.planning.pull_forward import MOST_STEPS, Load, Question, site_year
from register.planning.site_week import Premises
from register.planning.week import UNKNOWN_DRIVE, drives_near

WEEK_DAYS = 7
STEPS = 2_000_000
"""How many steps are taken at all sites together before due dates are put together more coarsely: some seconds."""

LEAST_STEPS = 500


@dataclass(frozen=True, slots=True)
class Trip:
    """A visit of a site in the year: on the day it is best made, in minutes of work, set-up and drive."""

    site: str
    day: date
    work: float
    ready: int
    drive: float
    loads: tuple[Load, ...]

    @property
    def minutes(self) -> float:
        """The minutes at the site."""
        return self.work + self.ready


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """A week of the forecast: the trips as they are best for each site, and after levelling; the hours of the crew."""

    monday: date
    best: tuple[Trip, ...]
    level: tuple[Trip, ...]
    crew_minutes: float

    @property
    def best_minutes(self) -> float:
        """The minutes of work before levelling."""
        return sum(trip.minutes for trip in self.best)

    @property
    def minutes(self) -> float:
        """The minutes of work after levelling."""
        return sum(trip.minutes for trip in self.level)

    @property
    def drive(self) -> float:
        """The minutes of drives after levelling, about."""
        return sum(trip.drive for trip in self.level)

    @property
    def above(self) -> float:
        """The minutes of work beyond the crew's hours."""
        return max(0.0, self.minutes - self.crew_minutes)


@dataclass(frozen=True, slots=True)
class Forecast:
    """The weeks, and how many sites had their due dates put together because they have too many different ones."""

    weeks: tuple[WeekLoad, ...]
    coarse: int


@dataclass(frozen=True, slots=True)
class Totals:
    """A forecast summed up: `over` counts the weeks with more work than the crew has hours, `beyond` those minutes.

    `fullest` is the week with the most work, None where there is none at all.
    """

    trips: int
    minutes: float
    drive: float
    over: int
    beyond: float
    fullest: WeekLoad | None


def totals_of(found: Forecast) -> Totals:
    """Return a forecast summed up, after levelling."""
    fullest = max(found.weeks, key=lambda week: week.minutes, default=None)
    return Totals(
        trips=sum(len(week.level) for week in found.weeks),
        minutes=sum(week.minutes for week in found.weeks),
        drive=sum(week.drive for week in found.weeks),
        over=sum(week.above >= 1 for week in found.weeks),
        beyond=sum(week.above for week in found.weeks),
        fullest=fullest if fullest is not None and fullest.minutes else None,
    )


Progress = Callable[[int, int], None]


def forecast(
    asked: Asked, weeks: int, crew_minutes: Callable[[date], float], progress: Progress | None = None
) -> Forecast:
    """Return so many weeks from the week that is asked about on. `crew_minutes` is what the crew can work in a week.

    Every site's visits are those of its best year; then peaks are moved to earlier weeks, never to later ones.
    """
    near = drives_near(asked)
    mondays = [asked.monday + timedelta(days=WEEK_DAYS * n) for n in range(weeks)]
    trips: list[list[Trip]] = []
    coarse, steps = 0, max(LEAST_STEPS, min(MOST_STEPS, STEPS // max(1, len(asked.sites))))
    for done, site in enumerate(asked.sites):
        year, grain = _trips(site, asked, near.get(site.key, UNKNOWN_DRIVE), weeks * WEEK_DAYS, steps)
        trips.append(year)
        coarse += grain > 1
        if progress is not None:
            progress(done + 1, len(asked.sites))
    level = _levelled(trips, mondays, crew_minutes)
    found = tuple(
        WeekLoad(monday, _in_week(trips, monday), _in_week(level, monday), crew_minutes(monday)) for monday in mondays
    )
    return Forecast(found, coarse)


def _trips(site: Premises, asked: Asked, drive: float, days: int, steps: int) -> tuple[list[Trip], int]:
    loads = [Load(task.due or asked.first, task.every, task.minutes) for task in site.tasks]
    question = Question(asked.first, site.ready + drive, asked.last_day, days - 1 - (asked.first - asked.monday).days)
    year = site_year(question, loads, steps)
    trips = [
        Trip(site.key, visit.day, visit.minutes, site.ready, drive, visit.loads) for visit in year.best().visits
    ]  # fmt: skip
    return trips, year.grain


def _in_week(trips: Iterable[Iterable[Trip]], monday: date) -> tuple[Trip, ...]:
    until = monday + timedelta(days=WEEK_DAYS)
    return tuple(trip for site in trips for trip in site if monday <= trip.day < until)


def _levelled(
    trips: Sequence[Sequence[Trip]], mondays: Sequence[date], crew_minutes: Callable[[date], float]
) -> list[list[Trip]]:
    """Return the trips with those of full weeks moved to the nearest earlier week with room, the last weeks first."""
    level = [list(site) for site in trips]
    load = {monday: sum(trip.minutes for trip in _in_week(level, monday)) for monday in mondays}
    end = mondays[-1] + timedelta(days=WEEK_DAYS)
    for place in range(len(mondays) - 1, 0, -1):
        monday = mondays[place]
        if load[monday] <= crew_minutes(monday):
            continue
        there = [
            (number, at) for number, site in enumerate(level) for at, trip in enumerate(site)
            if monday <= trip.day < monday + timedelta(days=WEEK_DAYS)
        ]  # fmt: skip
        there.sort(key=lambda each: (level[each[0]][each[1]].minutes, each))
        for number, at in there:
            if load[monday] <= crew_minutes(monday):
                break
            trip = level[number][at]
            for weeks_early in range(1, place + 1):
                earlier = mondays[place - weeks_early]
                room = crew_minutes(earlier) - load[earlier]
                moved = replace(trip, day=trip.day - timedelta(days=WEEK_DAYS * weeks_early))
                if trip.minutes <= room and _stays_in_time(level[number], at, moved, end):
                    level[number][at] = moved
                    load[monday] -= trip.minutes
                    load[earlier] += trip.minutes
                    break
    return level


def _stays_in_time(site: Sequence[Trip], at: int, moved: Trip, end: date) -> bool:
    """Whether a visit can be made earlier without anything going overdue later, and stays after the one before."""
    if at and moved.day <= site[at - 1].day:
        return False
    old = site[at].day
    for load in moved.loads:
        if load.every is None:
            continue
        was_due, due = add_interval(old, load.every), add_interval(moved.day, load.every)
        doers = [trip.day for trip in site[at + 1 :] if trip.day <= was_due]
        if due < (doers[-1] if doers else end):
            return False
    return True
