"""The ways of serving a stop in a week: on which days, within which hours, doing how much, and worth how much."""

from collections.abc import Iterable, Sequence
from datetime import timedelta
from typing import Final, NamedTuple

from register.planning.asked import Asked, Pin
from register.planning.problem import DAY, Shift, Stop, Way, allowed
from register.planning.site_week import Early, Hours, Offer, Premises, Task

OVERDUE_WORTH: Final = 6_000
DUE_WORTH: Final = 3_000
PINNED_WORTH: Final = 20_000
"""In minutes: more than any detour, so that what presses is left out only where it can't be fitted in."""

LATE_LOSS: Final = 1_500
"""What a visit loses that comes after the due date, yet within the week."""

MOST_OVERDUE_DAYS: Final = 200
_WORTH_OF_A_DAY: Final = 10

MUST, BOTH, EXTRA = "must", "both", "extra"
"""What is done at a stop: what must be; that and what is worth doing early; only what is worth doing early."""


class Part(NamedTuple):
    """One stop of the plan before it has a time: a site's offer, or the part of it that a day holds."""

    offer: Offer
    must: tuple[Task, ...]
    early: tuple[Early, ...]
    number: int
    parts: int


def open_hours(site: Premises, asked: Asked, day: int) -> Iterable[Hours]:
    """Yield from when to when a site can be entered on a day of the week, on the planner's clock."""
    hours = site.hours.get(day)
    if hours is not None:
        yield (
            asked.lunch.packed(day * DAY + hours[0]),
            min(asked.lunch.packed(day * DAY + min(hours[1], DAY - 1)), (day + 1) * DAY - 1),
        )


def stop_of(part: Part, asked: Asked, shifts: Sequence[Shift], place: int) -> tuple[Stop, str]:
    """Return a stop with all ways of serving it, and why there are none."""
    site = part.offer.site
    pin = asked.pins.get(site.key)
    days = sorted({shift.day for shift in shifts})
    if pin is not None:
        days = [day for day in days if asked.monday + timedelta(days=day) == pin.day]
    ways: list[Way] = []
    for label, minutes, worth in _doings(part, pinned=pin is not None):
        for day in days:
            late = bool(part.must) and asked.monday + timedelta(days=day) > part.offer.last_in_time
            for opens, closes in open_hours(site, asked, day):
                ways.append(Way(
                    site.ready + minutes, opens, closes, worth - (LATE_LOSS if late else 0), label,
                    pin.van if pin is not None else None,
                ))  # fmt: skip
    stop = Stop(site.key if part.parts == 1 else f"{site.key}#{part.number}", place, _joined(ways, shifts), site.crew)
    return stop, _why_none(stop, asked, shifts, pin)


def _doings(part: Part, *, pinned: bool) -> Iterable[tuple[str, int, int]]:
    """Yield what can be done at a stop: its label, its minutes without set-up, and what it is worth."""
    must = sum(task.minutes for task in part.must)
    both = round(must + sum(each.task.minutes for each in part.early))
    base = PINNED_WORTH if pinned else 0
    if part.must:
        overdue = min(part.offer.overdue_days, MOST_OVERDUE_DAYS)
        base += OVERDUE_WORTH + overdue * _WORTH_OF_A_DAY if overdue or _never_done(part) else DUE_WORTH
        yield MUST, round(must), base
        if part.early:
            yield BOTH, both, base + max(1, round(part.offer.worth))
    elif part.early or pinned:
        yield EXTRA, both, base + max(1, round(part.offer.worth))


def _never_done(part: Part) -> bool:
    return any(task.due is None for task in part.must)


def _joined(ways: list[Way], shifts: Sequence[Shift]) -> tuple[Way, ...]:
    """Return the ways, those of neighbouring days joined to one where the site never keeps a van waiting.

    Fewer ways make the search quicker: between the days there are only nights.
    """
    hours = {
        day: (min(s.start for s in shifts if s.day == day), max(s.end for s in shifts if s.day == day))
        for day in {shift.day for shift in shifts}
    }
    joined: list[Way] = []
    for way in ways:
        start, end = hours[way.opens // DAY]
        open_all_day = way.opens <= start and way.closes >= end
        last = joined[-1] if joined else None
        same = (
            last is not None
            and (last.label, last.worth, last.van) == (way.label, way.worth, way.van)
            and not any((last.closes - 1) // DAY < day < way.opens // DAY for day in hours)
        )
        if last is not None and same and open_all_day and last.closes >= hours[(last.closes - 1) // DAY][1]:
            joined[-1] = Way(way.minutes, last.opens, end, way.worth, way.label, way.van)
        else:
            opens, closes = (start, end) if open_all_day else (way.opens, way.closes)
            joined.append(Way(way.minutes, opens, closes, way.worth, way.label, way.van))
    return tuple(joined)


def _why_none(stop: Stop, asked: Asked, shifts: Sequence[Shift], pin: Pin | None) -> str:
    """Return why a stop can't be served at all; empty where it can."""
    if any(allowed(stop, way, shift) for way in stop.ways for shift in shifts):
        return ""
    reasons = (
        (not asked.vans, "There is no van. Enter one under Firm."),
        (not shifts, "No van works on any day of this week."),
        (
            pin is not None and not stop.ways,
            "Pinned to a day on which no van works or the site is closed. Pin it to another day.",
        ),
        (all(stop.crew > shift.crew for shift in shifts), f"It takes {stop.crew} people; no van has so many."),
        (not stop.ways, "The site can't be entered on any day that is worked this week."),
    )
    shortest = "The site is not open long enough on any day for the set-up and the work."
    return next((reason for holds, reason in reasons if holds), shortest)
