"""The list of items, what narrows it and the window's size are there again at the next start, or the usual ones."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from register.domain.words import Standing
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.keys import Keys
from tests.ui.reader import words_of
from ui.register_page.columns import Layout
from ui.register_page.keeping import FILE
from ui.register_page.page import RegisterPage
from ui.settings import recall

Start = Callable[[], Keys]
USUAL = ["standing", "tag", "item", "site", "duty", "due"]


@pytest.fixture
def start(
    qtbot: QtBot, qapp: QApplication, tmp_path: Path, desk: Desk, path: Path, messages: RecordedMessages
) -> Iterator[Start]:
    """Start the program anew on the same register and the same memory."""
    started: list[Keys] = []
    assert desk.faults() == ()

    def begin() -> Keys:
        if started:
            started[-1].settle()
            started[-1].opening.close()
        started.append(Keys(qtbot, qapp, tmp_path / "memory" / "memory.toml", messages))
        started[-1].start(path)
        return started[-1]

    yield begin
    started[-1].settle()
    started[-1].opening.close()
    QApplication.processEvents()


def items_page(keys: Keys) -> RegisterPage:
    keys.program.frame.go("register")
    keys.settle()
    page = keys.program.frame.front
    assert isinstance(page, RegisterPage)
    return page


def shown(page: RegisterPage) -> list[str]:
    return [each.key for each in page.view.columns_shown()]


def test_columns_order_widths_and_sort_are_there_again_and_can_be_reset(start: Start) -> None:
    page = items_page(start())
    heads = page.view.heads
    heads.moveSection(heads.visualIndex(5), 0)
    menu = page.view.column_menu()
    for action in menu.actions():
        if action.text() in {"Kind", "Duty"}:
            action.toggle()
    heads.resizeSection(2, 333)
    by_tag = page.model.columns[1]
    heads.sort_wanted.emit(by_tag)
    heads.sort_wanted.emit(by_tag)

    page = items_page(start())
    assert shown(page) == ["site", "standing", "tag", "item", "kind", "due"]
    kept = page.view.layout_kept()
    assert (kept.widths["item"], kept.sort, kept.descending) == (333, "tag", True)
    assert page.model.keys[0] != page.model.keys[-1]
    (reset,) = [each for each in page.view.column_menu().actions() if each.text() == "Reset the layout"]
    reset.trigger()
    assert shown(page) == USUAL

    assert shown(items_page(start())) == USUAL


def test_what_narrows_the_list_is_there_again_and_in_sight(start: Start) -> None:
    page = items_page(start())
    page.filters.search.setText("switch")
    page.filters.site._menu.toggled_choice.emit(page.filters.site._choices[0].id)
    page.filters.standings[Standing.UNTESTED].click()
    page.desk.jobs.changed.emit()
    QApplication.processEvents()

    page = items_page(start())
    assert len(page.model.keys) == 2
    assert page.filters.search.text() == "switch"
    assert page.filters.standings[Standing.UNTESTED].isChecked()
    assert page.filters.site.isVisible()
    assert page.filters.site.accessibleName() != "Site"
    assert "2 of 4 items" in words_of(page.filters)
    assert page.filters._clear.isVisible()
    page.filters.clear()

    assert len(items_page(start()).model.keys) == 4


def test_an_area_is_kept_with_its_site(start: Start, qtbot: QtBot) -> None:
    keys = start()
    page = items_page(keys)
    page.filters.site._menu.toggled_choice.emit(page.filters.site._choices[0].id)
    qtbot.waitUntil(lambda: bool(page.filters.area._choices))
    (loft,) = [each.id for each in page.filters.area._choices if each.words == "Loft"]
    page.filters.area._menu.toggled_choice.emit(loft)
    qtbot.waitUntil(lambda: len(page.model.keys) == 1)

    page = items_page(start())
    qtbot.waitUntil(lambda: len(page.model.keys) == 1)
    assert page.filters.area.chosen == {loft}


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"\xff\xfe\x00rubbish",
        b"version = 1\norder = [",
        b"version = 0\nhidden = ['item']",
        b"version = 99\nhidden = ['item']",
        b"version = '1'\nhidden = ['item']",
        b"version = 1\norder = 7\nhidden = {a = 1}\nsort = []\ndescending = 'yes'\nwidths = 1\ntext = 5\nsite = true",
        b"version = 1\norder = ['ghost', 3, 'standing', 'standing']\nsort = 'colour'\nwidths = ['item 1', 'due -9']",
        b"version = 1\nstanding = ['asleep', 4]\nkind = ['ghost']\nsite = ['nowhere']\narea = ['nowhere']\nlater = 1",
        b"version = 1\nwidths = ['item 99999999999999999999', 'tag \xc2\xb2']",
    ],
)  # fmt: skip
def test_a_file_of_another_version_or_full_of_rubbish_leaves_the_usual_list(
    start: Start, tmp_path: Path, text: bytes, messages: RecordedMessages
) -> None:
    (tmp_path / "memory").mkdir()
    (tmp_path / "memory" / FILE).write_bytes(text)
    page = items_page(start())
    assert shown(page) == USUAL
    assert len(page.model.keys) == 4
    assert page.view.layout_kept().widths == {}
    assert page.view.layout_kept().sort == Layout().sort
    assert messages.failures == []


def test_the_windows_size_is_there_again(start: Start, tmp_path: Path) -> None:
    start().program.frame.resize(1024, 640)  # a screen without a display is 800 wide, and Qt keeps a window in it
    frame = start().program.frame
    assert (frame.width(), frame.height()) == (1024, 640)
    assert recall(tmp_path / "memory" / "memory.toml").window


@pytest.mark.parametrize("window", ["", "zz", "01d9", "01d9d0cb" + "ff" * 60])
def test_a_note_of_the_window_that_means_nothing_gives_the_usual_window(
    start: Start, tmp_path: Path, window: str
) -> None:
    (tmp_path / "memory").mkdir()
    (tmp_path / "memory" / "memory.toml").write_text(f"window = '{window}'")
    frame = start().program.frame
    assert frame.width() >= 1024
    assert frame.isVisible()
