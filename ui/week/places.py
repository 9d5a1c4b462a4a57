"""Where things are on the sheet of a week: the columns from left to right, the time of day from top to bottom."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QRect, QRectF, QSize

from register.planning.week_rows import PlannedDay
from ui.look.typeface import px

GUTTER: Final = 44
"""How wide the hours are at the left."""

GAP: Final = 12
"""Between two columns."""

HEAD: Final = 96
"""How high the heads of the days are."""

NARROWEST, SLIM = 168, 84
"""How narrow the column of a day with stops may become, and that of one without."""

RIM, ROOM_BELOW = 6, 24
"""What is left free at the right, for the ring of the focus, and below."""

HOUR: Final = 60
LEAST_HOUR, MOST_HOUR = 64, 96
"""How high an hour is drawn, as far as there is room."""


class Places:
    """The places for some days in the room there is. `columns` holds where each starts and how wide it is.

    `needed` is how large the sheet must be for them; `hours` are those of the day that it shows.
    """

    def __init__(self, days: Sequence[PlannedDay], room: QSize) -> None:
        used = [day for day in days if day.stops]
        self._first = min((day.leave_base for day in used), default=8 * HOUR) // 30 * 30
        last = max((day.back for day in used), default=16 * HOUR)
        self.hours = range(-(-self._first // HOUR), last // HOUR + 1)
        long = (last - self._first) / HOUR + 0.3
        high = room.height() - px(HEAD) - ROOM_BELOW
        self._per_hour = min(px(MOST_HOUR), max(px(LEAST_HOUR), high / max(long, 1)))
        self.columns: list[tuple[float, float]] = []
        x = float(px(GUTTER))
        wide = _wide(days, room.width())
        for each in wide:
            self.columns.append((x, float(each)))
            x += each + GAP
        least = sum(px(NARROWEST) if day.stops else px(SLIM) for day in days)
        across = px(GUTTER) + least + max(0, len(days) - 1) * GAP + RIM
        self.needed = QSize(across, int(px(HEAD) + long * self._per_hour + ROOM_BELOW))

    def y(self, minute: float) -> float:
        """Return where a minute of the day is."""
        return px(HEAD) + (minute - self._first) / HOUR * self._per_hour

    def hours_in_sight(self, scrolled: int) -> list[tuple[int, float]]:
        """Return the hours with their places, without those that scrolled to where the heads are."""
        top = scrolled + px(HEAD) - px(14)
        return [(hour, y) for hour in self.hours if (y := self.y(hour * HOUR)) >= top]

    def of(self, column: int, start: int, end: int) -> QRect:
        """Return the place of a stretch of a day."""
        x, wide = self.columns[column]
        return QRectF(x, self.y(start), wide, max(px(18), self.y(end) - self.y(start) - 1)).toRect()

    def column_at(self, x: int) -> int | None:
        """Return the column at a place."""
        return next((at for at, (left, wide) in enumerate(self.columns) if left <= x < left + wide + GAP), None)


def _wide(days: Sequence[PlannedDay], across: int) -> list[int]:
    """Return how wide each column is; days without stops give way first."""
    least = [px(NARROWEST) if day.stops else px(SLIM) for day in days]
    room = across - px(GUTTER) - max(0, len(least) - 1) * GAP - RIM
    if least and len(least) * px(NARROWEST) <= room:
        return [room // len(least)] * len(least)
    if least and sum(least) < room:
        growing = [n for n, day in enumerate(days) if day.stops] or list(range(len(least)))
        more = (room - sum(least)) // len(growing)
        return [each + more if n in growing else each for n, each in enumerate(least)]
    return least
