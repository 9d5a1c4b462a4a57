"""The box that takes tags, from a scanner or by hand, and the line below it that says what became of one."""

from collections.abc import Iterator, Sequence
from typing import Final

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QWidget

from ui.bench.became import GLYPHS, TONES, Became
from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours, theme
from ui.look.typeface import font, px, width
from ui.look.widgets import Painted, Words
from ui.offer import Answer, answer_button

READY: Final = "Scan or type a tag"
ELSEWHERE: Final = "Scan any time"
LONGEST: Final = 256
"""Longer than any tag, so that a label with too much on it is refused in words and not cut."""


class ScanField(QLineEdit):
    """The field itself: Enter and Tab both end a tag."""

    ended = Signal()
    turned = Signal()

    def event(self, event: QEvent) -> bool:
        """Take Tab as the end of a tag while something was typed; otherwise it moves on as everywhere."""
        if isinstance(event, QKeyEvent) and event.type() is QKeyEvent.Type.KeyPress:
            ends = {Qt.Key.Key_Return, Qt.Key.Key_Enter}
            if self.text().strip() and self.isModified():
                ends.add(Qt.Key.Key_Tab)
            if Qt.Key(event.key()) in ends:
                if self.text().strip():
                    self.ended.emit()
                return True
        return super().event(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.selectAll()
        self.turned.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.turned.emit()


class ScanBox(QWidget):
    """The large box. Its edge is accented only while it has the cursor. `scanned` gives what came, as it came."""

    scanned = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.field = ScanField(self)
        self.field.setProperty("bare", "true")
        self.field.setProperty("ring", False)  # noqa: FBT003 - Qt's own
        self.field.setMaxLength(LONGEST)
        self.field.setAccessibleName("Scan or type a tag")
        self.field.ended.connect(self._take)
        self.field.turned.connect(self._turned)
        self.setFocusProxy(self.field)
        self._narrow = False
        self._beside = self._found = ""
        self.show_narrow(narrow=False)
        theme.changed.connect(self.update)

    def show_narrow(self, *, narrow: bool, beside: str = "") -> None:
        """Become lower, with the progress at the right, where the window has no room at the left."""
        self._narrow, self._beside = narrow, beside
        self.setFixedHeight(px(44 if narrow else 64))
        self.field.setFont(font(17 if narrow else 20, 500))
        self._turned()

    def tell_found(self, said: str) -> None:
        """Say at the right that the last tag was found, and how it stands; nothing says how to scan.

        A code that was kept in sight has led somewhere then, and goes; what is typed meanwhile stays.
        """
        if said and not self.field.isModified():
            self.field.clear()
        self._found = said
        self.setAccessibleDescription(said)
        self._turned()

    def ready(self) -> None:
        """Take the next tag: empty, with the cursor."""
        self.field.clear()
        self.field.setFocus()
        self._turned()

    def keep(self, code: str) -> None:
        """Keep a code in sight that led nowhere; the next one replaces it."""
        self.field.setText(code)
        self.field.setFocus()
        self.field.selectAll()

    def _take(self) -> None:
        text = self.field.text()
        self.field.setModified(False)
        self.field.clear()
        self.scanned.emit(text)

    def _turned(self) -> None:
        self.field.setPlaceholderText(READY if self.field.hasFocus() else ELSEWHERE)
        self._place()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place()

    def _place(self) -> None:
        left = px(46 if self._narrow else 64)
        beside = min(px(230), int(self.width() * 0.4)) if self._narrow or self.width() > px(560) else 0
        right = px(84) + beside
        self.field.setGeometry(left, 2, max(40, self.width() - left - right), self.height() - 4)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens, on = QPainter(self), colours(), self.field.hasFocus()
        place, size = QRectF(self.rect()), px(20 if self._narrow else 26)
        draw.box(painter, place, tokens.surface, tokens.accent if on else tokens.line, 8, 2 if on else 1)
        ink = tokens.accent if on else tokens.ink2
        glyph(painter, "scan", px(14 if self._narrow else 20), (place.height() - size) / 2, size, ink)
        x = place.width() - px(20) - draw.key_width("F4")
        draw.key(painter, x, (place.height() - 18) / 2, "F4")
        said = self._beside if self._narrow else "ready for the next tag" if on else "to scan press"
        room = QRectF(self.field.geometry().right() + 4, 0, x - self.field.geometry().right() - 14, place.height())
        strong = self._narrow and self._beside
        if self._found and not strong:
            said, size = self._found, px(16)
            wide = min(room.width() - size - px(8), width(said, 12, 600) + 2)
            glyph(
                painter,
                "tick",
                room.right() - wide - size - px(8),
                (place.height() - size) / 2,
                size,
                tokens.service.fill,
            )
            draw.text(painter, room, said, 12, 600, tokens.service.text, draw.RIGHT)
        else:
            draw.text(painter, room, said, 13 if strong else 12, 600 if strong else 400, tokens.ink2, draw.RIGHT)
        painter.end()


class ScanLine(QWidget):
    """The line below the box: what became of a tag, by sign, sentence and colour, and what can be done about it.

    Its buttons answer to keys with Alt, never to Enter, so a scanner answers nothing.
    """

    def __init__(self) -> None:
        super().__init__()
        self._glyph, self._tone = "unknown", "unknown"
        self._said = Words("", 13, 500, "unknown", wrap=True)
        self._buttons: list[QPushButton] = []
        size = px(18)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(px(16), px(8), px(12), px(8))
        self._row.setSpacing(px(8))
        self._row.addWidget(Painted(self._mark, size=QSize(size, size)))
        self._row.addWidget(self._said, 1)
        theme.changed.connect(self.update)
        self.hide()

    @property
    def said(self) -> str:
        """What it says at present."""
        return self._said.text()

    def say(self, said: str, became: Became | None = None, answers: Sequence[Answer] = ()) -> None:
        """Say what became of a tag; nothing hides the line."""
        self._glyph = GLYPHS[became] if became is not None else "unknown"
        self._tone = TONES.get(became, "unknown") if became is not None else "unknown"
        self._said.say(said, self._tone)
        for old in self._buttons:
            self._row.removeWidget(old)
            old.setShortcut("")
            old.hide()
            old.deleteLater()
        self._buttons = [answer_button(answer) for answer in answers]
        for made in self._buttons:
            self._row.addWidget(made)
        self.setAccessibleName(said)
        self.setVisible(bool(said))
        self.update()

    def widgets(self) -> Iterator[QWidget]:
        """Yield the buttons."""
        yield from self._buttons

    def _mark(self, painter: QPainter, place: QRectF) -> None:
        glyph(painter, self._glyph, 0, 0, place.width(), getattr(colours(), self._tone).fill)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        draw.box(painter, QRectF(self.rect()), getattr(colours(), self._tone).soft, None, 6)
        painter.end()
