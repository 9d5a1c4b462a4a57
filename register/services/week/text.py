"""A planned week in words: what the window, the command line and the day sheets say of it alike."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from register.domain.explain import day_words
from register.domain.words import counted
from register.planning.week_rows import PlannedDay, PlannedStop, PlannedWeek
from register.planning.workload import time_words
from register.services.week.visiting import clock_words

_DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True, slots=True)
class Card:
    """A stop as a card shows it. `key` names it in changes of the plan; `place` is latitude and longitude."""

    key: str
    code: str
    title: str
    times: str
    work: str
    early: tuple[str, ...]
    why: str
    marks: tuple[str, ...]
    place: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class Column:
    """A van's day as a column shows it. `full` is the share of its hours that is taken; `trouble` what is amiss."""

    day: date
    van: int
    title: str
    van_name: str
    hours: str
    load: str
    drive: str
    full: float
    locked: bool
    trouble: str
    cards: tuple[Card, ...]


def cards(week: PlannedWeek) -> tuple[Column, ...]:
    """Return a planned week as columns of cards, by day and van, empty days too."""
    return tuple(_column(week, day) for day in week.days)


def _column(week: PlannedWeek, day: PlannedDay) -> Column:
    room = max(day.room, 1)
    hours = f"{clock_words(day.leave_base)} – {clock_words(day.back)}" if day.stops else "No visits"  # noqa: RUF001 - a stretch
    return Column(
        day=day.day,
        van=day.van,
        title=day_title(day.day),
        van_name=day.van_name,
        hours=hours,
        load=f"{_time(day.at_work)} of {_time(day.room)}",
        drive=f"{day.drive_km:.0f} km, {_time(day.drive_minutes)} driving",
        full=day.at_work / room,
        locked=day.locked,
        trouble=f"{day.late} min beyond hours" if day.late else "",
        cards=tuple(_card(week, stop) for stop in day.stops),
    )


def _card(week: PlannedWeek, stop: PlannedStop) -> Card:
    site = next(each for each in week.draft.asked.sites if each.key == stop.code)
    marks = [
        (stop.pinned, "Pinned"), (stop.late, "After its due date"),
        (stop.past > 0, f"Ends {stop.past} min after closing"),
        (stop.lunch, "Lunch"), (stop.parts > 1, f"Visit {stop.part} of {stop.parts}"),
        (stop.waits > 0, wait_words(stop)),
        (site.place is None, "No coordinates"),
    ]  # fmt: skip
    return Card(
        key=stop.key,
        code=stop.code,
        title=stop.name,
        times=f"{clock_words(stop.arrive)} – {clock_words(stop.leave)}",  # noqa: RUF001 - a stretch
        work=stop_words(stop),
        early=tuple(f"{each.task.tag}: {each.why}" for each in stop.early),
        why=stop.why,
        marks=tuple(words for holds, words in marks if holds),
        place=(site.place.lat, site.place.lon) if site.place else None,
    )


def stop_words(stop: PlannedStop) -> str:
    """Return what is done at a stop: "12 due, 3 pulled forward, 1 h 05"."""
    parts = [f"{len(stop.must)} due"] if stop.must else []
    parts += [f"{len(stop.early)} pulled forward"] if stop.early else []
    return ", ".join([*parts, _time(stop.minutes)])


def wait_words(stop: PlannedStop) -> str:
    """Return how long a van stands there before the site opens; empty where it does not."""
    return f"Waits {_time(stop.waits)} until it opens" if stop.waits else ""


def day_title(day: date) -> str:
    """Return a day as it heads a column: "Mon 30 Nov 2026"."""
    return f"{_DAYS[day.weekday()]} {day_words(day)}"


def week_lines(week: PlannedWeek) -> list[str]:
    """Return a planned week as lines of text."""
    lines: list[str] = []
    for day in week.days:
        if day.stops:
            lines.append(
                f"{day_title(day.day)}, {day.van_name}: {clock_words(day.leave_base)} to {clock_words(day.back)},"
                f" {day.drive_km:.0f} km, {_time(day.drive_minutes)} driving"
            )
            lines += [_stop_line(stop) for stop in day.stops]
    lines += [f"Left out: {each.name} ({each.code}). {each.reason}" for each in week.left_out]
    lines += week.notes
    visits = counted(len(week.stops), "visit")
    lines.append(f"{visits}, {week.drive_km:.0f} km, {_time(week.drive_minutes)} driving. {week.quality.words}")
    return lines


def _stop_line(stop: PlannedStop) -> str:
    early = f" {stop.early[0].why}" if stop.early and not stop.must else ""
    waits = f" {wait_words(stop)}." if stop.waits else ""
    return (
        f"  {clock_words(stop.arrive)}-{clock_words(stop.leave)}  {stop.code:9}{stop.name}: {stop_words(stop)}."
        f"{waits} {stop.why}{early}"
    )


def _time(minutes: int) -> str:
    return time_words(Decimal(minutes))
