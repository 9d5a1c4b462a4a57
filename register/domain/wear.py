"""How harshly an environment class wears items, as one to four strokes: by the shortest interval that it asks for."""

from typing import Final

from register.domain.intervals import Interval
from register.domain.rulebook import Rulebook
from register.domain.words import CONTRACTORS_DUTIES

_UP_TO: Final = ((Interval.of(months=3), 4), (Interval.of(months=6), 3), (Interval.of(months=12), 2))


def strokes(rulebook: Rulebook, environment: str) -> int:
    """Return how many strokes of wear stand for a class: four for a quarter or less, one for more than a year."""
    asked = [
        line.every
        for line in rulebook.intervals
        if line.every is not None and environment in line.environments and line.duty in CONTRACTORS_DUTIES
    ]
    shortest = min(asked, default=None)
    return next((count for longest, count in _UP_TO if shortest is not None and shortest <= longest), 1)
