"""The head of the horizon: months and weeks, and above them the skyline of work against the crew's hours."""

from datetime import date
from decimal import Decimal
from typing import Final

from PySide6.QtCore import QLocale, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from register.planning.workload import time_words
from register.services.horizon import Horizon
from ui.horizon.grid import WeeksView, month_starts
from ui.horizon.model import FIRST_WEEK, OVERDUE, short_day
from ui.look import draw
from ui.look.theme import colours, theme
from ui.look.typeface import px, width

HIGH: Final = 132
HIGH_NARROW: Final = 100
BAR: Final = 24
MARK: Final = 34
"""How wide the mark of what a week is levelled to is: a little wider than its bar."""

WEEK_NAMES: Final = 44
MONTHS: Final = 24

LEVELLED_TIP: Final = (
    "The short line in a week is the work there if peaks are levelled: what is overdue now,\n"
    "what is pulled forward with it, and set-up included. A year ahead shows all 52 weeks."
)


class Head(QWidget):
    """Draws above the columns of a view. Signal `week_chosen` with the place of the week that was pressed."""

    week_chosen = Signal(int)

    def __init__(self, view: WeeksView) -> None:
        super().__init__()
        self._view = view
        self._chosen: int | None = None
        self._levelled: tuple[float, ...] = ()
        self._load: Horizon | None = None
        self.narrow = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(px(HIGH))
        self.setCursor(Qt.CursorShape.ArrowCursor)
        theme.changed.connect(self.update)

    def fit(self, *, narrow: bool) -> None:
        """Take less height in a small window."""
        self.narrow = narrow
        self.setFixedHeight(px(HIGH_NARROW if narrow else HIGH))
        self.update()

    def show_week(self, place: int | None) -> None:
        """Mark the week that is chosen."""
        self._chosen = place
        self.update()

    def show_levelled(self, minutes: tuple[float, ...]) -> None:
        """Mark what the year plan would have the crew do in each week."""
        self._levelled = minutes
        self.setToolTip(LEVELLED_TIP)
        self._name()
        self.update()

    def name_load(self, horizon: Horizon) -> None:
        """Tell screen readers what the skyline shows."""
        self._load = horizon
        self._name()

    def _name(self) -> None:
        if (horizon := self._load) is None:
            return
        told = []
        for place, (week, work) in enumerate(zip(horizon.weeks, horizon.total.weeks, strict=True)):
            said = f"week {week.number} {time_words(work.minutes)}"
            if self._moved(horizon, place):
                said += f" (levelled {time_words(Decimal(round(self._levelled[place])))})"
            told.append(said)
        self.setAccessibleName(f"Work in each week against the crew's {horizon.crew_hours} hours: {', '.join(told)}")

    def _moved(self, horizon: Horizon, place: int) -> bool:
        """Whether a week is levelled to more or less than falls due in it."""
        if place >= len(self._levelled):
            return False
        return abs(self._levelled[place] - float(horizon.total.weeks[place].minutes)) >= 1

    def mousePressEvent(self, event: QMouseEvent) -> None:
        column = self._view.columnAt(int(event.position().x()))
        if column >= FIRST_WEEK:
            self.week_chosen.emit(column - FIRST_WEEK)

    def paintEvent(self, _event: QPaintEvent) -> None:
        horizon = self._view.weeks.horizon
        if horizon is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._names(painter, horizon)
        self._months(painter, horizon)
        self._weeks(painter, horizon)
        self._skyline(painter, horizon)
        self._today(painter)
        painter.end()

    def _names(self, painter: QPainter, horizon: Horizon) -> None:
        tokens, high = colours(), self.height()
        across = self._view.columnWidth(0) - px(16)
        shown = f"{len(horizon.rows)} of {horizon.sites} have work here or overdue, most pressing first"
        if self.narrow or width(shown, 11) > across:
            shown = "most pressing first"
        upper, lower = QRectF(px(12), high - px(40), across, px(20)), QRectF(px(12), high - px(22), across, px(16))
        draw.text(painter, upper, "Site", 12, 500, tokens.ink2)
        draw.text(painter, lower, shown, 11, 400, tokens.ink3)
        left, wide = self._view.columnViewportPosition(OVERDUE), self._view.columnWidth(OVERDUE)
        words = QRectF(left, high - px(40), wide, px(20))
        draw.text(painter, words, "Overdue", 12, 600, tokens.overdue.text, draw.CENTRE)
        words = QRectF(left, high - px(22), wide, px(16))
        oldest = next((said for said in ("and oldest", "oldest") if width(said, 11) <= wide), "")
        draw.text(painter, words, oldest, 11, 400, tokens.ink3, draw.CENTRE)

    def _months(self, painter: QPainter, horizon: Horizon) -> None:
        tokens, week = colours(), self._view.columnWidth(FIRST_WEEK)
        starts = month_starts(horizon.weeks)
        for start, end in zip(starts, [*starts[1:], len(horizon.weeks)], strict=True):
            left, day = self._view.week_left(start), horizon.weeks[start].first
            room = QRectF(left + (8 if start else 4), 0, (end - start) * week - 12, px(20))
            names = _month_names(day)
            said = next((name for name in names if width(name, 12, 600) <= room.width()), names[-1])
            draw.text(painter, room, said, 12, 600)
            if start:
                draw.upright(painter, left, 2, self.height(), tokens.rule)

    def _weeks(self, painter: QPainter, horizon: Horizon) -> None:
        tokens, wide, high = colours(), self._view.columnWidth(FIRST_WEEK), self.height()
        letter = "W" if width("W53", 13, 600) < wide else ""
        whole = all(width(short_day(week.first), 11) <= wide for week in horizon.weeks)
        for place, week in enumerate(horizon.weeks):
            left, on = self._view.week_left(place), place == self._chosen
            if on:
                draw.box(painter, QRectF(left, high - px(42), wide, px(40)), tokens.accent_soft, None, 5)
            number = QRectF(left, high - px(40), wide, px(20))
            ink = tokens.accent if on else tokens.ink
            draw.text(painter, number, f"{letter}{week.number:02d}", 13, 600, ink, draw.CENTRE, elide=False)
            said = short_day(week.first) if whole else f"{week.first.day}"
            lower = QRectF(left, high - px(22), wide, px(16))
            draw.text(painter, lower, said, 11, 400, tokens.ink2 if on else tokens.ink3, draw.CENTRE, elide=False)

    def _skyline(self, painter: QPainter, horizon: Horizon) -> None:
        tokens, wide = colours(), self._view.columnWidth(FIRST_WEEK)
        base, crew = self.height() - px(WEEK_NAMES), float(horizon.crew_hours)
        loads = [work.minutes / 60 for work in horizon.total.weeks]
        levelled = [minutes / 60 for minutes in self._levelled]
        highest = max([crew * 1.15, *map(float, loads), *levelled]) or 1
        room = base - px(MONTHS) - (0 if self.narrow else px(15))
        left, right = self._view.week_left(0), self._view.week_left(len(loads) - 1) + wide
        line = round(base - crew * room / highest)
        for place, load in enumerate(loads):
            top = base - float(load) * room / highest
            bar = QRectF(self._view.week_left(place) + (wide - px(BAR)) / 2, top, px(BAR), base - top)
            mark = base - round(levelled[place] * room / highest) if self._moved(horizon, place) else None
            self._bar(painter, bar, line, load, mark)
            if mark is not None:
                x = self._view.week_left(place) + (wide - px(MARK)) / 2
                draw.across(painter, x, x + px(MARK), mark, tokens.ink, 2)
        draw.across(painter, left, right, base, tokens.line)
        draw.across(painter, left, right, line, tokens.ink2, 1, [4, 3])
        default = "" if horizon.own_hours else " (default)"
        said = f"crew hours {horizon.crew_hours.normalize():f}{default}"
        draw.text(painter, QRectF(0, line - px(9), left - px(8), px(18)), said, 11, 500, tokens.ink2, draw.RIGHT)
        if levelled:
            self._legend(painter, left - px(8))

    def _legend(self, painter: QPainter, right: float) -> None:
        """Say at the left of the months what the marks are."""
        tokens, said = colours(), "work if the year is levelled"
        x = right - width(said, 11)
        draw.text(painter, QRectF(x, px(2), right - x + 1, px(17)), said, 11, 400, tokens.ink2, elide=False)
        draw.across(painter, x - px(22), x - px(8), px(10), tokens.ink, 2)

    def _bar(self, painter: QPainter, bar: QRectF, line: int, load: Decimal, mark: int | None) -> None:
        """Draw the work of a week; what rises above the crew's hours stands apart in the colour of overdue.

        Its figure keeps clear of the line of the crew and of the mark.
        """
        tokens, over = colours(), bar.top() < line - 0.5
        within = QRectF(bar)
        if over:
            within.setTop(line)
            above = QRectF(bar.x(), bar.y(), bar.width(), line - bar.y() - 1)
            painter.fillRect(above, QColor(tokens.overdue.fill))
        painter.fillRect(within, QColor(tokens.work[3]))
        if self.narrow:
            return
        inside = not over and bar.height() >= px(20)
        said = "<1" if 0 < load < Decimal("0.5") else f"{load:.0f}"
        ink = tokens.overdue.text if over else tokens.work_ink[3] if inside else tokens.ink2
        top = bar.top() + 2 if inside else bar.top() - px(15)
        for drawn in sorted((at for at in (line, mark) if at is not None and not inside), reverse=True):
            if not over and top - 2 < drawn < top + px(14):
                top = drawn - px(15)
        words = QRectF(bar.x() - px(12), top, bar.width() + px(24), px(14))
        draw.text(painter, words, said, 11, 600 if over or inside else 500, ink, draw.CENTRE, elide=False)

    def _today(self, painter: QPainter) -> None:
        tokens, high, x = colours(), self.height(), self._view.today_at()
        draw.across(painter, 0, self.width(), high - 1, tokens.line)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(tokens.accent))
        corners = (QPointF(x - 4.5, high - 6), QPointF(x + 5.5, high - 6), QPointF(x + 0.5, high))
        painter.drawPolygon(corners)


def _month_names(day: date) -> list[str]:
    """Return how a month may be named, the longest first; January tells its year."""
    lengths = (QLocale.FormatType.LongFormat, QLocale.FormatType.ShortFormat)
    names = [QLocale().standaloneMonthName(day.month, length) for length in lengths]
    return [f"{name} {day.year}" for name in names if day.month == 1] + names
