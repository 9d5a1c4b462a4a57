"""Stops one after another, summed up so that two such stretches can be joined at once, however long they are."""

from typing import NamedTuple


class Stretch(NamedTuple):
    """How long a row of stops takes at least, waits included, if it is begun between earliest and latest.

    Begun before that, it waits longer and ends no earlier; begun after that, a site has closed.
    """

    minutes: int
    earliest: int
    latest: int

    def then(self, drive: int, other: "Stretch") -> "Stretch | None":
        """Return this stretch with another after a drive; None where the other would have closed by then."""
        there = self.minutes + drive
        if max(self.earliest + there, other.earliest) > other.latest:
            return None
        opens = other.earliest - there
        wait = max(0, opens - self.latest)
        return Stretch(
            there + wait + other.minutes, max(opens, self.earliest) - wait, min(other.latest - there, self.latest)
        )
