"""A quantity over time with its limit as a line: the worst reading of each test, the last one labelled."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from itertools import pairwise
from math import floor, log10
from typing import Final

from PySide6.QtCore import QDate, QLocale, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from register.domain.measures import plain_number
from register.domain.words import Result
from register.services.past_readings import History, Point
from ui.dates import shown
from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours, theme
from ui.look.typeface import px, width

HIGH: Final = 152
_HEADROOM: Final = 1.18
_APART: Final = 15
"""So far apart, in pixels, stand two words at the right."""


class Chart(QWidget):
    """One history, drawn; its words say the same for those who can't see it."""

    def __init__(self, history: History) -> None:
        super().__init__()
        self._history = history
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(history.title)
        self.setAccessibleDescription(told(history))
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(px(240), px(HIGH))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        _Drawing(painter, QRectF(self.rect()), self._history).draw()
        painter.end()


def told(history: History) -> str:
    """Return a history in words: each test with its worst reading, then the limit."""
    points = [
        f"{shown(point.on)} {point.words}{' fail' if point.result is Result.FAIL else ''}" for point in history.points
    ]
    limit = history.points[-1].limit
    edge = "" if limit is None else f" Limit: {_side(history)} {plain_number(limit)} {history.unit}."
    return f"{history.title}: {', '.join(points)}.{edge}"


def _side(history: History) -> str:
    return "at least" if history.low_is_worse else "at most"


class _Drawing:
    """The chart on a painter: where each value stands, and what is drawn there."""

    def __init__(self, painter: QPainter, place: QRectF, history: History) -> None:
        self.painter, self.history, self.points = painter, history, history.points
        self.limit = history.points[-1].limit
        limit_words = "" if self.limit is None else f"limit {plain_number(self.limit)}"
        self.limit_words = limit_words
        self.last_words = history.points[-1].words.removesuffix(f" {history.unit}")
        right = max(width(limit_words, 11, 600), width(self.last_words, 12, 600)) + 8
        self.top = _top([point.value for point in self.points], [point.limit for point in self.points])
        self.steps = _steps(self.top)
        left = max(width(_number(step), 11) for step in self.steps) + 8
        self.area = place.adjusted(left, 12, -right, -20)
        self.first, self.last = self.points[0].on, self.points[-1].on

    def x(self, on: date) -> float:
        """Return where a day stands; a single day stands in the middle."""
        days = (self.last - self.first).days
        part = (on - self.first).days / days if days else 0.5
        return self.area.left() + 10 + part * (self.area.width() - 20)

    def y(self, value: Decimal | None) -> float:
        """Return where a value stands; a switch that did not trip stands at the top."""
        part = 1.0 if value is None else min(1.0, float(value) / self.top)
        return self.area.bottom() - part * self.area.height()

    def draw(self) -> None:
        """Draw grid, limit, data and days, in this order."""
        self._grid()
        self._limits()
        self._line()
        for point in self.points:
            self._point(point)
        self._label()
        self._days()

    def _grid(self) -> None:
        tokens = colours()
        for step in self.steps:
            y = round(self.y(Decimal(str(step))))
            draw.across(self.painter, self.area.left(), self.area.right(), y, tokens.hair if step else tokens.rule)
            words = QRectF(0, y - 8, self.area.left() - 8, 16)
            draw.text(self.painter, words, _number(step), 11, 400, tokens.ink3, draw.RIGHT, elide=False)

    def _limits(self) -> None:
        """Draw the limit as it was at each test; it is one level line unless it changed."""
        tone = colours().overdue
        if self.limit is None:
            return
        self.painter.setPen(QPen(QColor(tone.fill), 2))
        held = [point for point in self.points if point.limit is not None]
        edges = [self.area.left(), *(self.x(point.on) for point in held[1:]), self.area.right()]
        for point, (start, end) in zip(held, pairwise(edges), strict=True):
            y = round(self.y(point.limit))
            self.painter.drawLine(QPointF(start, y), QPointF(end, y))
        beside = self.y(self.limit)
        words = QRectF(self.area.right() + 6, beside - 8, 80, 16)
        draw.text(self.painter, words, self.limit_words, 11, 600, tone.text, elide=False)

    def _line(self) -> None:
        self.painter.setPen(QPen(QColor(colours().accent), 2))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawPolyline(QPolygonF([QPointF(self.x(each.on), self.y(each.value)) for each in self.points]))

    def _point(self, point: Point) -> None:
        tokens, at = colours(), QPointF(self.x(point.on), self.y(point.value))
        if point.result is Result.FAIL:
            draw.box(self.painter, QRectF(at.x() - 8, at.y() - 8, 16, 16), tokens.surface, None, 8)
            glyph(self.painter, "cross", at.x() - 6, at.y() - 6, 12, tokens.overdue.fill)
            return
        self.painter.setPen(QPen(QColor(tokens.accent), 1.6))
        self.painter.setBrush(QColor(tokens.accent if point is self.points[-1] else tokens.surface))
        self.painter.drawEllipse(at, 3.2, 3.2)

    def _label(self) -> None:
        """Write the last value at the right of its point, clear of the limit's own words."""
        y = self.y(self.points[-1].value)
        if self.limit is not None:
            beside = self.y(self.limit)
            if abs(y - beside) < _APART:
                below = y > beside and beside + _APART <= self.area.bottom()
                y = beside + (_APART if below else -_APART)
        words = QRectF(self.area.right() + 6, y - 8, 90, 16)
        draw.text(self.painter, words, self.last_words, 12, 600, elide=False)

    def _days(self) -> None:
        """Write the first, the middle and the last month under the axis, as far as they don't touch."""
        taken = 0.0
        days = [self.first, self.points[len(self.points) // 2].on, self.last]
        for on in sorted(set(days), key=lambda day: (day not in {self.first, self.last}, day)):
            words = _month(on)
            wide = width(words, 11)
            left = max(0.0, min(self.x(on) - wide / 2, self.area.right() + 10 - wide))
            middle = on not in {self.first, self.last}
            if middle and not (self.x(self.first) + wide + 8 < self.x(on) < self.x(self.last) - wide - 8):
                continue
            if not middle and left < taken:
                continue
            place = QRectF(left, self.area.bottom() + 3, wide + 1, 16)
            draw.text(self.painter, place, words, 11, 400, colours().ink3, elide=False)
            taken = max(taken, left + wide + 8) if on == self.first else taken


def _month(on: date) -> str:
    return QLocale().toString(QDate(on.year, on.month, on.day), "MMM yy")


def _top(values: Sequence[Decimal | None], limits: Sequence[Decimal | None]) -> float:
    """Return the highest value that the axis must reach."""
    known = [float(value) for value in (*values, *limits) if value is not None]
    return max(known, default=1.0) * _HEADROOM or 1.0


def _steps(top: float) -> list[float]:
    """Return where the axis is marked: nought and one or two round numbers."""
    rough = top / 2.6
    size = float(10 ** floor(log10(rough)))
    step = next(size * part for part in (5, 2.5, 2, 1) if size * part <= rough)
    return [step * place for place in range(3) if step * place <= top]


def _number(value: float) -> str:
    return plain_number(Decimal(repr(round(value, 6))))
