"""What holds for all plans: the base, how fast vans get on, lunch, days off, and the drives that the user knows."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from importlib.metadata import version
from typing import Final

from sqlalchemy.engine import Connection

from register.planning.kept_settings import PlanSettings, drives_from, settings_from
from register.planning.travel import Leg, Pair
from register.services.settings import set_setting, setting
from register.store.engine import Change

COUNTRY: Final = "AU"


@dataclass(frozen=True, slots=True)
class DayOff:
    """A day that is not worked, and why. `source` says by which list of holidays, or that the user said so."""

    day: date
    why: str
    source: str


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
    import holidays

    settings = plan_settings(connection)
    state = setting(connection, "state", "")
    years = range(first.year, last.year + 1)
    known = holidays.country_holidays(COUNTRY, subdiv=state or None, years=years)
    source = f"holidays {version('holidays')}, {state or COUNTRY}"
    found = {day: DayOff(day, str(why), source) for day, why in known.items() if day not in settings.days_on}
    found |= {day: DayOff(day, why or "Day off", "entered by you") for day, why in settings.days_off.items()}
    return [found[day] for day in sorted(found) if first <= day <= last]


def worked_days(connection: Connection, monday: date) -> frozenset[date]:
    """Return the days of a week that are worked, Saturday and Sunday included where a van works then."""
    off = {each.day for each in days_off(connection, monday, monday + timedelta(days=6))}
    return frozenset(day for day in (monday + timedelta(days=n) for n in range(7)) if day not in off)
