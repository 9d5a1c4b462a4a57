"""A planned week bent by hand: stops moved, pinned or left out, days locked. Nothing here takes a database."""

from dataclasses import replace
from datetime import date

from register.domain.explain import day_words
from register.errors import Refused
from register.planning.asked import Asked, Pin
from register.planning.planned import Difference
from register.planning.week_rows import PlannedStop, PlannedWeek, week_of
from register.services.week.plan import PinTo, WeekAsk, drop_stop, move_stop


def stop_of(week: PlannedWeek, key: str) -> PlannedStop:
    """Return the stop of a key; refused where the week has none."""
    found = next((stop for stop in week.stops if stop.key == key), None)
    if found is None:
        raise Refused(f"There is no stop at {key} in this week. Check the site's code.")
    return found


def bend(
    week: PlannedWeek, key: str, day: date, van: int, position: int | None = None
) -> tuple[PlannedWeek, Difference]:
    """Return the week with a stop moved and pinned to where it is now, and what that costs.

    Refused from and to a day that is locked. A site that takes several visits can't be pinned as one, and is not.
    """
    stop = stop_of(week, key)
    _check_open(week, stop.day, stop.van)
    _check_open(week, day, van)
    after, cost = move_stop(week, key, day, van, position)
    if stop.parts > 1:
        return after, cost
    return _with(after, pins={**after.draft.asked.pins, stop.code: Pin(day, van)}), cost


def toggle_pin(week: PlannedWeek, key: str) -> PlannedWeek:
    """Return the week with a stop pinned to its day and van, or no longer."""
    stop = stop_of(week, key)
    pins = dict(week.draft.asked.pins)
    if stop.code in pins:
        del pins[stop.code]
    elif stop.parts > 1:
        raise Refused(f"{stop.name} takes {stop.parts} visits, which can't be pinned as one. Lock their days instead.")
    else:
        pins[stop.code] = Pin(stop.day, stop.van)
    return _with(week, pins=pins)


def leave_out(week: PlannedWeek, key: str) -> tuple[PlannedWeek, Difference]:
    """Return the week without any visit to a stop's site, and what that saves. Refused where its day is locked."""
    stop = stop_of(week, key)
    after = week
    for each in [other for other in week.stops if other.code == stop.code]:
        _check_open(week, each.day, each.van)
        after, _ = drop_stop(after, each.key)
    asked = after.draft.asked
    pins = {code: pin for code, pin in asked.pins.items() if code != stop.code}
    made = replace(after.draft, left_out={**after.draft.left_out, stop.code: "Left out as you asked."})
    after = _with(replace(after, draft=made), pins=pins, leave_out=asked.leave_out | {stop.code})
    minutes, km = after.drive_minutes - week.drive_minutes, after.drive_km - week.drive_km
    return after, Difference(minutes, km, ())


def toggle_lock(week: PlannedWeek, day: date, van: int) -> PlannedWeek:
    """Return the week with a van's day locked as it is, or open again."""
    return _with(week, locked=week.draft.asked.locked ^ {(day, van)})


def ask_again(week: PlannedWeek, *, all_sites: bool = False) -> WeekAsk:
    """Return what to ask to plan the rest of a week around its pins and locked days.

    `all_sites` lets those be visited again that the user left out. Pins on days that are over hold nothing any more.
    """
    asked = week.draft.asked
    names = [van.name for van in asked.vans]
    pins = {
        code: PinTo(pin.day, "" if pin.van is None else names[pin.van])
        for code, pin in asked.pins.items() if pin.day >= asked.first
    }  # fmt: skip
    locked = frozenset((day, names[van]) for day, van in asked.locked)
    return WeekAsk(asked.monday, pins, frozenset() if all_sites else asked.leave_out, locked=locked)


def _check_open(week: PlannedWeek, day: date, van: int) -> None:
    if (day, van) in week.draft.asked.locked:
        name = week.draft.asked.vans[van].name
        raise Refused(f"{day_words(day)} of {name} is locked. Unlock the day first.")


def _with(
    week: PlannedWeek, *, pins: dict[str, Pin] | None = None, leave_out: frozenset[str] | None = None,
    locked: frozenset[tuple[date, int]] | None = None,
) -> PlannedWeek:  # fmt: skip
    """Return the week with something else settled by hand; its routes stay."""
    asked: Asked = week.draft.asked
    asked = replace(
        asked, pins=asked.pins if pins is None else pins, leave_out=asked.leave_out if leave_out is None else leave_out,
        locked=asked.locked if locked is None else locked,
    )  # fmt: skip
    return week_of(replace(week.draft, asked=asked), week.routes, tries=week.quality.tries)
