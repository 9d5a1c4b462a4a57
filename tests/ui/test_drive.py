"""A register where it lies badly: said when it is opened and under Firm; on a share it is only looked at at first."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from register.store import drive
from register.store.on_share import ON_SHARE
from tests.desk import Desk
from tests.ui.conftest import CLOCK, RecordedMessages, let_go, settle
from tests.ui.keys import Keys, keys
from ui.firm.care import CareSection
from ui.firm.page import FirmPage
from ui.pages import MAKERS
from ui.program import Program, assemble

__all__ = ["keys"]


@pytest.fixture
def kept_in_step(qtbot: QtBot, desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Program]:
    """The program on a register in a folder that is kept in step with another place."""
    (tmp_path / "mountinfo").write_text("30 22 0:40 / / rw,relatime - fuse.some-client some rw\n")
    monkeypatch.setattr(drive, "MOUNTS", tmp_path / "mountinfo")
    made = assemble(desk.register, CLOCK, MAKERS, actor="Asha Pell", messages=RecordedMessages())
    qtbot.addWidget(made.frame)
    made.frame.show()
    settle(qtbot, made.jobs)
    yield made
    settle(qtbot, made.jobs)
    let_go(made.jobs)


def test_a_place_is_warned_of_until_the_warning_was_read_and_nothing_is_barred(
    qtbot: QtBot, kept_in_step: Program
) -> None:
    banner = kept_in_step.frame.banner
    assert banner.isVisible()
    assert banner.accessibleName().startswith("own.register lies in a folder that a program keeps in step")
    assert not kept_in_step.desk.deeds.only_looking
    with qtbot.waitSignal(banner.read.clicked):
        QTest.keyClick(banner.read, Qt.Key.Key_Space)
    assert not banner.isVisible()


def test_the_care_of_the_register_says_it_for_as_long_as_it_is_so(qtbot: QtBot, kept_in_step: Program) -> None:
    kept_in_step.frame.go("firm")
    page = kept_in_step.frame.front
    assert isinstance(page, FirmPage)
    page.show_wanted("care")
    settle(qtbot, kept_in_step.jobs)
    care = page.front
    assert isinstance(care, CareSection)
    assert care.risk.isVisible()
    assert care.risk.more.text().startswith("own.register lies in a folder")


def test_on_a_share_it_is_looked_at_until_that_is_answered_once(
    keys: Keys, desk: Desk, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk.register.close()
    on_a_share(tmp_path, monkeypatch)
    before = path.read_bytes()
    keys.start(path)
    frame = keys.program.frame
    assert frame.banner.accessibleName() == f"To look at only: {ON_SHARE.format(name='own.register')}"
    assert not frame.deeds.possible("item.add")
    assert not frame.banner.read.isVisible()
    keys.messages.agrees = False
    keys.press("Change it there")
    assert keys.program.frame is frame
    assert path.read_bytes() == before
    keys.messages.agrees = True
    keys.press("Change it there")
    assert not keys.program.jobs.only_looking
    assert not keys.program.frame.banner.isVisible()
    keys.start(path)
    assert not keys.program.jobs.only_looking
    assert not keys.program.frame.deeds.possible("register.share")
    assert len(keys.messages.asked) == 2


def test_a_new_one_is_made_on_a_share_only_where_it_is_to_be_changed_there(
    keys: Keys, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    on_a_share(tmp_path, monkeypatch)
    target = tmp_path / "new.register"
    keys.start()
    keys.press("New register")
    keys.type("Ridge Joinery")
    keys.messages.files, keys.messages.agrees = [target], False
    keys.press("Make the register")
    assert not target.exists()
    keys.messages.files, keys.messages.agrees = [target], True
    keys.press("Make the register")
    assert not keys.program.jobs.only_looking


def on_a_share(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let everything lie on a share of the network."""
    (folder / "mountinfo").write_text("30 22 0:40 / / rw,relatime - nfs4 server:/office rw\n")
    monkeypatch.setattr(drive, "MOUNTS", folder / "mountinfo")


def test_a_register_on_a_disk_of_this_computer_is_not_warned_of(program: Program, settled: Callable[[], None]) -> None:
    settled()
    assert not program.frame.banner.isVisible()
