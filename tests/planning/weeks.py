"""Weeks to be planned, made up from a seed; and a plan worked out again, by nothing of the planner's own."""

import math
from datetime import date, timedelta
from random import Random
from typing import Any

from register.domain.intervals import Interval
from register.planning.asked import Asked, Van
from register.planning.site_week import Premises, Task
from register.planning.travel import Place
from register.planning.week_rows import PlannedDay, PlannedWeek

MONDAY = date(2026, 11, 30)
WORKED = frozenset(MONDAY + timedelta(days=day) for day in range(5))
BASE = Place(-37.80, 145.00)


def site(code: str, *dues: int | None, minutes: float = 20.0, months: int = 6, **more: Any) -> Premises:  # noqa: ANN401
    """Return a site ten minutes east of the base, with a duty due so many days after Monday for each number."""
    every, on = Interval.of(months=months), [None if due is None else MONDAY + timedelta(days=due) for due in dues]
    tasks = tuple(
        Task(f"{code}-{n}", "inspection-and-test", due, every, minutes, tag=f"{code}{n}") for n, due in enumerate(on)
    )  # fmt: skip
    more.setdefault("place", Place(-37.80, 145.06))
    more.setdefault("hours", dict.fromkeys(range(5), (8 * 60, 16 * 60)))
    return Premises(code, f"Site {code}", tasks=tasks, ready=10, **more)


def asked(*sites: Premises, vans: int = 1, **more: Any) -> Asked:  # noqa: ANN401
    """Return the question of a week with some vans and sites."""
    more.setdefault("base", BASE)
    return Asked(MONDAY, MONDAY, WORKED, tuple(Van(f"Van {n + 1}") for n in range(vans)), sites=sites, **more)


def made_up(sites: int, seed: int, vans: int = 2) -> Asked:
    """Return a week with so many sites around the base, some open half the day, with duties due on several days."""
    random = Random(seed)  # noqa: S311 - the same weeks each time
    made = []
    for number in range(sites):
        dues = [random.choice([-40, -5, 2, 9, 25, 60, 100, 170]) for _ in range(3)]
        half = {day: random.choice([(480, 750), (780, 960)]) for day in range(5)}
        made.append(site(
            f"S{number:03}", *random.choices(dues, k=random.randint(2, 25)), minutes=4.0,
            months=random.choice([3, 6, 12]),
            place=Place(BASE.lat + random.gauss(0, 0.15), BASE.lon + random.gauss(0, 0.2)),
            hours=half if random.random() < 0.3 else dict.fromkeys(range(5), (450, 990)),
        ))  # fmt: skip
    return asked(*made, vans=vans)


def wrong_with(week: PlannedWeek) -> list[str]:
    """Work out a plan again from what was asked, and return everything that does not agree."""
    faults = [fault for day in week.days if day.stops for fault in wrong_on(day, week.draft.asked)]
    done = [task for stop in week.stops for task in (*stop.must, *(each.task for each in stop.early))]
    served = {(task.item, task.duty) for task in done}
    if len(served) < len(done):
        faults.append("something is done twice")
    told = {each.code for each in week.left_out}
    silent = [
        task.item for premises in week.draft.asked.sites if premises.key not in told for task in premises.tasks
        if (task.due is None or task.due <= week.draft.asked.last) and (task.item, task.duty) not in served
    ]  # fmt: skip
    return [*faults, *(f"{item} is left out silently" for item in silent)]


def wrong_on(day: PlannedDay, question: Asked) -> list[str]:
    """Work out one day again."""
    van, here, now = question.vans[day.van], question.base, day.leave_base
    faults, km_all, drives = [], 0.0, 0
    for stop in day.stops:
        premises = next(each for each in question.sites if each.key == stop.code)
        km, took = drive(here, premises.place, question)
        now = clock(now, took, question)
        opens, closes = premises.hours[day.day.weekday()]
        work = premises.ready + round(sum(t.minutes for t in stop.must) + sum(e.task.minutes for e in stop.early))
        end = clock(after_lunch(max(now, opens), question), work, question)
        if (stop.arrive, stop.leave, stop.drive) != (now, end, took):
            faults.append(f"{stop.key}: {stop.arrive}-{stop.leave}, worked out {now}-{end}")
        if end > closes and not stop.past:
            faults.append(f"{stop.key} ends after it closes")
        now, here, km_all, drives = end, premises.place, km_all + km, drives + took
    km, took = drive(here, question.base, question)
    back = clock(now, took, question)
    if (day.back, day.drive_minutes) != (back, drives + took) or abs(day.drive_km - km_all - km) > 1e-6:
        faults.append(f"{day.day}: back {day.back}, {day.drive_km} km; worked out {back}, {km_all + km}")
    if day.leave_base < van.start or (back > van.end and not day.late):
        faults.append(f"{day.day} is longer than its shift")
    return faults


def drive(one: Place | None, other: Place | None, question: Asked) -> tuple[float, int]:
    """Return kilometres and minutes by the spherical law of cosines, in place of the planner's formula."""
    assert one is not None
    assert other is not None
    if one == other:
        return 0.0, 0
    a, b = math.radians(one.lat), math.radians(other.lat)
    turn = math.cos(math.radians(other.lon - one.lon))
    arc = math.acos(min(1.0, math.sin(a) * math.sin(b) + math.cos(a) * math.cos(b) * turn))
    km = 6371.0088 * arc * question.pace.road_factor
    return km, math.ceil(km / question.pace.speed_kmh * 60 - 1e-6)


def after_lunch(minute: int, question: Asked) -> int:
    """Return when work begins for which one waited until a minute: lunch that has begun is eaten first."""
    lunch = question.lunch
    return lunch.at + lunch.minutes if lunch.at < minute < lunch.at + lunch.minutes else minute


def clock(start: int, minutes: int, question: Asked) -> int:
    """Return when something ends that lunch may interrupt, minute by minute."""
    lunch, now = question.lunch, start
    for _ in range(minutes):
        if now == lunch.at:
            now += lunch.minutes
        now += 1
    return now
