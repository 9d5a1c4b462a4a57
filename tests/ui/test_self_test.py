"""The program tries as it starts what it needs of this computer, and does not start where something is missing."""

import sys
from pathlib import Path

import pytest
from PySide6.QtGui import QFontDatabase
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from register.errors import Unavailable
from tests.ui.conftest import CLOCK, TODAY
from ui import self_test
from ui.messages import WindowMessages
from ui.self_test import check_itself, lost_to_calls
from ui.window import Starting

usefixtures = pytest.mark.usefixtures


@usefixtures("qapp")
def test_this_computer_has_all_that_is_needed() -> None:
    check_itself()


@usefixtures("qapp")
def test_calls_to_qt_leave_the_count_of_none_as_it_was() -> None:
    lost_to_calls()  # what is made for the first time may keep a few
    assert abs(lost_to_calls()) <= self_test.SLACK


@usefixtures("qapp")
def test_a_library_that_takes_references_it_was_not_given_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    left = iter((90_000, 89_000))
    monkeypatch.setattr(self_test.sys, "getrefcount", lambda _thing: next(left))
    with pytest.raises(Unavailable, match=r"PySide6 .* has a fault with Python .* Install a PySide6 below 6.12"):
        check_itself()


@usefixtures("qapp")
def test_fonts_that_are_not_there_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(QFontDatabase, "families", lambda: ["Register Text", "Some Sans"])
    with pytest.raises(Unavailable, match=r"fonts .* not there or damaged .Register Display, Register Code."):
        check_itself()


def test_the_program_says_what_is_missing_and_opens_nothing(
    qtbot: QtBot, qapp: QApplication, tmp_path: Path, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[BaseException] = []
    codes: list[int] = []
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    monkeypatch.setattr(QFontDatabase, "families", list)
    monkeypatch.setattr(WindowMessages, "failure", lambda _self, error: said.append(error))
    monkeypatch.setattr(QApplication, "exit", codes.append)
    starting = Starting(qapp, TODAY, CLOCK.now, remembered=tmp_path / "memory.toml")
    starting.begin(path)
    qtbot.waitUntil(lambda: codes == [1])
    assert [type(each) for each in said] == [Unavailable]
    assert starting.opening is None
    assert starting.frame is not None
    starting.frame.close()
    starting.close()
