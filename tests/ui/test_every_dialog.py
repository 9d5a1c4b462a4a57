"""Every page and every dialog: names, the way round by Tab, and room for all of it, in large type as well."""

from collections.abc import Callable, Iterator
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages

import pytest
from PySide6.QtWidgets import QApplication, QDialog, QWidget
from pytestqt.qtbot import QtBot

import ui
from tests.desk import Desk
from tests.ui import walk
from tests.ui.dialogs import OPENERS, Opener
from ui.actions import PAGES
from ui.asking.dialog import Dialog
from ui.firm.page import SECTIONS
from ui.firm.people_dialog import KeptDialog
from ui.look import theme, typeface
from ui.paper.dialog import PaperDialog
from ui.paper.taking import TakingDialog
from ui.program import Program

SMALL = (1024, 600)
PATTERNS = {Dialog, KeptDialog, TakingDialog, PaperDialog}
"""What dialogs are made of, never opened themselves."""
WITH_ITEM = ("register", "bench")


def every_dialog() -> set[str]:
    """The names of all dialogs in the program."""
    for module in walk_packages(ui.__path__, "ui."):
        if not module.name.endswith("__main__"):
            import_module(module.name)
    found: set[type[QDialog]] = set()
    left: list[type[QDialog]] = [QDialog]
    while left:
        more = left.pop().__subclasses__()
        left += more
        found |= {each for each in more if each.__module__.startswith("ui.")}
    return {each.__name__ for each in found - PATTERNS if not each.__name__.startswith("_")}


@pytest.fixture
def opener(qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None], tmp_path: Path) -> Opener:
    """Somebody who opens dialogs in the smallest window."""
    program.frame.resize(*SMALL)
    settled()
    return Opener(qtbot, program, desk, settled, tmp_path)


@pytest.fixture(params=[1.0, 1.5], ids=["usual", "large"])
def factor(request: pytest.FixtureRequest, qapp: QApplication) -> Iterator[float]:
    """The size of type, before anything is made in it."""
    _dress(qapp, request.param)
    yield request.param
    _dress(qapp, 1)


def _dress(app: QApplication, factor: float) -> None:
    typeface.set_scale(factor)
    app.setFont(typeface.font())
    theme.wear(app, theme.LIGHT)


def test_the_table_opens_every_dialog_there_is() -> None:
    assert every_dialog() == set(OPENERS)


def wrong_by_keyboard(window: QWidget) -> list[str]:
    """What is wrong with names and with the way round."""
    nameless = [walk.called(each) for each in walk.stops(window) if not walk.name_of(each)]
    met = walk.walk()
    back = walk.walk(back=True)
    wrong = [f"no name: {each}" for each in nameless]
    wrong += [f"never reached: {each}" for each in walk.missed(window, met)]
    wrong += [f"out of order: {each}" for each in walk.out_of_order(window, met)]
    if [id(each) for each in back[1:]] != [id(each) for each in reversed(met[1:])]:
        wrong.append("backwards is another way")
    return wrong


def has_room(opener: Opener, window: QWidget, factor: float) -> None:
    """Hold that nothing is wrong in sight, once all of it has its place."""

    def check() -> None:
        assert wrong_in_sight(window, factor) == []

    opener.qtbot.waitUntil(check)


def wrong_in_sight(window: QWidget, factor: float) -> list[str]:
    """What is cut, beyond reach, over another, or scrolls sideways."""
    found = [f"cut: {each}" for each in walk.cut_texts(window)]
    found += [f"beyond reach: {each}" for each in walk.out_of_reach(window)]
    found += [f"overlaps: {each}" for each in walk.overlapping(window)]
    return found + [f"scrolls sideways: {each}" for each in walk.sideways(window, tables_may=factor > 1)]


@pytest.mark.parametrize("name", OPENERS)
def test_a_dialog_is_named_and_goes_round_by_tab(opener: Opener, name: str) -> None:
    dialog = opener.open(name)
    assert wrong_by_keyboard(dialog) == []
    dialog.reject()


@pytest.mark.parametrize("name", OPENERS)
def test_a_dialog_has_room_in_the_smallest_window(factor: float, opener: Opener, name: str) -> None:
    dialog = opener.open(name)
    assert opener.program.frame.size().toTuple() == SMALL
    assert dialog.width() <= SMALL[0]
    assert dialog.height() <= SMALL[1]
    has_room(opener, dialog, factor)
    dialog.reject()


def show(opener: Opener, page: str) -> QWidget:
    opener.program.frame.go(page, opener.desk.id("RR-1") if page in WITH_ITEM else None)
    opener.settled()
    return opener.program.frame


@pytest.mark.parametrize("page", PAGES)
def test_a_page_is_named_and_goes_round_by_tab(opener: Opener, page: str) -> None:
    assert wrong_by_keyboard(show(opener, page)) == []


@pytest.mark.parametrize("section", [each.key for each in SECTIONS])
def test_a_section_of_the_firm_has_room_in_the_smallest_window(factor: float, opener: Opener, section: str) -> None:
    frame = show(opener, "firm")
    opener.program.frame.front.show_wanted(section)
    opener.settled()
    has_room(opener, frame, factor)


@pytest.mark.parametrize("page", PAGES)
def test_a_page_has_room_in_the_smallest_window(factor: float, opener: Opener, page: str) -> None:
    frame = show(opener, page)
    assert frame.size().toTuple() == SMALL
    has_room(opener, frame, factor)
