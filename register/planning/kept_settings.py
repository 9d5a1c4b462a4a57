"""What holds for all plans, as it is kept: the base, how fast vans get on, lunch, days off, drives the user knows."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final

from register.errors import Refused
from register.planning.problem import LunchClock
from register.planning.travel import Leg, Pace, Pair, Place, place_from

MOST_FACTOR: Final = 5
MOST_SPEED: Final = 130
MOST_LUNCH: Final = 120
DAY_MINUTES: Final = 24 * 60


@dataclass(frozen=True, slots=True)
class PlanSettings:
    """What holds for all plans. `days_off` holds days that are not worked and why; `days_on` holidays that are."""

    base: Place | None = None
    pace: Pace = field(default_factory=Pace)
    lunch: LunchClock = field(default_factory=lambda: LunchClock(12 * 60, 30))
    days_off: Mapping[date, str] = field(default_factory=dict)
    days_on: frozenset[date] = frozenset()


def settings_from(kept: Any) -> PlanSettings:  # noqa: ANN401 - whatever was kept
    """Return settings from their kept form. Refused where they can't be."""
    if not kept:
        return PlanSettings()
    try:
        pace = Pace(float(kept["road_factor"]), float(kept["speed_kmh"]))
        lunch = LunchClock(int(kept["lunch_at"]), int(kept["lunch_minutes"]))
        off = {date.fromisoformat(day): str(why) for day, why in kept["days_off"].items()}
        on = frozenset(map(date.fromisoformat, kept["days_on"]))
        base = place_from(kept["base"])
    except (KeyError, TypeError, ValueError, AttributeError):
        raise Refused("What is kept about planning can't be read.") from None
    if not (1 <= pace.road_factor <= MOST_FACTOR and 1 <= pace.speed_kmh <= MOST_SPEED):
        raise Refused(f"Give a road factor from 1 to {MOST_FACTOR} and a speed from 1 to {MOST_SPEED} km/h.")
    if not (0 <= lunch.at < DAY_MINUTES and 0 <= lunch.minutes <= MOST_LUNCH):
        raise Refused(f"Give lunch a time of the day and at most {MOST_LUNCH} minutes.")
    return PlanSettings(base, pace, lunch, off, on)


def drives_from(kept: Any) -> dict[Pair, Leg]:  # noqa: ANN401 - whatever was kept
    """Return drives from their kept form. Refused where they can't be."""
    try:
        return {
            (str(one), str(other)): Leg(_least_zero(km), None if minutes is None else _least_zero(minutes))
            for one, other, km, minutes in kept or ()
        }
    except (TypeError, ValueError):
        raise Refused("The table of distances can't be read: each row is from, to, km, minutes.") from None


def _least_zero(text: Any) -> float:  # noqa: ANN401 - whatever was kept
    number = float(text)
    if not 0 <= number < 1e5:  # noqa: PLR2004 - farther than round the Earth
        raise ValueError(text)
    return number
