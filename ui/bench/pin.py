"""A pin beside a field: pinned, what stands there is carried over to the next item."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton

from ui.look.theme import colours, theme
from ui.look.typeface import px


class Pin(QAbstractButton):
    """On or off, told by shape as well: upright and filled, or slanted and empty."""

    def __init__(self, what: str) -> None:
        super().__init__()
        self._what = what
        self.setCheckable(True)
        self.setChecked(True)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFixedSize(px(28), px(32))
        self.toggled.connect(self._say)
        self._say(pinned=True)
        theme.changed.connect(self.update)

    def _say(self, pinned: bool) -> None:  # noqa: FBT001 - Qt's own
        said = "stays for the next item" if pinned else "is asked for again at the next item"
        self.setAccessibleName(f"{self._what} {said}")
        self.setToolTip(f"{self._what} {said}. Space changes that.")

    def sizeHint(self) -> QSize:
        return QSize(px(28), px(32))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens, on = QPainter(self), colours(), self.isChecked()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(QRectF(self.rect()).center())
        painter.rotate(0 if on else 40)
        ink, unit = QColor(tokens.accent if on else tokens.ink3), px(1)
        painter.setPen(QPen(ink, 1.5))
        painter.setBrush(ink if on else Qt.BrushStyle.NoBrush)
        painter.drawEllipse(QPointF(0, -4 * unit), 4 * unit, 4 * unit)
        painter.drawLine(QPointF(0, 0), QPointF(0, 8 * unit))
        painter.end()
