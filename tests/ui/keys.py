"""Somebody at the keyboard of the whole program: first window, pages, dialogs. Nothing is done by the mouse."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QDialog, QWidget
from pytestqt.qtbot import QtBot

from tests.ui.conftest import CLOCK, RecordedMessages, settle
from tests.ui.hand import HAND_MS
from ui.bench.page import BenchPage
from ui.look.widgets import Words
from ui.opening import Opening
from ui.program import Program

ALT, CTRL = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier
NONE = Qt.KeyboardModifier.NoModifier
FURTHEST = 80
"""So many steps of Tab reach everything of a page."""


class Keys:
    """Works at the windows that a started program opens."""

    def __init__(self, qtbot: QtBot, app: QApplication, memory: Path, messages: RecordedMessages) -> None:
        self.qtbot, self.messages = qtbot, messages
        self.opening = Opening(app, CLOCK.today, CLOCK.now, remembered=memory, messages=messages)
        self._ms = 0

    def start(self, path: Path | None = None) -> None:
        self.opening.start(path)
        self.settle()

    @property
    def program(self) -> Program:
        program = self.opening.program
        assert program is not None
        return program

    def settle(self) -> None:
        QApplication.processEvents()
        if self.opening.program is not None:
            settle(self.qtbot, self.opening.program.jobs)
            self._come_through(self.opening.program)
            if self.opening.program.frame.isVisible():
                self.qtbot.waitUntil(self._awake)

    def _come_through(self, program: Program) -> None:
        """Wait until the bench knows that the last key came from no scanner, and let the next come at a hand's pace."""
        bench = next((page for page in program.frame.pages if isinstance(page, BenchPage)), None)
        if bench is not None:
            self.qtbot.waitUntil(lambda: not bench.listening.holding)
            bench.listening.pace = self._tick
            settle(self.qtbot, program.jobs)

    def _tick(self) -> int:
        """Let as much time pass for the bench as lies between two keys of a hand."""
        self._ms += HAND_MS
        return self._ms

    def _awake(self) -> bool:
        """Whether the window in front is active; a window manager sees to that, and a display of the tests has none."""
        if QApplication.activeWindow() is None:
            first = self.opening.first if self.opening.program is None else self.program.frame
            front = QApplication.activeModalWidget() or first
            if front is not None:
                front.activateWindow()
        return QApplication.activeWindow() is not None and not self._behind

    @property
    def _behind(self) -> bool:
        """Whether a dialog has opened and a display has not yet passed the keyboard on to it."""
        dialog = QApplication.activeModalWidget()
        return dialog is not None and QApplication.activeWindow() not in {dialog, QApplication.activePopupWidget()}

    @property
    def focus(self) -> QWidget:
        if QApplication.activeWindow() is None or self._behind:
            self.waits(self._awake)
        widget = QApplication.focusWidget() or QApplication.activeWindow()
        assert widget is not None
        return widget

    @property
    def name(self) -> str:
        """What the widget that has the cursor says of itself."""
        said = self.focus.accessibleName()
        return said or (self.focus.text() if isinstance(self.focus, QAbstractButton) else "")

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = NONE) -> None:
        QTest.keyClick(self.focus, key, modifier)
        self.settle()

    def type(self, text: str) -> None:
        QTest.keyClicks(self.focus, text)

    def reach(self, name: str) -> None:
        """Go with Tab to what is called so."""
        met = []
        for _step in range(FURTHEST):
            if self.name.startswith(name):
                return
            met.append(self.name)
            QTest.keyClick(self.focus, Qt.Key.Key_Tab)
        raise AssertionError(f"{name} can't be reached by Tab; met {list(dict.fromkeys(met))}")

    def press(self, name: str) -> None:
        """Go with Tab to a button and press it."""
        self.reach(name)
        self.key(Qt.Key.Key_Space)

    def fill(self, **fields: str) -> None:
        """Type into fields by their names."""
        for name, text in fields.items():
            self.reach(name.replace("_", " "))
            self.type(text)

    @property
    def dialog(self) -> QDialog:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, QDialog)
        return dialog

    def alt(self, key: Qt.Key) -> None:
        """Press the key of a dialog's deed; its button takes a moment to go down and up."""
        (button,) = [
            each for each in self.dialog.findChildren(QAbstractButton)
            if each.property("kind") == "primary" and each.shortcut().toString().startswith("Alt")
        ]  # fmt: skip
        with self.qtbot.waitSignal(button.clicked):
            QTest.keyClick(self.dialog, key, ALT)
        self.settle()

    def says(self, widget: QWidget) -> str:
        """All words in sight in a widget."""
        return "\n".join(each.text() for each in widget.findChildren(Words) if each.isVisible())

    def waits(self, reached: Callable[[], bool]) -> None:
        self.qtbot.waitUntil(reached, timeout=20_000)


@pytest.fixture
def keys(qtbot: QtBot, qapp: QApplication, tmp_path: Path, messages: RecordedMessages) -> Iterator[Keys]:
    """Somebody at the keyboard of a program that is not started yet."""
    made = Keys(qtbot, qapp, tmp_path / "memory.toml", messages)
    yield made
    made.settle()
    made.opening.close()
    QApplication.processEvents()
