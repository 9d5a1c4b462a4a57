"""A chip that narrows the list by one fact: it says what it is narrowed to, opens the choices, and takes it away."""

from collections.abc import Sequence
from functools import partial
from typing import Final

from PySide6.QtCore import QPoint, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QLineEdit, QMenu, QSizePolicy, QWidgetAction

from register.services.item_list import Choice
from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours, theme
from ui.look.typeface import px, width

SHOWN: Final = 24
"""So many choices a menu shows; a field above them finds the others."""
LONGEST: Final = 190


class ChoiceMenu(QMenu):
    """The choices of a chip. `toggled_choice` gives the id of one that was switched."""

    toggled_choice = Signal(str)

    def __init__(self, title: str, none: str) -> None:
        super().__init__(title)
        self._none = none
        self._choices: Sequence[Choice] = ()
        self._chosen: frozenset[str] = frozenset()
        self._field = QLineEdit(self)
        self._field.setPlaceholderText("Type to find")
        self._field.setAccessibleName(f"Find in {title}")
        self._field.textChanged.connect(self._fill)
        self._head = QWidgetAction(self)
        self._head.setDefaultWidget(self._field)

    def offer(self, choices: Sequence[Choice], chosen: frozenset[str]) -> None:
        """Show these choices, the chosen ones ticked."""
        self._choices, self._chosen = choices, chosen
        self._field.clear()
        self._fill("")
        if len(choices) > SHOWN:
            QTimer.singleShot(0, self._field, self._field.setFocus)

    def _fill(self, typed: str) -> None:
        for action in self.actions():
            self.removeAction(action)
        if len(self._choices) > SHOWN:
            self.addAction(self._head)
        words = typed.casefold().split()
        found = [
            each for each in self._choices if all(word in f"{each.words} {each.more}".casefold() for word in words)
        ]
        for each in sorted(found, key=lambda each: each.id not in self._chosen)[:SHOWN]:
            action = self.addAction(each.words)
            action.setCheckable(True)
            action.setChecked(each.id in self._chosen)
            action.triggered.connect(partial(self._switch, each.id))
        if len(found) > SHOWN:
            self.addAction(f"and {len(found) - SHOWN:,} more: type to find").setEnabled(False)
        if not found:
            self.addAction("Nothing fits" if words else self._none).setEnabled(False)

    def _switch(self, key: str, _on: bool = False) -> None:  # noqa: FBT001, FBT002 - from a signal
        self.toggled_choice.emit(key)


class FilterChip(QAbstractButton):
    """One fact to narrow the list by. `changed` tells that other choices hold; `many` lets several hold at once."""

    changed = Signal()

    def __init__(self, title: str, *, many: bool, none: str = "Nothing to choose from yet") -> None:
        super().__init__()
        self._title, self._many = title, many
        self._choices: Sequence[Choice] = ()
        self.chosen: frozenset[str] = frozenset()
        self._menu = ChoiceMenu(title, none)
        self._menu.toggled_choice.connect(self._switch)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self.clicked.connect(self._open)
        theme.changed.connect(self.update)
        self._rename()

    def offer(self, choices: Sequence[Choice]) -> None:
        """Offer other choices; what is chosen and no longer offered is dropped without a word."""
        self._choices = choices
        self.chosen &= {each.id for each in choices}
        self._rename()

    def choose(self, *ids: str) -> None:
        """Let these choices hold, without telling."""
        self.chosen = frozenset(ids) & {each.id for each in self._choices}
        self._rename()

    @property
    def words(self) -> str:
        """What the list is narrowed to, in words; empty where it isn't."""
        return " or ".join(each.words for each in self._choices if each.id in self.chosen)

    def _switch(self, key: str) -> None:
        other = self.chosen - {key} if self._many else frozenset()
        self.chosen = other if key in self.chosen else other | {key}
        self._rename()
        self.changed.emit()

    def clear(self) -> None:
        """Narrow the list by this no longer."""
        if self.chosen:
            self.chosen = frozenset()
            self._rename()
            self.changed.emit()

    def _rename(self) -> None:
        said = self.words
        self.setAccessibleName(f"{self._title}: {said}" if said else self._title)
        self.setAccessibleDescription("Delete takes this filter away." if said else "Opens the choices.")
        self.setToolTip(self.accessibleName() if said else "")
        self.updateGeometry()
        self.update()

    def _open(self) -> None:
        self._menu.offer(self._choices, self.chosen)
        self._menu.popup(self.mapToGlobal(QPoint(0, self.height() + 4)))

    def sizeHint(self) -> QSize:
        said = min(width(self.words or self._title, 13, 600), px(LONGEST))
        return QSize(int(said + 24 + 22) + 1, px(40))

    def minimumSizeHint(self) -> QSize:
        return QSize(min(self.sizeHint().width(), px(92)), px(40))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self.chosen and event.position().x() > self.width() - 34:
            self.clear()
            return
        super().mousePressEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in {Qt.Key.Key_Delete, Qt.Key.Key_Backspace}:
            self.clear()
            return
        if event.key() in {Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self._open()
            return
        super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens, on = QPainter(self), colours(), bool(self.chosen)
        place = QRectF(self.rect())
        ground = tokens.accent_soft if on else tokens.hover if self.underMouse() else tokens.surface
        draw.box(painter, place, ground, tokens.accent if on else tokens.rule, 6)
        words = place.adjusted(12, 0, -30, 0)
        draw.text(painter, words, self.words or self._title, 13, 600 if on else 500)
        mark = "close" if on else "down"
        glyph(painter, mark, place.width() - 26, place.height() / 2 - 7, 14, tokens.ink2)
        painter.end()
