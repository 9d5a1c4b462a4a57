"""The glyphs, drawn on a grid of sixteen: each has its word beside it wherever it stands alone."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from register.domain.words import Result, Standing

GRID: Final = 16

STANDING_GLYPHS: Final = {
    Standing.IN_SERVICE: "closed",
    Standing.DUE_SOON: "sun",
    Standing.OVERDUE: "sunk",
    Standing.WITHDRAWN: "open",
    Standing.REMOVED: "gone",
    Standing.UNTESTED: "broken-ring",
}
VERDICT_GLYPHS: Final = {Result.PASS: "tick", Result.FAIL: "cross", Result.INCOMPLETE: "gap"}


class _Hand:
    """A painter with one colour, on the grid."""

    def __init__(self, painter: QPainter, colour: QColor) -> None:
        self.painter = painter
        self.colour = colour

    def pen(self, thick: float, cap: Qt.PenCapStyle = Qt.PenCapStyle.RoundCap) -> QPen:
        """Return a pen of the glyph's colour."""
        pen = QPen(self.colour, thick)
        pen.setCapStyle(cap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        return pen

    def disc(self, x: float, y: float, radius: float) -> None:
        """Draw a filled disc."""
        self.painter.setPen(Qt.PenStyle.NoPen)
        self.painter.setBrush(self.colour)
        self.painter.drawEllipse(QPointF(x, y), radius, radius)

    def ring(self, x: float, y: float, radius: float, thick: float = 1.6) -> None:
        """Draw a ring."""
        self.painter.setPen(self.pen(thick))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawEllipse(QPointF(x, y), radius, radius)

    def line(self, *points: tuple[float, float], thick: float = 1.8) -> None:
        """Draw a line through points."""
        self.painter.setPen(self.pen(thick))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in points]))

    def arc(self, place: QRectF, start: int, span: int, thick: float = 1.8) -> None:
        """Draw a piece of an ellipse, in degrees."""
        self.painter.setPen(self.pen(thick))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawArc(place, start * 16, span * 16)

    def shape(self, path: QPainterPath, edge: float = 0) -> None:
        """Draw a filled shape."""
        self.painter.setPen(self.pen(edge) if edge else Qt.PenStyle.NoPen)
        self.painter.setBrush(self.colour)
        self.painter.drawPath(path)


def _closed(hand: _Hand) -> None:
    hand.line((3.4, 8), (12.6, 8), thick=2)
    hand.disc(3.4, 8, 2.5)
    hand.disc(12.6, 8, 2.5)


def _open(hand: _Hand) -> None:
    hand.disc(3.4, 11.2, 2.4)
    hand.disc(12.6, 11.2, 2.4)
    hand.line((3.4, 11.2), (11.8, 3.6), thick=2)


def _gone(hand: _Hand) -> None:
    hand.ring(3.6, 8, 2.1)
    hand.ring(12.4, 8, 2.1)


def _sun(hand: _Hand) -> None:
    path = QPainterPath(QPointF(4, 10.6))
    path.arcTo(QRectF(4, 6.4, 8, 8.4), 180, -180)
    path.closeSubpath()
    hand.shape(path)
    hand.line((1, 12.9), (15, 12.9))
    for start, end in (((8, 2), (8, 4)), ((2.5, 4.7), (3.9, 6.1)), ((13.5, 4.7), (12.1, 6.1))):
        hand.line(start, end, thick=1.6)


def _sunk(hand: _Hand) -> None:
    hand.line((1.2, 3), (14.8, 3))
    hand.disc(8, 9.8, 4.7)


def _broken_ring(hand: _Hand) -> None:
    pen = hand.pen(1.8, Qt.PenCapStyle.FlatCap)
    pen.setDashPattern([2.1, 1.35])
    hand.painter.setPen(pen)
    hand.painter.setBrush(Qt.BrushStyle.NoBrush)
    hand.painter.drawEllipse(QPointF(8, 8), 5.6, 5.6)


def _tick(hand: _Hand) -> None:
    hand.line((2.6, 8.6), (6.4, 12.4), (13.6, 4), thick=2.4)


def _cross(hand: _Hand) -> None:
    hand.line((3.6, 3.6), (12.4, 12.4), thick=2.4)
    hand.line((12.4, 3.6), (3.6, 12.4), thick=2.4)


def _gap(hand: _Hand) -> None:
    hand.arc(QRectF(2.4, 2.4, 11.2, 11.2), 100, 250, 2.2)
    hand.disc(12.2, 3.8, 1.7)


def _back(hand: _Hand) -> None:
    """The turned arrow, the other way round."""
    hand.painter.translate(16, 0)
    hand.painter.scale(-1, 1)
    _again(hand)


def _again(hand: _Hand) -> None:
    hand.arc(QRectF(2.8, 2.8, 10.4, 10.4), 40, 280)
    hand.line((12.9, 1.6), (12.6, 5.2), (9.2, 5))


def _elsewhere(hand: _Hand) -> None:
    hand.line((9, 2.6), (13.4, 2.6), (13.4, 13.4), (9, 13.4), thick=1.7)
    hand.line((1.8, 8), (9.6, 8))
    hand.line((6.6, 4.8), (9.8, 8), (6.6, 11.2))


def _unknown(hand: _Hand) -> None:
    hand.line(
        (5, 5.4), (5.2, 4), (6.6, 2.8), (8.2, 2.6), (10.4, 3.6), (10.8, 5.4), (9.8, 7), (8.2, 8.2), (8, 10), thick=2
    )
    hand.disc(8, 13.3, 1.3)


def _search(hand: _Hand) -> None:
    hand.ring(6.8, 6.8, 4.4)
    hand.line((10.2, 10.2), (14, 14))


def _scan(hand: _Hand) -> None:
    for corner in (
        ((1.5, 5), (1.5, 2), (4.5, 2)), ((11.5, 2), (14.5, 2), (14.5, 5)), ((1.5, 11), (1.5, 14), (4.5, 14)),
        ((14.5, 11), (14.5, 14), (11.5, 14)),
    ):  # fmt: skip
        hand.line(*corner, thick=1.5)
    for place, x in enumerate((4.4, 6.4, 8, 10, 11.8)):
        hand.line((x, 5.2), (x, 10.8), thick=1.5 if place % 2 else 0.9)


def _down(hand: _Hand) -> None:
    hand.line((4, 6.2), (8, 10.2), (12, 6.2), thick=1.7)


def _up(hand: _Hand) -> None:
    hand.line((4, 9.8), (8, 5.8), (12, 9.8), thick=1.7)


def _close(hand: _Hand) -> None:
    hand.line((4.6, 4.6), (11.4, 11.4), thick=1.6)
    hand.line((11.4, 4.6), (4.6, 11.4), thick=1.6)


def _menu(hand: _Hand) -> None:
    for y in (4, 8, 12):
        hand.line((2.5, y), (13.5, y), thick=1.6)


def _half(hand: _Hand, *, first: bool) -> None:
    hand.line((1, 8), (15, 8), thick=1)
    high, low = (1.2, 14.8) if first else (14.8, 1.2)
    tested, other = QPainterPath(QPointF(2, 8)), QPainterPath(QPointF(8, 8))
    tested.cubicTo(3.6, high, 6.4, high, 8, 8)
    other.cubicTo(9.6, low, 12.4, low, 14, 8)
    hand.painter.setBrush(Qt.BrushStyle.NoBrush)
    hand.painter.setPen(hand.pen(2.2))
    hand.painter.drawPath(tested)
    pale = QColor(hand.colour)
    pale.setAlphaF(0.38)
    hand.painter.setPen(QPen(pale, 1.1))
    hand.painter.drawPath(other)


def _forward(hand: _Hand) -> None:
    hand.line((3, 2.5), (3, 13.5), thick=1.6)
    hand.line((14, 8), (6, 8), thick=1.6)
    hand.line((9, 5), (6, 8), (9, 11), thick=1.6)


def _pin(hand: _Hand) -> None:
    hand.line((5, 2.5), (11, 2.5), thick=1.8)
    hand.line((6.4, 3), (5.8, 7.4), (3.8, 9.6), (12.2, 9.6), (10.2, 7.4), (9.6, 3), thick=1.6)
    hand.line((8, 10), (8, 14.5), thick=1.6)


_DRAWN: Final[dict[str, Callable[[_Hand], None]]] = {
    "closed": _closed, "open": _open, "gone": _gone, "sun": _sun, "sunk": _sunk, "broken-ring": _broken_ring,
    "tick": _tick, "cross": _cross, "gap": _gap, "again": _again, "back": _back,
    "elsewhere": _elsewhere, "unknown": _unknown,
    "search": _search, "scan": _scan, "down": _down, "up": _up, "close": _close, "menu": _menu,
    "forward": _forward, "pin": _pin,
    "half-0": lambda hand: _half(hand, first=True), "half-180": lambda hand: _half(hand, first=False),
}  # fmt: skip

GLYPHS: Final = tuple(_DRAWN)


def glyph(painter: QPainter, name: str, x: float, y: float, size: float, colour: str) -> None:
    """Draw a glyph with its upper left corner at a place."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(x, y)
    painter.scale(size / GRID, size / GRID)
    _DRAWN[name](_Hand(painter, QColor(colour)))
    painter.restore()
