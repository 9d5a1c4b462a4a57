"""What is asked of a plan: the week, the vans, the sites, and what the user has settled himself."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Final

from register.planning.problem import LunchClock
from register.planning.site_week import Premises
from register.planning.travel import Leg, Pace, Pair, Place

LUNCH: Final = LunchClock(12 * 60, 30)
PACE: Final = Pace()


@dataclass(frozen=True, slots=True)
class Van:
    """A van with its crew: when its day starts and ends (minutes of the day), and from where to where it goes.

    `days` holds the days of the week that it works, 0 for Monday. Without a place it starts or ends at the base.
    """

    name: str
    start: int = 7 * 60 + 30
    end: int = 16 * 60
    crew: int = 1
    days: frozenset[int] = frozenset(range(5))
    start_place: Place | None = None
    end_place: Place | None = None


@dataclass(frozen=True, slots=True)
class Pin:
    """A site that is to be visited on a day, in one van (its place in the list) or in any."""

    day: date
    van: int | None = None


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be planned. `worked` holds the days that are worked; `given` the drives that the user knows."""

    monday: date
    first: date
    worked: frozenset[date]
    vans: tuple[Van, ...]
    base: Place | None
    sites: tuple[Premises, ...]
    lunch: LunchClock = LUNCH
    pace: Pace = PACE
    pins: Mapping[str, Pin] = field(default_factory=dict)
    leave_out: frozenset[str] = frozenset()
    locked: frozenset[tuple[date, int]] = frozenset()
    given: Mapping[Pair, Leg] = field(default_factory=dict)
    drive_share: float = 0.5

    @property
    def last(self) -> date:
        """The last day of the week."""
        return self.monday + timedelta(days=6)

    def last_day(self, due: date) -> date:
        """Return the last worked day up to a due date; Saturdays and Sundays are passed over beyond the week."""
        day = due
        while (self.monday <= day <= self.last and day not in self.worked and day > self.first) or (
            not self.monday <= day <= self.last and day.weekday() > 4  # noqa: PLR2004 - Friday
        ):
            day -= timedelta(days=1)
        return day
