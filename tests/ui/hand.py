"""Somebody at the keyboard of the bench."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from register.domain.records import Place
from ui.bench.page import BenchPage
from ui.program import Program


class Hand:
    """Works on the bench with real keys, and waits after each until nothing is under way."""

    def __init__(self, qtbot: QtBot, program: Program, settled: Callable[[], None]) -> None:
        self.qtbot, self.program, self.settle = qtbot, program, settled
        program.frame.go("bench")
        settled()
        page = program.frame.front
        assert isinstance(page, BenchPage)
        self.page = page

    @property
    def focus(self) -> QWidget:
        widget = QApplication.focusWidget()
        assert widget is not None
        return widget

    @property
    def at(self) -> str:
        return self.focus.accessibleName()

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        QTest.keyClick(self.focus, key, modifier)
        self.settle()

    def type(self, *texts: str) -> None:
        """Type each text and press Enter."""
        for text in texts:
            QTest.keyClicks(self.focus, text)
            self.key(Qt.Key.Key_Return)

    def scan(self, code: str, suffix: Qt.Key = Qt.Key.Key_Return) -> None:
        self.key(Qt.Key.Key_F4)
        QTest.keyClicks(self.focus, code)
        self.key(suffix)

    def tick_all(self) -> None:
        self.key(Qt.Key.Key_Space, Qt.KeyboardModifier.ControlModifier)

    def save(self) -> None:
        self.key(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)

    def text(self, place: Place) -> str:
        return self.page.sheet.readings.cells[place].entry.text()

    @property
    def verdict(self) -> str:
        return self.page.verdict._block._word.text()

    @property
    def sentence(self) -> str:
        return self.page.verdict._block.sentence.text()

    def press(self, dialog: QDialog) -> None:
        """Press the key of a dialog's deed; its button takes a moment to go down and up."""
        (button,) = [each for each in dialog.findChildren(QPushButton) if each.property("kind") == "primary"]
        with self.qtbot.waitSignal(button.clicked):
            QTest.keyClick(dialog, Qt.Key.Key_W, Qt.KeyboardModifier.AltModifier)
        self.settle()

    @property
    def dialog(self) -> QDialog:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, QDialog)
        return dialog
