"""What holds for all plans: the base, how fast vans get on, lunch, days off, and the drives that the user knows."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from importlib.metadata import version
from typing import Final

from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.domain.text import clean_text
from register.errors import Refused
from register.planning.kept_settings import PlanSettings, drives_from, settings_from
from register.planning.travel import Leg, Pair
from register.services.settings import set_setting, setting
from register.store.engine import Change

COUNTRY: Final = "AU"
BY_USER: Final = "entered by you"
MOST_DAYS_OFF: Final = 92


@dataclass(frozen=True, slots=True)
class DayOff:
    """A day that is not worked, and why. `source` says by which list of holidays, or that the user said so.

    `worked` holds for a public holiday on which the vans go out all the same.
    """

    day: date
    why: str
    source: str
    worked: bool = False


def plan_settings(connection: Connection) -> PlanSettings:
    """Return what holds for all plans."""
    return settings_from(setting(connection, "planning"))


def keep_plan_settings(change: Change, kept: PlanSettings) -> None:
    """Keep what holds for all plans. Refused where it can't be."""
    set_setting(change, "planning", {
        "base": str(kept.base or ""), "road_factor": str(kept.pace.road_factor), "speed_kmh": str(kept.pace.speed_kmh),
        "lunch_at": str(kept.lunch.at), "lunch_minutes": str(kept.lunch.minutes),
        "days_off": {day.isoformat(): why for day, why in sorted(kept.days_off.items())},
        "days_on": sorted(day.isoformat() for day in kept.days_on),
    })  # fmt: skip


def drives(connection: Connection) -> dict[Pair, Leg]:
    """Return the drives that the user knows, by the codes of start and end; the base has no code."""
    return drives_from(setting(connection, "drives"))


def keep_drives(change: Change, legs: Mapping[Pair, Leg]) -> None:
    """Keep the drives that the user knows, in place of those before."""
    rows = [
        [one, other, str(leg.km), None if leg.minutes is None else str(leg.minutes)]
        for (one, other), leg in sorted(legs.items())
    ]
    set_setting(change, "drives", rows or None)


def days_off(connection: Connection, first: date, last: date) -> list[DayOff]:
    """Return the days that are not worked, both ends included, by the holidays of the state and the user's own days.

    Saturdays and Sundays are left to the vans' own days. Without a state the national holidays hold.
    """
    return [each for each in named_days(connection, first, last) if not each.worked]


def named_days(connection: Connection, first: date, last: date) -> list[DayOff]:
    """Return the days off, both ends included, and the holidays that are worked all the same."""
    import holidays

    settings = plan_settings(connection)
    state = setting(connection, "state", "")
    years = range(first.year, last.year + 1)
    known = holidays.country_holidays(COUNTRY, subdiv=state or None, years=years)
    source = f"holidays {version('holidays')}, {state or COUNTRY}"
    found = {day: DayOff(day, str(why), source, day in settings.days_on) for day, why in known.items()}
    found |= {day: DayOff(day, why or "Day off", BY_USER) for day, why in settings.days_off.items()}
    return [found[day] for day in sorted(found) if first <= day <= last]


def add_days_off(change: Change, first: date, last: date, why: str) -> int:
    """Let no van go out from one day to another, both included; return how many days that are."""
    count = (last - first).days + 1
    if not 1 <= count <= MOST_DAYS_OFF:
        raise Refused(
            f"From {day_words(first)} until {day_words(last)} are no days off. Give a last day that is not before the"
            f" first, and at most {MOST_DAYS_OFF} days at once."
        )
    kept = plan_settings(change.session.connection())
    days = {first + timedelta(days=number): clean_text(why) for number in range(count)}
    keep_plan_settings(change, replace(kept, days_off={**kept.days_off, **days}, days_on=kept.days_on - set(days)))
    return count


def turn_day(change: Change, day: date) -> None:
    """Work on a day that is off, or have it off again where it is a holiday that is worked."""
    kept = plan_settings(change.session.connection())
    own = {other: why for other, why in kept.days_off.items() if other != day}
    keep_plan_settings(
        change, replace(kept, days_off=own, days_on=kept.days_on if day in kept.days_off else kept.days_on ^ {day})
    )


def worked_days(connection: Connection, monday: date) -> frozenset[date]:
    """Return the days of a week that are worked, Saturday and Sunday included where a van works then."""
    off = {each.day for each in days_off(connection, monday, monday + timedelta(days=6))}
    return frozenset(day for day in (monday + timedelta(days=n) for n in range(7)) if day not in off)
