"""The window on a small real register, with somebody who writes down what he is told and asked."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from register.domain.items import SafetySwitch
from register.domain.records import ReadingPlan
from register.domain.words import Kind, SwitchType, Waveform
from register.services.people import add_instrument, add_tester
from register.store.engine import Register
from tests.desk import Desk
from tests.registers import empty_file, path, register, stick
from tests.ui.hand import Hand
from ui import looking_after
from ui.garbage import collector
from ui.jobs import Clock, Jobs
from ui.look import theme, typeface
from ui.pages import MAKERS
from ui.program import Program, assemble

__all__ = ["empty_file", "path", "register", "stick"]

TODAY = date(2026, 11, 24)
CLOCK = Clock(today=TODAY, now=lambda: datetime(2026, 11, 24, 9, 0, tzinfo=UTC))
FULL_HD = (1920, 1080)


@dataclass
class RecordedMessages:
    """Messages written down instead of shown. `agrees` answers every question, `files` are what is chosen."""

    told: list[str] = field(default_factory=list)
    failures: list[BaseException] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    agrees: bool = True
    files: list[Path] = field(default_factory=list)

    def tell(self, text: str) -> None:
        self.told.append(text)

    def failure(self, error: BaseException) -> None:
        self.failures.append(error)

    def confirm(self, title: str, text: str, verb: str) -> bool:
        self.asked.append(f"{title}\n{text}\n{verb}")
        return self.agrees

    def open_file(self, title: str, _kinds: str) -> Path | None:
        self.asked.append(title)
        return self.files.pop(0) if self.files else None

    def save_file(self, title: str, _suggested: str, _kinds: str) -> Path | None:
        self.asked.append(title)
        return self.files.pop(0) if self.files else None

    def choose_folder(self, title: str) -> Path | None:
        self.asked.append(title)
        return self.files.pop(0) if self.files else None


def settle(qtbot: QtBot, jobs: Jobs) -> None:
    """Wait until the window has done all that it asked of the register."""
    qtbot.waitUntil(lambda: jobs.idle, timeout=20_000)
    QApplication.processEvents()
    qtbot.waitUntil(lambda: jobs.idle, timeout=20_000)


def let_go(jobs: Jobs) -> None:
    """End the worker, of which nothing can be asked any more; the register stays the test's own."""
    jobs._closed = True
    jobs._pool.shutdown(wait=True)


def come_to_rest(qtbot: QtBot, program: Program) -> None:
    """Wait until nothing is under way and nothing waits its moment, before the window goes."""

    def at_rest() -> bool:
        timers = program.frame.findChildren(QTimer)
        return program.jobs.idle and not any(each.isActive() and each.isSingleShot() for each in timers)

    qtbot.waitUntil(at_rest, timeout=20_000)


@pytest.fixture(scope="session", autouse=True)
def _dressed(qapp: QApplication) -> None:
    """Dress the application as the program does, and collect garbage as it does: a worker that did would fall over."""
    qapp.setStyle("Fusion")
    typeface.load_fonts()
    qapp.setFont(typeface.font())
    theme.wear(qapp, theme.LIGHT)
    collector(qapp)


@pytest.fixture(autouse=True)
def _nothing_is_read_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a register that was opened be read whole when a test says so, not a second later."""
    monkeypatch.setattr(looking_after, "SOON_MS", looking_after.QUIET_MS - 1)


@pytest.fixture
def desk(register: Register) -> Desk:
    """A contractor with one yard: safety switches, a lead, an appliance, a tester and an instrument."""
    desk = Desk(register, TODAY)
    desk.site(reading_plan=ReadingPlan((Decimal(1),)))
    two = SafetySwitch(Decimal(30), SwitchType.II, waveform=Waveform.A)
    desk.item("RR-1", outlets=2, safety_switch=two, area="Slipway", description="Switch of two")
    desk.item("RR-2", area="Slipway", description="Switch of one")
    desk.item("RR-3", Kind.EXTENSION_LEAD, area="Slipway", description="Lead of 10 m")
    desk.item("RR-4", Kind.APPLIANCE_CLASS_2, area="Loft", description="Angle grinder")
    with desk.change() as change:
        add_tester(change, "Asha Pell", "L 1")
        add_instrument(change, "VT-2", "Tester of switches")
    return desk


@pytest.fixture
def messages() -> RecordedMessages:
    """What the window told and asked."""
    return RecordedMessages()


@pytest.fixture
def program(qtbot: QtBot, desk: Desk, messages: RecordedMessages) -> Iterator[Program]:
    """The whole program in its window, on the small register."""
    made = assemble(desk.register, CLOCK, MAKERS, actor="Asha Pell", messages=messages)
    qtbot.addWidget(made.frame, before_close_func=lambda _frame: come_to_rest(qtbot, made))
    made.frame.resize(*FULL_HD)
    made.frame.show()
    settle(qtbot, made.jobs)
    yield made
    settle(qtbot, made.jobs)
    let_go(made.jobs)


@pytest.fixture
def settled(qtbot: QtBot, program: Program) -> Callable[[], None]:
    """Wait until nothing is under way."""
    return lambda: settle(qtbot, program.jobs)


@pytest.fixture
def hand(qtbot: QtBot, program: Program, settled: Callable[[], None]) -> Hand:
    """Somebody at the keyboard of the bench."""
    return Hand(qtbot, program, settled)
