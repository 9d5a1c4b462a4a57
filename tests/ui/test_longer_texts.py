"""Every page and every dialog has room for the words of a language that needs two fifths more of it."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Final

import pytest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from register.domain.words import Result
from tests.desk import Desk
from tests.ui.conftest import come_to_rest
from tests.ui.dialogs import OPENERS, Opener
from tests.ui.longer import lengthen
from tests.ui.test_every_dialog import has_room, show
from ui.actions import PAGES
from ui.asking.dialog import Dialog
from ui.program import Program

SIZE: Final = (1440, 900)

pytestmark = [pytest.mark.long, pytest.mark.qt_log_ignore("This plugin does not support")]


@pytest.fixture
def opener(qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None], tmp_path: Path) -> Opener:
    """Somebody who opens dialogs in a window of the usual size."""
    program.frame.resize(*SIZE)
    settled()
    return Opener(qtbot, program, desk, settled, tmp_path)


def in_other_words(opener: Opener, window: QWidget) -> None:
    lengthen(window)
    if isinstance(window, Dialog):
        window.fit()
    opener.settled()


@pytest.mark.parametrize("name", OPENERS)
def test_a_dialog_has_room_for_longer_words(opener: Opener, name: str) -> None:
    dialog = opener.open(name)
    in_other_words(opener, dialog)
    has_room(opener, dialog, 1)
    dialog.reject()


@pytest.mark.parametrize("page", PAGES)
def test_a_page_has_room_for_longer_words(opener: Opener, page: str) -> None:
    frame = show(opener, page)
    come_to_rest(opener.qtbot, opener.program)  # the card of an item comes a moment after its list
    in_other_words(opener, frame)
    has_room(opener, frame, 1)


def test_the_card_of_a_failed_item_has_room_for_longer_words(opener: Opener) -> None:
    opener.desk.test("RR-1", date(2026, 5, 20))
    opener.desk.test("RR-1", date(2026, 11, 20), look=Result.FAIL)
    opener.desk.withdraw("RR-1")
    test_a_page_has_room_for_longer_words(opener, "register")
