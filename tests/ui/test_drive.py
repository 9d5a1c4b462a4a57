"""A register on a drive that is no place for it: said when it is opened and under Firm, and work goes on as ever."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from register.store import drive
from tests.desk import Desk
from tests.ui.conftest import CLOCK, RecordedMessages, let_go, settle
from ui.firm.care import CareSection
from ui.firm.page import FirmPage
from ui.pages import MAKERS
from ui.program import Program, assemble


@pytest.fixture
def on_a_share(qtbot: QtBot, desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Program]:
    """The program on a register that lies on a share of the network."""
    (tmp_path / "mountinfo").write_text("30 22 0:40 / / rw,relatime - nfs4 server:/office rw\n")
    monkeypatch.setattr(drive, "MOUNTS", tmp_path / "mountinfo")
    made = assemble(desk.register, CLOCK, MAKERS, actor="Asha Pell", messages=RecordedMessages())
    qtbot.addWidget(made.frame)
    made.frame.show()
    settle(qtbot, made.jobs)
    yield made
    settle(qtbot, made.jobs)
    let_go(made.jobs)


def test_it_is_warned_of_until_the_warning_was_read_and_bars_nothing(qtbot: QtBot, on_a_share: Program) -> None:
    banner = on_a_share.frame.banner
    assert banner.isVisible()
    assert banner.accessibleName().startswith("own.register lies on a network drive")
    assert not on_a_share.desk.deeds.only_looking
    with qtbot.waitSignal(banner.read.clicked):
        QTest.keyClick(banner.read, Qt.Key.Key_Space)
    assert not banner.isVisible()


def test_the_care_of_the_register_says_it_for_as_long_as_it_is_so(qtbot: QtBot, on_a_share: Program) -> None:
    on_a_share.frame.go("firm")
    page = on_a_share.frame.front
    assert isinstance(page, FirmPage)
    page.show_wanted("care")
    settle(qtbot, on_a_share.jobs)
    care = page.front
    assert isinstance(care, CareSection)
    assert care.risk.isVisible()
    assert care.risk.more.text().startswith("own.register lies on a network drive")


def test_a_register_on_a_disk_of_this_computer_is_not_warned_of(program: Program, settled: Callable[[], None]) -> None:
    settled()
    assert not program.frame.banner.isVisible()
