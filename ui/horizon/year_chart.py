"""A year of weeks as a skyline: work against the crew's hours, trips below, and a mark where each week was before."""

from math import ceil
from typing import Final

from PySide6.QtCore import QLocale, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from ui.horizon.year import Year
from ui.look import draw
from ui.look.theme import colours, theme
from ui.look.typeface import px, width

LEGEND: Final = 22
FOOT: Final = 46
STEPS: Final = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500, 1000, 2000, 5000)
MOST_LINES: Final = 3
HEADROOM: Final = 1.08
STROKES: Final = 5
"""How far apart the strokes across are."""

TRIPS_FROM: Final = 12
"""So many pixels a week must have for its trips to be written below it."""


class YearChart(QWidget):
    """The skyline. Left and Right go from week to week. Signal `week_chosen` with the place of the week."""

    week_chosen = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self._year: Year | None = None
        self.chosen = 0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Work and trips of each week")
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(px(640), px(300))

    def minimumSizeHint(self) -> QSize:
        return QSize(px(300), px(150))

    def show_year(self, year: Year | None) -> None:
        """Show another year; the week that was chosen stays chosen."""
        self._year = year
        self.choose(self.chosen)

    def choose(self, place: int) -> None:
        """Choose a week; the nearest there is."""
        if self._year is None or not self._year.weeks:
            self.setAccessibleDescription("")
            self.update()
            return
        self.chosen = min(max(0, place), len(self._year.weeks) - 1)
        self.setAccessibleDescription(self._year.week_words(self.chosen))
        self.week_chosen.emit(self.chosen)
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        last = len(self._year.weeks) - 1 if self._year is not None else 0
        to = {
            Qt.Key.Key_Left: self.chosen - 1, Qt.Key.Key_Right: self.chosen + 1, Qt.Key.Key_Home: 0,
            Qt.Key.Key_End: last,
        }.get(Qt.Key(event.key()))  # fmt: skip
        if to is None:
            super().keyPressEvent(event)
        else:
            self.choose(to)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self._year is not None and self._year.weeks:
            self.setFocus()
            self.choose(Skyline(QRectF(self.rect()), self._year).week_at(event.position().x()))

    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._year is None or not self._year.weeks:
            return
        painter = QPainter(self)
        Skyline(QRectF(self.rect()), self._year).draw(painter, self.chosen)
        painter.end()


class Skyline:
    """The drawing, for screen and paper: where each week stands, and what is drawn there."""

    def __init__(self, place: QRectF, year: Year) -> None:
        self.year, self.weeks = year, year.weeks
        crew = [week.crew_minutes for week in self.weeks]
        besides = [year.beside(place) for place in range(len(self.weeks))]
        most = max([*crew, *besides, *(week.minutes for week in self.weeks), 60.0]) / 60
        self.top = most * HEADROOM
        self.step = next((step for step in STEPS if ceil(self.top / step) <= MOST_LINES + 1), STEPS[-1])
        left = width(f"{int(self.top)} h", 11) + 10
        self.area = place.adjusted(left, px(LEGEND) + 4, -4, -px(FOOT))
        self.place = place
        self.across = self.area.width() / max(1, len(self.weeks))

    def week_at(self, x: float) -> int:
        """Return the place of the week at a point across."""
        return int((x - self.area.left()) // self.across)

    def left(self, place: int) -> float:
        """Return where a week begins."""
        return self.area.left() + place * self.across

    def y(self, minutes: float) -> float:
        """Return how high some work stands."""
        return self.area.bottom() - minutes / 60 / self.top * self.area.height()

    def draw(self, painter: QPainter, chosen: int | None = None) -> None:
        """Draw the grid, the weeks with their work, the crew's hours, then the words."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if chosen is not None:
            column = QRectF(self.left(chosen), self.area.top(), self.across, self.place.bottom() - self.area.top())
            painter.fillRect(column, QColor(colours().accent_soft))
        self._grid(painter)
        for place in range(len(self.weeks)):
            self._bar(painter, place)
        self._crew(painter)
        for place in range(len(self.weeks)):
            self._beside(painter, place)
        self._foot(painter)
        self._legend(painter)

    def _grid(self, painter: QPainter) -> None:
        tokens, hours = colours(), 0
        while hours <= self.top:
            y = round(self.y(hours * 60))
            draw.across(painter, self.area.left(), self.area.right(), y, tokens.hair if hours else tokens.line)
            words = QRectF(self.place.left(), y - px(8), self.area.left() - self.place.left() - 6, px(16))
            draw.text(painter, words, f"{hours} h", 11, 400, tokens.ink3, draw.RIGHT, elide=False)
            hours += self.step

    def _bar(self, painter: QPainter, place: int) -> None:
        """Draw the work of a week; what the crew has no hours for stands apart, hatched, to be told in grey too."""
        tokens, week = colours(), self.weeks[place]
        x, wide = self.left(place) + self.across * 0.18, self.across * 0.64
        within = self.y(min(week.minutes, week.crew_minutes))
        painter.fillRect(QRectF(x, within, wide, self.area.bottom() - within), QColor(tokens.work[3]))
        if week.above >= 1:
            hatched(painter, QRectF(x, self.y(week.minutes), wide, within - self.y(week.minutes) - 1))

    def _crew(self, painter: QPainter) -> None:
        """Draw the crew's hours, lower in weeks with holidays."""
        pen = QPen(QColor(colours().ink2), 1)
        pen.setDashPattern([4, 3])
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        painter.setPen(pen)
        points = [
            QPointF(self.left(place + side), self.y(week.crew_minutes))
            for place, week in enumerate(self.weeks) for side in (0, 1)
        ]  # fmt: skip
        painter.drawPolyline(points)

    def _beside(self, painter: QPainter, place: int) -> None:
        was = self.year.beside(place)
        if abs(was - self.weeks[place].minutes) >= 1:
            x, y = self.left(place) + self.across * 0.06, round(self.y(was))
            draw.across(painter, x, x + self.across * 0.88, y, colours().ink, 2)

    def _foot(self, painter: QPainter) -> None:
        """Write under the weeks how many trips they have, and under these the months."""
        tokens, bottom = colours(), self.area.bottom()
        if self.across >= px(TRIPS_FROM):
            words = QRectF(self.place.left(), bottom + 3, self.area.left() - self.place.left() - 6, px(16))
            draw.text(painter, words, "trips", 11, 400, tokens.ink3, draw.RIGHT, elide=False)
            for place, week in enumerate(self.weeks):
                if week.level:
                    words = QRectF(self.left(place) - 4, bottom + 3, self.across + 8, px(16))
                    draw.text(painter, words, f"{len(week.level)}", 11, 500, tokens.ink2, draw.CENTRE, elide=False)
        firsts = [
            place for place, week in enumerate(self.weeks)
            if place == 0 or week.monday.month != self.weeks[place - 1].monday.month
        ]  # fmt: skip
        for first, end in zip(firsts, [*firsts[1:], len(self.weeks)], strict=True):
            monday, x = self.weeks[first].monday, self.left(first)
            draw.upright(painter, x, bottom, bottom + px(FOOT) - 6, tokens.rule)
            room = QRectF(x + 5, bottom + px(22), self.left(end) - x - 8, px(16))
            name = QLocale().standaloneMonthName(monday.month, QLocale.FormatType.ShortFormat)
            ways = [f"{name} {monday.year}", name] if first == 0 or monday.month == 1 else [name]
            if (said := next((way for way in ways if width(way, 11) <= room.width()), None)) is not None:
                draw.text(painter, room, said, 11, 400, tokens.ink3, elide=False)

    def _legend(self, painter: QPainter) -> None:
        tokens, x, y = colours(), self.area.left(), self.place.top()
        swatch = QRectF(0, y + px(5), px(12), px(11))
        painter.fillRect(swatch.translated(x, 0), QColor(tokens.work[3]))
        x = self._word(painter, x + px(18), "work, peaks levelled")
        hatched(painter, swatch.translated(x, 0))
        x = self._word(painter, x + px(18), "above the crew's hours")
        draw.across(painter, x, x + px(16), y + px(10), tokens.ink2, 1, [4, 3])
        x = self._word(painter, x + px(22), "crew's hours")
        draw.across(painter, x, x + px(14), y + px(10), tokens.ink, 2)
        self._word(painter, x + px(20), f"work {self.year.beside_name}")

    def _word(self, painter: QPainter, x: float, said: str) -> float:
        words = QRectF(x, self.place.top() + px(2), 400, px(17))
        return draw.text(painter, words, said, 11, 400, colours().ink2, elide=False) + px(18)


def hatched(painter: QPainter, place: QRectF) -> None:
    """Fill a place in the colour of what is too much, with strokes across that show without colour."""
    tone = colours().overdue
    painter.fillRect(place, QColor(tone.soft))
    painter.save()
    painter.setClipRect(place)
    painter.setPen(QPen(QColor(tone.fill), 1))
    high, at = place.height(), place.left() - place.height()
    while at < place.right():
        painter.drawLine(QPointF(at, place.bottom()), QPointF(at + high, place.top()))
        at += px(STROKES)
    painter.restore()
    painter.setPen(QPen(QColor(tone.fill), 1))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(place.adjusted(0.5, 0.5, -0.5, -0.5))
