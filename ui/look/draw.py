"""Drawing with the tokens: text, wrapped text, boxes, lines, the shape of a tag, the strokes of a class, a key."""

from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen, QTextLayout, QTextOption

from ui.look.theme import colours
from ui.look.typeface import font, px, width

LEFT: Final = Qt.AlignmentFlag.AlignLeft
RIGHT: Final = Qt.AlignmentFlag.AlignRight
CENTRE: Final = Qt.AlignmentFlag.AlignHCenter
STROKES: Final = 4
"""How many strokes the harshest class has."""


def text(
    painter: QPainter,
    place: QRectF,
    said: str,
    size: int = 13,
    weight: int = 400,
    colour: str | None = None,
    align: Qt.AlignmentFlag = LEFT,
    *,
    code: bool = False,
    elide: bool = True,
) -> float:
    """Draw one line in the middle of a place, shortened to fit, and return where it ends."""
    face = font(size, weight, code=code)
    painter.setFont(face)
    painter.setPen(QColor(colour or colours().ink))
    shown = said
    if elide:
        shown = QFontMetricsF(face).elidedText(said, Qt.TextElideMode.ElideRight, place.width() + 0.5)
    flags = int(align | Qt.AlignmentFlag.AlignVCenter) | int(Qt.TextFlag.TextSingleLine)
    painter.drawText(place, flags, shown)
    return place.x() + min(place.width(), width(shown, size, weight, code=code))


def shortened(said: str, room: float, size: int = 13, weight: int = 400, *, code: bool = False) -> str:
    """Return a text cut to a width, ending in an ellipsis where it was."""
    face = font(size, weight, code=code)
    return QFontMetricsF(face).elidedText(said, Qt.TextElideMode.ElideRight, room + 0.5)


def paragraph(
    painter: QPainter, place: QPointF, across: float, said: str, size: int = 13, weight: int = 400,
    colour: str | None = None, lead: float = 1.45,
) -> float:  # fmt: skip
    """Draw wrapped text and return the y below it."""
    layout, height = laid_out(said, across, size, weight, lead)
    painter.setPen(QColor(colour or colours().ink))
    layout.draw(painter, place)
    return place.y() + height


def laid_out(
    said: str, across: float, size: int = 13, weight: int = 400, lead: float = 1.45
) -> tuple[QTextLayout, float]:
    """Return wrapped text ready to draw, and its height."""
    layout = QTextLayout(said, font(size, weight))
    option = QTextOption()
    option.setWrapMode(QTextOption.WrapMode.WordWrap)
    layout.setTextOption(option)
    layout.beginLayout()
    step, y = round(px(size) * lead), 0
    while (line := layout.createLine()).isValid():
        line.setLineWidth(across)
        line.setPosition(QPointF(0, y + (step - line.height()) / 2))
        y += step
    layout.endLayout()
    return layout, float(y)


def box(
    painter: QPainter, place: QRectF, fill: str | None = None, line: str | None = None, radius: float = 6,
    thick: float = 1, dash: list[float] | None = None,
) -> None:  # fmt: skip
    """Draw a rounded box, its edge inside the place."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(_pen(line, thick, dash) if line else Qt.PenStyle.NoPen)
    inset = thick / 2 if line else 0
    painter.setBrush(QColor(fill) if fill else Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(place.adjusted(inset, inset, -inset, -inset), radius, radius)


def across(
    painter: QPainter, x1: float, x2: float, y: float, colour: str | None = None, thick: float = 1,
    dash: list[float] | None = None,
) -> None:  # fmt: skip
    """Draw a level line, crisp."""
    painter.setPen(_pen(colour or colours().hair, thick, dash, cap=Qt.PenCapStyle.FlatCap))
    crisp = 0.5 if thick == 1 else 0
    painter.drawLine(QPointF(x1, y + crisp), QPointF(x2, y + crisp))


def upright(painter: QPainter, x: float, y1: float, y2: float, colour: str | None = None, thick: float = 1) -> None:
    """Draw an upright line, crisp."""
    painter.setPen(_pen(colour or colours().hair, thick, None, cap=Qt.PenCapStyle.FlatCap))
    crisp = 0.5 if thick == 1 else 0
    painter.drawLine(QPointF(x + crisp, y1), QPointF(x + crisp, y2))


def _pen(colour: str, thick: float, dash: list[float] | None, cap: Qt.PenCapStyle = Qt.PenCapStyle.SquareCap) -> QPen:
    pen = QPen(QColor(colour), thick)
    pen.setCapStyle(cap)
    if dash:
        pen.setDashPattern(dash)
    return pen


def tag_width(number: str, height: float = 20, size: int = 12, weight: int = 500) -> float:
    """Return how wide a tag is drawn."""
    return width(number, size, weight, code=True) + height * 0.72 + 8


def tag(
    painter: QPainter, x: float, y: float, number: str, height: float = 20, size: int = 12, weight: int = 500,
    edge: str | None = None,
) -> float:  # fmt: skip
    """Draw a tag number as the tag it is printed on, and return its width. Nothing else has this shape."""
    tokens = colours()
    wide, cut = tag_width(number, height, size, weight), height * 0.34
    path = QPainterPath(QPointF(x + cut, y + 0.5))
    path.lineTo(x + wide - 3, y + 0.5)
    path.quadTo(x + wide - 0.5, y + 0.5, x + wide - 0.5, y + 3)
    path.lineTo(x + wide - 0.5, y + height - 3)
    path.quadTo(x + wide - 0.5, y + height - 0.5, x + wide - 3, y + height - 0.5)
    path.lineTo(x + cut, y + height - 0.5)
    path.lineTo(x + 0.5, y + height - cut - 0.5)
    path.lineTo(x + 0.5, y + cut + 0.5)
    path.closeSubpath()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(edge or tokens.line), 1))
    painter.setBrush(QColor(tokens.surface))
    painter.drawPath(path)
    painter.drawEllipse(QPointF(x + height * 0.36, y + height / 2), height * 0.1, height * 0.1)
    place = QRectF(x + height * 0.66, y, wide, height)
    text(painter, place, number, size, weight, tokens.ink, code=True, elide=False)
    return wide


def class_width(title: str, *, short: bool = False) -> float:
    """Return how wide the chip of an environment class is drawn."""
    return 26.0 if short else 38 + width(title, 11, 500)


def class_chip(
    painter: QPainter, x: float, y: float, title: str, strokes: int, height: float = 20, *,
    short: bool = False, ground: str | None = None,
) -> float:  # fmt: skip
    """Draw an environment class: one to four strokes of wear, then its word; return the width."""
    tokens = colours()
    wide = class_width(title, short=short)
    box(painter, QRectF(x, y, wide, height), ground or tokens.sunk, None, 4)
    for place in range(STROKES):
        pen = QPen(QColor(tokens.ink2 if place < strokes else tokens.rule), 1.7)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        left = x + 7.5 + place * 4
        painter.drawLine(QPointF(left, y + height / 2 + 3.5), QPointF(left + 2, y + height / 2 - 3.5))
    if not short:
        text(painter, QRectF(x + 28, y, wide, height), title, 11, 500, tokens.ink2, elide=False)
    return wide


def key_width(said: str) -> float:
    """Return how wide a key is drawn."""
    return max(20.0, width(said, 11, 500) + 12)


def key(painter: QPainter, x: float, y: float, said: str, colour: str | None = None) -> float:
    """Draw the cap of a key and return its width."""
    tokens = colours()
    wide = key_width(said)
    box(painter, QRectF(x, y, wide, 18), None, colour or tokens.line, 4)
    text(painter, QRectF(x, y, wide, 18), said, 11, 500, colour or tokens.ink2, CENTRE)
    return wide
