"""Help opens the page of the manual for what is on screen, and the page of keys agrees with the actions."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from register.errors import Unavailable
from ui.actions import ACTIONS, PAGES
from ui.help import MANUAL, Help, keys_page, write_keys
from ui.program import Program


@pytest.mark.parametrize("page", [*PAGES, "keys", "index", "taking-in", "owner-workbook", "first-start"])
def test_every_page_has_its_page_of_the_manual(qtbot: QtBot, program: Program, page: str) -> None:
    shown = Help(program.frame, page)
    qtbot.addWidget(shown)
    assert len(shown.text) > 200
    assert not shown.text.startswith("#")


def test_a_page_that_is_not_there_is_said_so(program: Program) -> None:
    with pytest.raises(Unavailable, match="page “moon” of the manual is not installed"):
        Help(program.frame, "moon")


def test_the_page_of_keys_names_every_action_and_is_the_one_in_the_manual() -> None:
    text = keys_page()
    for each in ACTIONS:
        assert f"| {each.title} | {' or '.join(filter(None, [each.key, each.also])) or 'menu'} |" in text
    assert (MANUAL / "keys.md").read_text(encoding="utf-8") == text


def test_the_page_of_keys_can_be_written_elsewhere(tmp_path_factory: pytest.TempPathFactory) -> None:
    path = write_keys(tmp_path_factory.mktemp("manual"))
    assert path.read_text(encoding="utf-8") == keys_page()


def test_escape_closes_help(qtbot: QtBot, program: Program, settled: Callable[[], None]) -> None:
    shown = Help(program.frame, "bench")
    qtbot.addWidget(shown)
    shown.show()
    settled()
    QTest.keyClick(shown, Qt.Key.Key_Escape)
    assert not shown.isVisible()
