"""What is said about a plan: why a duty is done early, why a site is left out, how good the plan is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil

from register.domain.explain import day_words
from register.domain.words import counted
from register.planning.bound import WORTH_SAYING


@dataclass(frozen=True, slots=True)
class Quality:
    """How good a plan is: its cost for what must be visited in minutes, a bound that no plan beats, and the tries."""

    cost: int
    lower_bound: int
    tries: int
    solver: str

    @property
    def gap(self) -> float | None:
        """By how much of the bound the plan lies above it; None where there is nothing to compare."""
        return (self.cost - self.lower_bound) / self.lower_bound if self.lower_bound > 0 else None

    @property
    def words(self) -> str:
        """What can be said in good faith."""
        gap = self.gap
        if gap is None:
            return "Nothing has to be visited."
        if gap <= 0:
            return "No shorter plan exists for what must be visited."
        if gap <= WORTH_SAYING:
            return f"At most {ceil(round(gap * 100, 6))} % above the shortest there can be for what must be visited."
        if not self.tries:
            return "As it was kept or moved by hand; no better plan was sought."
        return f"No better plan was found in {self.tries:,} tries."


def early_words(due: date, day: date, lost: float, without: date | None, after: date | None) -> str:
    """Return why a duty is done before it is due: what that gives away, and until when no visit is needed then."""
    days = (due - day).days
    gives = f"{_minutes(lost)} of its interval" if lost >= 0.05 else "next to nothing of its interval"  # noqa: PLR2004
    if without is None:
        saves = ""
    elif after is None:
        saves = f"; saves a visit by {day_words(without)}"
    else:
        saves = f"; the next visit is by {day_words(after)} instead of {day_words(without)}" if after > without else ""
    return f"Due {day_words(due)}. {counted(days, 'day')} early gives away {gives}{saves}."


def early_site_words(worth: float, due: date) -> str:
    """Return why a site is visited that need not be yet."""
    return f"Nothing is due before {day_words(due)}; on the way now saves {worth:.0f} min over the year."


def split_words(name: str, minutes: int, parts: int) -> str:
    """Return how a site is split whose work exceeds a day."""
    return f"{name} has {minutes:,} min of work, more than one visit's hours hold; it was split into {parts} visits."


def unplaced_words(names: Sequence[str]) -> str:
    """Return what is said of sites without coordinates."""
    verb = "has" if len(names) == 1 else "have"
    return (
        f"{', '.join(names)} {verb} no coordinates: planned last, with an assumed drive. Type them as lat, lon to have"
        " the drive worked out."
    )


def _minutes(minutes: float) -> str:
    return f"{minutes:.1f} min" if minutes < 10 else f"{minutes:.0f} min"  # noqa: PLR2004 - shown to a tenth below ten
