"""Starting: the window stands empty at once and then shows the register; a refused one leads to the first window."""

import sys
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from tests.desk import Desk
from tests.ui.conftest import CLOCK, TODAY, settle
from ui.window import Starting


@pytest.fixture
def starting(qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Starting:
    """A program about to start, with nothing remembered."""
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)  # a started program puts its own there
    return Starting(qapp, TODAY, CLOCK.now, remembered=tmp_path / "memory.toml")


def test_the_window_stands_before_the_register_is_open_and_then_shows_it(
    qtbot: QtBot, starting: Starting, desk: Desk, path: Path
) -> None:
    starting.begin(path)
    frame = starting.frame
    assert frame is not None
    assert frame.isVisible()
    assert starting.opening is None
    qtbot.waitUntil(lambda: starting.opening is not None, timeout=20_000)
    assert starting.opening is not None
    program = starting.opening.program
    assert program is not None
    assert program.frame is frame
    assert frame.front.key == "horizon"
    settle(qtbot, program.jobs)
    starting.close()
    assert not frame.isVisible()
    assert desk.faults() == ()


def test_a_register_that_is_not_there_leads_to_the_first_window_instead_of_the_empty_one(
    qtbot: QtBot, starting: Starting, tmp_path: Path
) -> None:
    starting.begin(tmp_path / "gone.register")
    frame = starting.frame
    assert frame is not None
    qtbot.waitUntil(lambda: starting.opening is not None and starting.opening.first is not None, timeout=20_000)
    assert not isValid(frame) or not frame.isVisible()
    starting.close()


def test_a_window_closed_before_anything_is_in_it_opens_no_register(
    qtbot: QtBot, starting: Starting, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    come: list[object] = []
    monkeypatch.setattr(starting, "_open", lambda done: (Starting._open(starting, done), come.append(done)))
    starting.begin(path)
    assert starting.frame is not None
    starting.frame.close()
    qtbot.waitUntil(lambda: bool(come), timeout=20_000)
    assert starting.opening is None
    starting.close()
