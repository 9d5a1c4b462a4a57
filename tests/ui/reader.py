"""Somebody who reads the register's page, with real keys, and what is written there."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from tests.desk import Desk
from ui.asking.dialog import Dialog
from ui.program import Program
from ui.register_page.page import RegisterPage

ALT, CTRL = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier


class Reader:
    """Somebody at the register's page."""

    def __init__(self, qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None]) -> None:
        self.qtbot, self.program, self.desk, self._settled = qtbot, program, desk, settled
        program.frame.go("register")
        page = program.frame.front
        assert isinstance(page, RegisterPage)
        self.page = page
        self.qtbot.waitUntil(lambda: bool(page.model.keys))
        self.settle()

    def settle(self) -> None:
        """Wait until nothing is under way and nothing waits its moment."""
        waits = (self.page._card_wait, self.page._count_wait, self.page.filters.search._wait)
        self._settled()
        self.qtbot.waitUntil(lambda: not any(wait.isActive() for wait in waits))
        self._settled()

    @property
    def tags(self) -> list[str]:
        """The tags in the list, in order."""
        rows = range(len(self.page.model.keys))
        self.qtbot.waitUntil(lambda: all(self.page.model.row_at(row) is not None for row in rows))
        return [self.page.model.row_at(row).tag for row in rows]  # type: ignore[union-attr]

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        QTest.keyClick(self.focus, key, modifier)
        self.settle()

    @property
    def focus(self) -> QWidget:
        widget = QApplication.focusWidget()
        assert widget is not None
        return widget

    def search(self, text: str) -> None:
        """Type into the search field and wait for what it finds."""
        self.key(Qt.Key.Key_F, CTRL)
        with self.qtbot.waitSignal(self.page.filters.search.searched):
            QTest.keyClicks(self.focus, text)
        self.settle()

    def choose(self, tag: str) -> None:
        """Put the cursor on an item and wait for its card."""
        self.page.view.select_key(self.desk.id(tag))
        self.shows(tag)

    def shows(self, tag: str) -> None:
        """Wait until the card shows an item."""
        key = self.desk.id(tag)
        self.qtbot.waitUntil(lambda: self.page.card.item == key and self.page.chosen_card() is not None)

    def ask(self, action: str, kind: type[Dialog]) -> Dialog:
        """Press the key of an action, and return the dialog that it opens."""
        self.program.frame.deeds.actions[action].trigger()
        self.qtbot.waitUntil(lambda: isinstance(self.page.deeds.dialog, kind))
        dialog = self.page.deeds.dialog
        assert dialog is not None
        self.qtbot.waitUntil(dialog.isActiveWindow)
        self.settle()
        return dialog

    def confirm(self, dialog: Dialog, key: Qt.Key, modifier: Qt.KeyboardModifier) -> None:
        """Press the key of a dialog's deed; its button takes a moment to go down and up."""
        (button,) = [each for each in dialog.findChildren(QPushButton) if each.property("kind") == "primary"]
        with self.qtbot.waitSignal(button.clicked):
            QTest.keyClick(dialog.focusWidget() or dialog, key, modifier)
        self.settle()


def named(widget: QWidget) -> bool:
    """Whether a screen reader has something to say of a widget, or of the one that it is a part of."""
    text = widget.property("text")
    parent = widget.parentWidget()
    return bool(widget.accessibleName() or text or (parent is not None and parent.accessibleName()))


def words_of(widget: QWidget) -> str:
    """Return all that a widget says."""
    said = [str(each.property("text")) for each in widget.findChildren(QWidget) if each.property("text")]
    return "\n".join(said)


def press(reader: Reader, words: str) -> None:
    """Press the button that says this."""
    buttons = [each for each in reader.page.findChildren(QWidget) if each.property("text") == words]
    (button,) = [each for each in buttons if each.isVisible()]
    if isinstance(button, QPushButton):
        button.setFocus()
    QTest.keyClick(button, Qt.Key.Key_Space)
    reader.settle()
