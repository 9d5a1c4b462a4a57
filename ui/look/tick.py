"""A box that is ticked or not, alone or with its words: drawn with the tokens, so that it is seen in the dark too."""

from typing import Final

from PySide6.QtCore import QPoint, QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QCheckBox

from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours, theme
from ui.look.typeface import px, width

BOX: Final = 18
GAP: Final = 10
SMALL: Final = 16
"""How large the box is in a row of a list."""


def box(painter: QPainter, place: QRectF, ground: str | None = None, *, ticked: bool) -> None:
    """Draw the box alone; `ground` is what it stands on where it is not ticked."""
    tokens = colours()
    fill = tokens.accent if ticked else ground or tokens.surface
    draw.box(painter, place, fill, tokens.accent if ticked else tokens.line, 4)
    if ticked:
        inside = place.adjusted(3, 3, -3, -3)
        glyph(painter, "tick", inside.x(), inside.y(), inside.width(), tokens.on_accent)


class Tick(QCheckBox):
    """A check box in the look of the program. Space ticks it, as always."""

    def __init__(self, said: str) -> None:
        super().__init__(said)
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(px(BOX + GAP) + int(width(self.text(), 13)) + px(6), px(28))

    def minimumSizeHint(self) -> QSize:
        return QSize(px(BOX + GAP + 40), px(28))

    def hitButton(self, pos: QPoint) -> bool:
        return self.rect().contains(pos)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens, side, on = QPainter(self), colours(), px(BOX), self.isChecked()
        ground = tokens.hover if self.underMouse() else None
        box(painter, QRectF(1, (self.height() - side) / 2, side, side), ground, ticked=on)
        words = QRectF(side + px(GAP), 0, self.width() - side - px(GAP), self.height())
        draw.text(painter, words, self.text(), 13, 500, tokens.ink if self.isEnabled() else tokens.ink3)
        painter.end()
