"""The search field: what is typed is searched at once."""

from typing import Final

from PySide6.QtCore import QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QLineEdit

from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours, theme
from ui.look.typeface import font, px

WAIT_MS: Final = 25
"""So long after a key the search begins: a scanned code or quick typing is searched once."""
KEY: Final = "Ctrl F"


class SearchField(QLineEdit):
    """Signals: `searched` with what is typed, a moment after the last key; `left` when the arrow or Enter goes on."""

    searched = Signal(str)
    left = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setFont(font(15, 500))
        self.setFixedHeight(px(40))
        self.setMinimumWidth(px(200))
        self.setTextMargins(px(26), 0, px(56), 0)
        self.setAccessibleName("Search the register")
        self.setPlaceholderText("Tag, item, serial, site or area")
        self.setProperty("ring", False)  # noqa: FBT003 - its own edge shows the focus
        self._wait = QTimer(self, singleShot=True, interval=WAIT_MS)
        self._wait.timeout.connect(self._tell)
        self.textChanged.connect(self._begin)
        theme.changed.connect(self.update)

    def empty(self) -> None:
        """Take away what was typed without a search of its own."""
        self.put("")

    def put(self, text: str) -> None:
        """Show a text without a search of its own."""
        self.blockSignals(True)  # noqa: FBT003 - Qt's own
        self.setText(text)
        self.blockSignals(False)  # noqa: FBT003 - Qt's own
        self._wait.stop()

    def _begin(self, _typed: str) -> None:
        self._wait.start()

    def _tell(self) -> None:
        self.searched.emit(self.text())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in {Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.left.emit()
            return
        if event.key() == Qt.Key.Key_Escape and self.text():
            self.clear()
            return
        super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        painter, tokens, height = QPainter(self), colours(), self.height()
        if self.hasFocus():
            draw.box(painter, QRectF(self.rect()), None, tokens.accent, 6, 2)
        glyph(painter, "search", px(14), (height - px(16)) / 2, px(16), tokens.ink2)
        wide = draw.key_width(KEY)
        draw.key(painter, self.width() - wide - 10, (height - 18) / 2, KEY)
        painter.end()
