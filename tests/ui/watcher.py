"""Somebody at the horizon, with real keys, and three sites with work of every sort."""

from collections.abc import Callable
from datetime import date

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from register.domain.words import Duty, Kind
from register.store.engine import Register
from tests.desk import Desk
from tests.ui.conftest import TODAY
from tests.ui.reader import words_of
from ui.horizon.due_dialog import DueDialog
from ui.horizon.model import Choice
from ui.horizon.page import HorizonPage
from ui.program import Program

LATE, SOON = date(2026, 2, 2), date(2026, 6, 3)
CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier


def lead(desk: Desk, tag: str, tested: date, site: str = "YARD", area: str = "Slipway") -> date:
    desk.item(tag, Kind.EXTENSION_LEAD, site, area, since=tested, description=f"Lead {tag}")
    desk.test(tag, tested, duties=(Duty.INSPECTION_AND_TEST,))
    due = desk.dates(tag)["inspection-and-test"]
    assert due is not None
    return due


def three_sites(register: Register) -> Desk:
    """Enter three sites: at one a lead is overdue and two fall due in week 49, at one something was never done."""
    desk = Desk(register, TODAY)
    desk.site("YARD", name="Boat yard", address="3 Slip Road, Low Wharf")
    desk.site("QUAY", name="Old quay")
    desk.site("HALL", name="Village hall")
    lead(desk, "L-LATE", LATE)
    for tag in ("L-1", "L-2"):
        assert lead(desk, tag, SOON) == date(2026, 12, 3)
    lead(desk, "Q-1", SOON, "QUAY", "Crane")
    desk.item("H-1", Kind.APPLIANCE_CLASS_2, "HALL", "Kitchen", description="Mixer")
    return desk


class Watcher:
    """Somebody at the horizon."""

    def __init__(self, qtbot: QtBot, program: Program, settled: Callable[[], None]) -> None:
        self.qtbot, self.program, self.settle = qtbot, program, settled
        program.frame.go("horizon")
        settled()
        page = program.frame.front
        assert isinstance(page, HorizonPage)
        self.page = page

    @property
    def focus(self) -> QWidget:
        widget = QApplication.focusWidget()
        assert widget is not None
        return widget

    @property
    def choice(self) -> Choice:
        assert self.page._choice is not None
        return self.page._choice

    @property
    def panel(self) -> str:
        return words_of(self.page._panel)

    @property
    def listed(self) -> list[str]:
        return [row.tag for row in self.page._panel.list.due.rows]

    def key(self, *keys: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        for key in keys:
            QTest.keyClick(self.focus, key, modifier)
            self.settle()

    def dialog(self) -> DueDialog:
        """Open the list of what falls due."""
        self.key(Qt.Key.Key_L, modifier=CTRL)
        found = [each for each in self.program.frame.findChildren(DueDialog) if each.isVisible()]
        self.qtbot.waitUntil(found[0].isActiveWindow)
        self.settle()
        return found[0]
