"""A forecast in words: what the window, the command line and paper say of it alike."""

from decimal import Decimal

from register.domain.words import counted
from register.planning.forecast import Totals
from register.planning.workload import time_words


def totals_words(totals: Totals) -> str:
    """Return a forecast in a sentence: "143 trips, 612 h of work and about 98 h driving; no week rises above…"."""
    if not totals.trips:
        return "No work falls due in these weeks."
    trips = counted(totals.trips, "trip")
    work = f"{trips}, {hours_words(totals.minutes)} of work and about {hours_words(totals.drive)} driving"
    if not totals.over:
        return f"{work}; no week rises above the crew's hours."
    weeks = counted(totals.over, "week rises", "weeks rise")
    return f"{work}; {weeks} above the crew's hours, by {hours_words(totals.beyond)}."


def hours_words(minutes: float) -> str:
    """Return minutes as they are told of long stretches: whole hours, below ten with their minutes."""
    whole = round(minutes)
    return time_words(Decimal(whole if whole < 600 else round(whole / 60) * 60))  # noqa: PLR2004 - ten hours
