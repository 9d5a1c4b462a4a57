"""Somebody at the keyboard of the bench."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from register.domain.records import Place
from ui.bench.page import BenchPage
from ui.bench.scanner import REPEAT_MS
from ui.program import Program

HAND_MS, SCANNER_MS = 200, 5
"""So much time lies between the keys of a hand, and between those of a scanner."""


class Hand:
    """Works on the bench with real keys, and waits after each until nothing is under way."""

    def __init__(self, qtbot: QtBot, program: Program, settled: Callable[[], None]) -> None:
        self.qtbot, self.program, self.settle = qtbot, program, settled
        program.frame.go("bench")
        settled()
        page = program.frame.front
        assert isinstance(page, BenchPage)
        self.page = page
        self._ms, self._step = 0, HAND_MS
        page.listening.pace = self._tick

    def _tick(self) -> int:
        """Let time pass for the bench by as much as lies between two keys."""
        self._ms += self._step
        return self._ms

    def wait(self, ms: int) -> None:
        """Let time pass without a key."""
        self._ms += ms

    def sends(self, text: str, suffix: Qt.Key | None = Qt.Key.Key_Return) -> None:
        """Let a scanner send a code, wherever the cursor stands, faster than any hand."""
        self._ms, self._step = self._ms + HAND_MS, SCANNER_MS
        for letter in text:
            QTest.keyClick(self.focus, letter)
        if suffix is not None:
            QTest.keyClick(self.focus, suffix)
        self._step = HAND_MS

    @property
    def focus(self) -> QWidget:
        widget = QApplication.focusWidget()
        assert widget is not None
        return widget

    @property
    def at(self) -> str:
        return self.focus.accessibleName()

    def sends_on(self, text: str) -> None:
        """Let a scanner send part of a code."""
        for letter in text:
            self.fast(letter)

    def fast(self, key: Qt.Key | str, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """Let a scanner send one key at its own pace."""
        self._step = SCANNER_MS
        QTest.keyClick(self.focus, key, modifier)
        self._step = HAND_MS

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        QTest.keyClick(self.focus, key, modifier)
        self.page.listening.let_go()
        self.settle()

    def type(self, *texts: str) -> None:
        """Type each text and press Enter."""
        for text in texts:
            QTest.keyClicks(self.focus, text)
            self.key(Qt.Key.Key_Return)

    def scan(self, code: str, suffix: Qt.Key = Qt.Key.Key_Return) -> None:
        self.wait(REPEAT_MS)
        self.key(Qt.Key.Key_F4)
        self.sends(code, suffix)
        self.settle()

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

    def click(self, dialog: QDialog, name: str) -> None:
        """Press a button of a dialog by its name."""
        (button,) = [each for each in dialog.findChildren(QPushButton) if each.accessibleName() == name]
        button.click()
        self.settle()

    def come_back(self) -> None:
        """Give the window the keyboard again, as a desktop does when a dialog closes."""
        self.program.frame.activateWindow()
        self.settle()

    def press_key(self, dialog: QDialog, key: Qt.Key, modifier: Qt.KeyboardModifier) -> None:
        """Press the key of a dialog's deed."""
        (button,) = [each for each in dialog.findChildren(QPushButton) if each.property("kind") == "primary"]
        with self.qtbot.waitSignal(button.clicked):
            QTest.keyClick(dialog, key, modifier)
        self.settle()

    @property
    def dialog(self) -> QDialog:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, QDialog)
        return dialog
