"""One cell of readings: a field to type in, its mark, and a bar that shows how much of the limit is used."""

from typing import Final

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QFocusEvent,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QApplication, QLineEdit, QSizePolicy, QWidget

from register.domain.records import Finding, Place
from register.domain.words import Result
from register.services.bench.worksheet import Cell, shown_text
from ui.bench.words import cell_name, is_word, unit_of, used
from ui.look import draw
from ui.look.glyphs import VERDICT_GLYPHS, glyph
from ui.look.theme import colours, theme, verdict_tone
from ui.look.typeface import font, px, width

HIGH: Final = 52
LOW: Final = 34
LONGEST: Final = 24


class Entry(QLineEdit):
    """The field of a cell. Enter and the arrows lead to other cells."""

    entered = Signal()
    led = Signal(int, int)
    seen = Signal()
    pasted = Signal(object)

    def insertFromClipboard(self) -> None:
        """Paste: one value as everywhere, a column or rows of a spreadsheet into the cells from here on."""
        rows = pasted_rows(QApplication.clipboard().text())
        if len(rows) > 1 or (rows and len(rows[0]) > 1):
            self.pasted.emit(rows)
        else:
            self.paste()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """Offer Qt's own menu, whose Paste fills cells as the key does."""
        menu = self.createStandardContextMenu()
        for action in menu.actions():
            if action.objectName() == "edit-paste":
                action.triggered.disconnect()
                action.triggered.connect(self.insertFromClipboard)
        menu.exec(event.globalPos())
        menu.deleteLater()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        plain = not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        whole = len(self.selectedText()) == len(self.text())
        if event.matches(QKeySequence.StandardKey.Paste):
            self.insertFromClipboard()
        elif key in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and plain:
            self.entered.emit()
        elif key in _DOWN and plain:
            self.led.emit(0, _DOWN[key])
        elif key is Qt.Key.Key_Left and plain and (whole or self.cursorPosition() == 0):
            self.led.emit(-1, 0)
        elif key is Qt.Key.Key_Right and plain and (whole or self.cursorPosition() == len(self.text())):
            self.led.emit(1, 0)
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.selectAll()
        self.seen.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.seen.emit()


_DOWN: Final = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}


def pasted_rows(text: str) -> list[list[str]]:
    """Return what was copied from a spreadsheet: rows of cells, without the empty row at its end."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    while lines and not lines[-1].strip():
        lines.pop()
    return [[each.strip() for each in line.split("\t")] for line in lines]


class ReadingCell(QWidget):
    """A cell of the grid, at one place. `typed` tells its text, `left` that the cursor went elsewhere."""

    typed = Signal(object, str)

    def __init__(self, cell: Cell, text: str, *, low: bool = False) -> None:
        super().__init__()
        self.place: Place = cell.place
        self._limit = cell.limit
        self._finding: Finding | None = None
        self._fault, self._missing = "", True
        self.entry = Entry(self)
        self.entry.setProperty("bare", "true")
        self.entry.setProperty("ring", False)  # noqa: FBT003 - Qt's own
        self.entry.setMaxLength(LONGEST)
        self.entry.setAccessibleName(cell_name(cell.place, cell.limit))
        self.entry.setText(text)
        self.entry.textEdited.connect(self._tell)
        self.entry.seen.connect(self._seen)
        self.setFixedHeight(px(LOW if low else HIGH))
        self.setMinimumWidth(px(58))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._fit()
        theme.changed.connect(self.update)

    @property
    def low(self) -> bool:
        """Whether this is a cell of the smaller kind, without a bar."""
        return self.height() < px(HIGH)

    def show_state(self, finding: Finding | None, fault: str, *, missing: bool) -> None:
        """Show what was found of the text, or why it is no reading."""
        if (finding, fault, missing) == (self._finding, self._fault, self._missing):
            return
        self._finding, self._fault, self._missing = finding, fault, missing
        self.entry.setAccessibleDescription(fault or (finding.why if finding else "missing" if missing else ""))
        self._fit()
        self.update()

    def fill(self, text: str) -> None:
        """Take a text as if it were typed here and left."""
        self.entry.setText(text[:LONGEST])
        self._tell(self.entry.text())
        self._seen()

    def _tell(self, text: str) -> None:
        self._fit()
        self.typed.emit(self.place, text)
        self.update()

    def _seen(self) -> None:
        if not self.entry.hasFocus():
            text = shown_text(self.place.check, self.entry.text()) if self.entry.text().strip() else ""
            if text != self.entry.text():
                self.entry.setText(text)
                self.typed.emit(self.place, text)
        self._fit()
        self.update()

    def _fit(self) -> None:
        """Give the field its type, its colour and its room."""
        text, on = self.entry.text(), self.entry.hasFocus()
        failed = bool(self._fault) or (self._finding is not None and self._finding.result is Result.FAIL)
        small = self.low or (is_word(text) and not on) or bool(self._fault)
        weight = 600 if failed or on else 500
        tight = not on and width(text, 13, weight) > self._room() - 4
        self.entry.setFont(font((12 if tight else 13) if small else 17, weight))
        if not on:
            self.entry.setCursorPosition(0)
        if self.entry.property("tone") != ("fail" if failed else ""):
            self.entry.setProperty("tone", "fail" if failed else "")
            self.entry.style().polish(self.entry)
        self._place()

    def _place(self) -> None:
        lift = 0 if self.low or not self._bar() else px(6)
        self.entry.setGeometry(px(6), 1, max(10, int(self._room())), self.height() - 2 - lift)

    def _room(self) -> float:
        """Return how wide the field is: all but the mark, or the unit while it is typed in."""
        unit = width(unit_of(self._limit, self.place.check), 12) + px(12)
        return self.width() - px(6) - (unit if self.entry.hasFocus() else px(22))

    def _bar(self) -> float:
        return 0.0 if self._finding is None else used(self._finding)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, place = QPainter(self), QRectF(self.rect())
        self._ground(painter, place)
        if self.entry.hasFocus():
            unit = QRectF(0, 0, place.width() - px(8), place.height())
            draw.text(painter, unit, unit_of(self._limit, self.place.check), 12, 400, colours().ink3, draw.RIGHT)
        elif self.entry.text().strip():
            self._mark(painter, place)
        elif self._missing:
            size = px(14)
            x, y = (place.width() - size) / 2, (place.height() - size) / 2
            glyph(painter, "gap", x, y, size, colours().unknown.fill)
        if not self.low and self._bar() and not self._fault:
            self._draw_bar(painter, place)
        painter.end()

    def _ground(self, painter: QPainter, place: QRectF) -> None:
        tokens = colours()
        failed = bool(self._fault) or (self._finding is not None and self._finding.result is Result.FAIL)
        if self.entry.hasFocus():
            draw.box(painter, place, tokens.surface, tokens.accent, 5, 2)
        elif not self.entry.text().strip():
            draw.box(painter, place, None, tokens.line if self._missing else tokens.rule, 5, 1, [3, 3])
        elif failed:
            dash = [3.0, 2.0] if self._fault else None
            draw.box(painter, place, tokens.overdue.soft, tokens.overdue.fill, 5, 1.5, dash)
        else:
            draw.box(painter, place, tokens.ground, None, 5)

    def _mark(self, painter: QPainter, place: QRectF) -> None:
        size, result = px(12), self._finding.result if self._finding is not None else None
        if result is None and not self._fault:
            return
        name = "unknown" if result is None or self._fault else VERDICT_GLYPHS[result]
        tone = colours().overdue if self._fault or result is None else verdict_tone(result)
        y = (place.height() - size) / 2 - (px(4) if self._bar() and not self.low else 0)
        glyph(painter, name, place.width() - size - px(6 if self.low else 8), y, size, tone.fill)

    def _draw_bar(self, painter: QPainter, place: QRectF) -> None:
        tokens, inset = colours(), px(8)
        failed = self._finding is not None and self._finding.result is Result.FAIL
        line = QRectF(inset, place.height() - px(10), place.width() - 2 * inset, 3)
        draw.box(painter, line, tokens.hair, None, 1)
        line.setWidth(max(3.0, line.width() * self._bar()))
        draw.box(painter, line, tokens.overdue.fill if failed else tokens.ink3, None, 1)
