"""The week as it is planned, bent by hand and kept: each function is one thing that a user does with it."""

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Final

from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.domain.intervals import Interval
from register.domain.weeks import monday_of
from register.domain.words import Duty, Kind
from register.errors import Refused
from register.planning.asked import Asked, Pin, Van
from register.planning.planned import Difference, difference, fixed_days, move, plan, routes_of, take_out
from register.planning.problem import Progress
from register.planning.routes import EFFORT
from register.planning.site_week import Premises, Task
from register.planning.travel import place_from
from register.planning.week import draft
from register.planning.week_rows import PlannedWeek, week_of
from register.services.week.kept import kept_routes, week_visits
from register.services.week.minutes import minutes_in_force
from register.services.week.plan_settings import drives, plan_settings, worked_days
from register.services.week.visiting import VanRow, Visiting, vans, visiting_of_all
from register.store.plan_work import site_rows, work_until

AHEAD_DAYS: Final = 380
"""How far ahead duties are looked at: a year from the end of the week."""


@dataclass(frozen=True, slots=True)
class PinTo:
    """A site that is to be visited on a day, in the van of a name, or in any where it is empty."""

    day: date
    van: str = ""


@dataclass(frozen=True, slots=True)
class WeekAsk:
    """What the user settles of a week: any day of it, pins and sites to leave out by code, how many vans at most.

    `locked` holds the days of vans, by the van's name, that stay as they are. Vans beyond
    those there are, are like the first.
    """

    week: date
    pins: Mapping[str, PinTo] = field(default_factory=dict)
    leave_out: frozenset[str] = frozenset()
    vans: int | None = None
    locked: frozenset[tuple[date, str]] = frozenset()
    seed: int = 1
    effort: float = EFFORT

    @property
    def monday(self) -> date:
        """The first day of the week."""
        return monday_of(self.week)


def week_from(text: str) -> date:
    """Return the Monday of a week that is written as `2026-W49`; refused where it is none."""
    year, _, number = text.upper().partition("-W")
    try:
        return date.fromisocalendar(int(year), int(number), 1)
    except ValueError:
        raise Refused(f"“{text}” is no week. Write the year and the week's number, like 2026-W49.") from None


def coming_week(today: date) -> date:
    """Return the Monday of the week that is planned where none is named: this one until Thursday, then the next."""
    return monday_of(today) + timedelta(days=7 if today.weekday() > 3 else 0)  # noqa: PLR2004 - Thursday


def week_code(monday: date) -> str:
    """Return a week as it is written: `2026-W49`."""
    year, number, _ = monday.isocalendar()
    return f"{year}-W{number:02d}"


def plan_week(
    connection: Connection,
    today: date,
    ask: WeekAsk,
    *,
    before: PlannedWeek | None = None,
    progress: Progress | None = None,
    first_plan: Callable[[PlannedWeek], None] | None = None,
) -> PlannedWeek:
    """Return the best plan found of a week. `before` is the plan whose locked days stay.

    Refused for a week that is over, and for pins on days that are over, not worked or of other weeks, or to vans that
    there are not.
    """
    asked = week_question(connection, today, ask)
    _check_pins(asked)
    fixed = fixed_days(before, asked.locked) if before is not None else {}
    return plan(asked, seed=ask.seed, effort=ask.effort, fixed=fixed, progress=progress, first_plan=first_plan)


def kept_week(connection: Connection, today: date, monday: date) -> PlannedWeek | None:
    """Return the week as it was kept, timed anew by what is known now; None where it was never planned."""
    kept = kept_routes(connection, monday)
    if not kept:
        return None
    locked = frozenset((row.day, row.van) for row in week_visits(connection, monday) if row.locked)
    pins = {
        row.code: PinTo(row.day, row.van) for row in week_visits(connection, monday) if row.pinned and row.day >= today
    }  # fmt: skip
    asked = week_question(connection, today, WeekAsk(monday, pins, locked=locked))
    names = [van.name for van in asked.vans]
    fixed = {(day, names.index(van)): route for (day, van), route in kept.items() if van in names}
    made = draft(asked)
    return week_of(made, routes_of(made, fixed), tries=0)


def move_stop(
    week: PlannedWeek, key: str, day: date, van: int, position: int | None = None
) -> tuple[PlannedWeek, Difference]:
    """Return the week with a stop on another day or van, and what that costs; it takes no database."""
    after = move(week, key, day, van, position)
    return after, difference(week, after)


def drop_stop(week: PlannedWeek, key: str) -> tuple[PlannedWeek, Difference]:
    """Return the week without a stop, and what that saves."""
    after = take_out(week, key)
    return after, difference(week, after)


def week_question(connection: Connection, today: date, ask: WeekAsk) -> Asked:
    """Return what is asked of a planner for a week of this register."""
    monday, there = ask.monday, vans(connection)
    sunday = monday + timedelta(days=6)
    if sunday < today:
        raise Refused(f"The week {week_code(monday)} is over. Plan the present week or a later one.")
    there, leave_out = _so_many(there, ask.vans), _known_codes(connection, ask)
    settings, worked = plan_settings(connection), worked_days(connection, monday)
    days = sorted(day for day in worked if day >= max(monday, today))
    names = [row.facts.name for row in there]
    sites = premises(connection, sunday + timedelta(days=AHEAD_DAYS))
    return Asked(
        monday=monday, first=days[0] if days else max(monday, today), worked=worked,
        vans=tuple(_van(row) for row in there), base=settings.base, sites=sites, lunch=settings.lunch,
        pace=settings.pace, pins={code.upper(): _pin(code, pin, monday, names) for code, pin in ask.pins.items()},
        leave_out=leave_out,
        locked=frozenset((day, names.index(name)) for day, name in ask.locked if name in names),
        given=drives(connection),
    )  # fmt: skip


def premises(connection: Connection, until: date) -> tuple[Premises, ...]:
    """Return every site that has work until a day, as a planner sees it."""
    minutes = minutes_in_force(connection)
    each = {(kind.value, duty.value): float(minutes.of(kind, duty)) for kind in Kind for duty in Duty}
    tasks: defaultdict[str, list[Task]] = defaultdict(list)
    every: dict[str, Interval | None] = {}
    for row in work_until(connection, until):
        if row.interval not in every:
            every[row.interval] = interval_of(row.interval)
        tasks[row.site_id].append(
            Task(
                item=row.item_id,
                duty=row.duty,
                due=row.due,
                every=every[row.interval],
                minutes=each[row.kind, row.duty],
                tag=row.tag_number,
                kind=row.kind,
                area=row.area,
                last_done=row.last_done,
            )
        )
    known = visiting_of_all(connection)
    return tuple(
        _premises(row.code, row.name, tuple(tasks[row.id]), known.get(row.id, Visiting()))
        for row in site_rows(connection) if row.id in tasks
    )  # fmt: skip


def interval_of(text: str) -> Interval | None:
    """Return an interval by the calendar; None for an occasion."""
    try:
        return Interval.parse(text)
    except Refused:
        return None


def _premises(code: str, name: str, tasks: tuple[Task, ...], facts: Visiting) -> Premises:
    place = place_from(facts.place)
    return Premises(
        key=code,
        name=name,
        place=place,
        tasks=tasks,
        ready=facts.ready_minutes,
        crew=facts.people,
        hours=dict(facts.hours),
    )


def _so_many(there: list[VanRow], wanted: int | None) -> list[VanRow]:
    """Return as many vans as are asked for: the first of them, and beyond those there are, more like the first."""
    if wanted is None or not there:
        return there
    more = [
        VanRow("", 0, replace(there[0].facts, name=f"One more van {number}"))
        for number in range(1, wanted - len(there) + 1)
    ]
    return [*there[:wanted], *more]


def _van(row: VanRow) -> Van:
    facts = row.facts
    return Van(
        name=facts.name,
        start=facts.start,
        end=facts.until,
        crew=facts.people,
        days=facts.days,
        start_place=place_from(facts.start_place),
        end_place=place_from(facts.end_place),
    )


def _pin(code: str, pin: PinTo, monday: date, names: list[str]) -> Pin:
    if not monday <= pin.day <= monday + timedelta(days=6):
        raise Refused(
            f"{code} is pinned to {day_words(pin.day)}, which is not in the week {week_code(monday)}. Give a day of it."
        )
    if pin.van and pin.van not in names:
        raise Refused(f"There is no van “{pin.van}”. There are: {', '.join(names) or 'none'}.")
    return Pin(pin.day, names.index(pin.van) if pin.van else None)


def _check_pins(asked: Asked) -> None:
    """Refuse pins on days that are over, or on which no van works or not the one that is named."""
    for code, pin in asked.pins.items():
        vans_meant = asked.vans if pin.van is None else (asked.vans[pin.van],)
        if pin.day not in asked.worked:
            why = "which is a day off"
        elif pin.day < asked.first:
            why = f"but the first day that can be planned is {day_words(asked.first)}"
        elif vans_meant and not any(pin.day.weekday() in van.days for van in vans_meant):
            who = "no van works" if pin.van is None else f"{asked.vans[pin.van].name} does not work"
            why = f"on which {who}"
        else:
            continue
        raise Refused(f"{code} is pinned to {day_words(pin.day)}, {why}. Choose another day.")


def _known_codes(connection: Connection, ask: WeekAsk) -> frozenset[str]:
    """Return the codes to leave out; refused where one of them, or of those pinned, is no site's."""
    there = {row.code for row in site_rows(connection)}
    unknown = sorted({code.upper() for code in (*ask.leave_out, *ask.pins)} - there)
    if unknown:
        raise Refused(f"There is no site {', '.join(unknown)} in this register. Check the code.")
    return frozenset(code.upper() for code in ask.leave_out)
