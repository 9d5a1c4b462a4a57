"""Find or do: type part of an action's name or of an item's tag, and Enter does it or shows it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

from PySide6.QtCore import QEvent, QModelIndex, QObject, QPersistentModelIndex, QPoint, QRectF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QShowEvent
from PySide6.QtWidgets import (
    QDialog,
    QLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from register.services.finding import FoundItem, find_items
from ui.actions import ACTIONS, Deeds
from ui.asking.dialog import Veil
from ui.jobs import Jobs
from ui.look import draw
from ui.look.theme import colours
from ui.look.typeface import font, px, width
from ui.look.widgets import Words

SHOWN: Final = 8
TOP: Final = 72
"""So far below the window's upper edge it stands."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One line that can be chosen: what it says, what stands at its right, and what it does."""

    said: str
    beside: str
    act: Callable[[], None]


class Lines(QStyledItemDelegate):
    """Draws a line that can be chosen: what it says, and at its right its key or its place."""

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        place, tokens = QRectF(option.rect), colours()
        if option.state & QStyle.StateFlag.State_Selected:
            draw.box(painter, place, tokens.accent_soft, None, 6)
        words, beside = place.adjusted(10, 0, -10, 0), str(index.data(Qt.ItemDataRole.UserRole) or "")
        room = width(beside, 12, 400) + 16 if beside else 0
        draw.text(painter, words.adjusted(0, 0, -room, 0), str(index.data()), 13, 500)
        draw.text(painter, words, beside, 12, 400, tokens.ink2, draw.RIGHT)


class Find(QDialog):
    """The command search over a window."""

    def __init__(self, window: QWidget, deeds: Deeds, jobs: Jobs, show_item: Callable[[str], None]) -> None:
        super().__init__(window, Qt.WindowType.Dialog | Qt.WindowType.FramelessWindowHint)
        self.setAttribute(Qt.WidgetAttribute.WA_TranslucentBackground)
        self._deeds, self._jobs, self._show_item = deeds, jobs, show_item
        self._choices: list[Choice] = []
        self.setWindowTitle("Find or do")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.resize(min(px(600), window.width()), min(px(460), window.height()))
        self._field = QLineEdit()
        self._field.setFont(font(15, 500))
        self._field.setPlaceholderText("A tag, a thing, a place, or what you want to do")
        self._field.setAccessibleName("Find or do")
        self._list = QListWidget()
        self._list.setAccessibleName("What was found")
        self._lines = Lines(self)
        self._list.setItemDelegate(self._lines)
        self._none = Words("No action and no item answers to this.", 13, 400, "ink2")
        self._gone = False
        self._window, self._veil = window, Veil(window)
        self.finished.connect(self._leave)
        column = QVBoxLayout(self)
        column.setSizeConstraint(QLayout.SizeConstraint.SetNoConstraint)
        column.setContentsMargins(20, 20, 20, 16)
        column.setSpacing(12)
        column.addWidget(self._field)
        column.addWidget(self._list, 1)
        column.addWidget(self._none)
        column.addWidget(Words("Enter does it, arrows choose, Esc leaves.", 12, 400, "ink3"))
        self._field.textChanged.connect(self._search)
        self._field.installEventFilter(self)
        self._list.itemActivated.connect(lambda _line: self._do())
        self._search("")

    def showEvent(self, event: QShowEvent) -> None:
        """Stand in the upper part of the window, which is dimmed meanwhile."""
        window = self._window
        room = window.size() - self.size()
        self.move(window.mapToGlobal(QPoint(room.width() // 2, min(px(TOP), room.height() // 2))))
        self._veil.show()
        self._veil.raise_()
        super().showEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens = QPainter(self), colours()
        draw.box(painter, QRectF(self.rect()), tokens.surface, tokens.rule, 12)
        painter.end()

    def _leave(self, _answer: int) -> None:
        self._gone = True
        self._veil.hide()
        self._veil.deleteLater()

    def _search(self, said: str) -> None:
        words = said.casefold().split()
        actions = [
            Choice(each.title, each.key, partial(self._deeds.do, each.id))
            for each in ACTIONS
            if self._deeds.possible(each.id) and all(word in each.title.casefold() for word in words)
        ]
        self._show(actions)
        if words:
            self._jobs.ask(lambda at: find_items(at, said, SHOWN), lambda found: self._add(said, found))

    def _add(self, said: str, found: Sequence[FoundItem]) -> None:
        if self._gone or said != self._field.text():
            return
        items = [
            Choice(f"{each.tag}  {each.description}", each.place, partial(self._show_item, each.id)) for each in found
        ]
        actions = [choice for choice in self._choices if choice not in items]
        self._show([*items, *actions])

    def _show(self, choices: list[Choice]) -> None:
        self._choices = choices
        self._list.clear()
        for choice in choices:
            line = QListWidgetItem(choice.said)
            line.setData(Qt.ItemDataRole.UserRole, choice.beside)
            line.setToolTip(f"{choice.said}, {choice.beside}" if choice.beside else choice.said)
            line.setSizeHint(QSize(0, px(32)))
            self._list.addItem(line)
        self._list.setCurrentRow(0)
        self._none.setVisible(not choices)

    def _do(self) -> None:
        row = self._list.currentRow()
        self.accept()
        if 0 <= row < len(self._choices):
            self._choices[row].act()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Let the arrows move in the list while the field keeps the cursor."""
        if watched is self._field and isinstance(event, QKeyEvent) and event.type() is QEvent.Type.KeyPress:
            step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()))
            if step is not None and self._list.count():
                self._list.setCurrentRow((self._list.currentRow() + step) % self._list.count())
                return True
            if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
                self._do()
                return True
        return False
