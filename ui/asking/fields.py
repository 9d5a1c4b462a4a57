"""The fields of a dialog: a label above, help below, and there too what is wrong with what was typed."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QRadioButton, QVBoxLayout, QWidget

from ui.look import draw
from ui.look.theme import colours, theme
from ui.look.typeface import px, width
from ui.look.widgets import PickBox, Words

BURST_MS: Final = 60
"""A letter key acts only when nothing follows it within this time, so that a scanned code chooses nothing."""


class Field(QWidget):
    """One thing that is asked, with its label, its help, and what is wrong with the answer."""

    def __init__(self, label: str, widget: QWidget, help_: str = "") -> None:
        super().__init__()
        self.widget = widget
        title = Words(label, 13, 600)
        title.setBuddy(widget)
        widget.setAccessibleName(label)
        self._help = help_
        self._below = Words(help_, 12, 400, "ink2", wrap=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(title)
        column.addWidget(widget)
        column.addWidget(self._below)
        self._below.setVisible(bool(help_))

    @property
    def complaint(self) -> str:
        """What is said to be wrong at present; empty where nothing is."""
        return self._below.text() if self._below.text() != self._help else ""

    def complain(self, why: str) -> None:
        """Say under the field what is wrong with it and leave what was typed; empty text brings the help back."""
        self._below.say(why or self._help, "overdue" if why else "ink2")
        self._below.setVisible(bool(why or self._help))
        self.widget.setAccessibleDescription(why or self._help)

    def explain(self, help_: str) -> None:
        """Show another help."""
        self._help = help_
        self.complain("")


def beside(*fields: QWidget, shares: Sequence[int] = ()) -> QHBoxLayout:
    """Return fields that belong together, side by side and of equal width, or with these shares of it."""
    row = QHBoxLayout()
    row.setSpacing(16)
    for field, share in zip(fields, shares or [1] * len(fields), strict=True):
        row.addWidget(field, share, Qt.AlignmentFlag.AlignTop)
    return row


class Picked(PickBox):
    """A choice of one of several values, each with its words."""

    def __init__(self, choices: Sequence[tuple[object, str]] = ()) -> None:
        super().__init__()
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(8)
        self.setMaxVisibleItems(14)
        self._values: list[object] = []
        self.offer(choices)

    def offer(self, choices: Sequence[tuple[object, str]]) -> None:
        """Offer other values; the chosen one stays chosen if it is among them."""
        before = self.chosen
        self.blockSignals(True)  # noqa: FBT003 - Qt's own
        self.clear()
        self._values = [value for value, _words in choices]
        self.addItems([words for _value, words in choices])
        self.blockSignals(False)  # noqa: FBT003 - Qt's own
        if before in self._values:
            self.choose(before)

    @property
    def chosen(self) -> object:
        """The chosen value; None where there is none."""
        place = self.currentIndex()
        return self._values[place] if 0 <= place < len(self._values) else None

    def choose(self, value: object) -> None:
        """Choose a value."""
        if value in self._values:
            self.setCurrentIndex(self._values.index(value))


class ChoiceRow(QRadioButton):
    """One of several answers, as wide as the dialog, with the letter that chooses it."""

    def __init__(self, words: str, more: str, letter: str) -> None:
        super().__init__(words)
        self.letter = letter
        self._more = more
        self.setAccessibleDescription(more)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        policy = self.sizePolicy()
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(px(240), px(32))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def heightForWidth(self, across: int) -> int:
        """Take a second line where the first has no room for both texts."""
        return px(48 if self._below(across) else 32)

    def _below(self, across: float) -> bool:
        return 38 + width(self.text(), 13, 500) + 10 + width(self._more, 12) > across - 44

    def hitButton(self, pos: object) -> bool:  # noqa: ARG002 - the whole row counts
        return True

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens = QPainter(self), colours()
        place, on, height = QRectF(self.rect()), self.isChecked(), self.height()
        ground = tokens.accent_soft if on else tokens.hover if self.underMouse() and self.isEnabled() else None
        draw.box(painter, place, ground, tokens.accent if on else tokens.hair, 6)
        painter.setPen(QPen(QColor(tokens.accent if on else tokens.line), 1.6))
        painter.setBrush(QColor(tokens.surface))
        painter.drawEllipse(QRectF(13, height / 2 - 7, 14, 14))
        if on:
            draw.box(painter, QRectF(16, height / 2 - 4, 8, 8), tokens.accent, None, 4)
        ink = tokens.ink if self.isEnabled() else tokens.ink3
        words, end = QRectF(38, 0, place.width() - 76, height), 38 + width(self.text(), 13, 500) + 10
        rest = QRectF(end, 0, place.width() - end - 44, height)
        if self._below(place.width()):
            words, rest = words.adjusted(0, 2, 0, -height / 2), words.adjusted(0, height / 2, 0, -4)
        draw.text(painter, words, self.text(), 13, 500, ink)
        draw.text(painter, rest, self._more, 12, 400, tokens.ink2 if self.isEnabled() else tokens.ink3)
        draw.key(painter, place.width() - draw.key_width(self.letter) - 10, (height - 18) / 2, self.letter)
        painter.end()


class Choices(QWidget):
    """Answers of which one holds. Arrows move among them; a letter chooses, unless more characters follow at once."""

    changed = Signal()

    def __init__(self, rows: Sequence[tuple[object, ChoiceRow]], name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self._rows = list(rows)
        self._typed = ""
        self._burst = QTimer(self, singleShot=True, interval=BURST_MS)
        self._burst.timeout.connect(self._choose_typed)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for _value, row in self._rows:
            column.addWidget(row)
            row.toggled.connect(self._tell)

    @property
    def chosen(self) -> object:
        """The value of the answer that holds; None where none does."""
        return next((value for value, row in self._rows if row.isChecked()), None)

    def choose(self, value: object) -> None:
        """Let an answer hold."""
        for mine, row in self._rows:
            if mine == value and row.isEnabled():
                row.setChecked(True)

    def focus_row(self) -> QWidget:
        """Return the answer that should have the cursor."""
        return next((row for _value, row in self._rows if row.isChecked()), self._rows[0][1])

    def _tell(self, on: bool) -> None:  # noqa: FBT001 - Qt's signal
        if on:
            self.changed.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.text().isalnum() and not event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier:
            self._typed += event.text().upper()
            self._burst.start()
            return
        super().keyPressEvent(event)

    def _choose_typed(self) -> None:
        typed, self._typed = self._typed, ""
        for _value, row in self._rows:
            if row.letter == typed and row.isEnabled():
                row.setFocus()
                row.setChecked(True)
