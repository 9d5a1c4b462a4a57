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
        minutes, earliest, latest = self
        work, opens, closes = other
        there = minutes + drive
        if opens > closes or earliest + there > closes:
            return None
        gap = opens - there
        wait = gap - latest if gap > latest else 0
        return Stretch(
            there + wait + work, (max(earliest, gap)) - wait,
            min(closes - there, latest),
        )  # fmt: skip
