"""What stands where a list has nothing on it yet: a large glyph, what is true now, what comes here."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from ui.look.glyphs import glyph
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Painted, Words

SIZE = 44
TALL = 150
"""A lower place has room for the words alone."""


class Empty(QWidget):
    """Says it in the middle of the place of the list."""

    def __init__(self, head: str, said: str) -> None:
        super().__init__()
        title, more = Words(head, 15, 600), Words(said, 13, 400, "ink2", wrap=True)
        more.setFixedWidth(px(320))
        more.setFixedHeight(more.heightForWidth(px(320)))
        for words in (title, more):
            words.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        column = QVBoxLayout(self)
        column.setSpacing(8)
        column.addStretch(1)
        self._mark = Painted(_ring, size=QSize(px(SIZE), px(SIZE)))
        for widget in (self._mark, title, more):
            column.addWidget(widget, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(1)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Leave out the glyph where the words need its room."""
        super().resizeEvent(event)
        self._mark.setVisible(self.height() >= px(TALL))


def _ring(painter: QPainter, place: QRectF) -> None:
    glyph(painter, "broken-ring", place.x(), place.y(), place.width(), colours().ink3)
