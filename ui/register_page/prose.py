"""Wrapped text with the leading of the drawings, which Qt's own labels don't have."""

from PySide6.QtCore import QPointF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy

from ui.look import draw
from ui.look.typeface import px
from ui.look.widgets import Words

LEAD = 1.42


class Prose(Words):
    """Plain text over as many lines as it needs."""

    def __init__(self, said: str, size: int = 12, weight: int = 400, ink: str = "ink2") -> None:
        super().__init__(said, size, weight, ink, wrap=True)
        self._size, self._weight = size, weight
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, across: int) -> int:
        return round(draw.laid_out(self.text(), across, self._size, self._weight, LEAD)[1])

    def sizeHint(self) -> QSize:
        return QSize(px(200), self.heightForWidth(max(px(200), self.width())))

    def minimumSizeHint(self) -> QSize:
        return QSize(px(80), round(px(self._size) * LEAD))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        layout, _height = draw.laid_out(self.text(), self.width(), self._size, self._weight, LEAD)
        painter.setPen(self.palette().windowText().color())
        layout.draw(painter, QPointF(0, 0))
        painter.end()
