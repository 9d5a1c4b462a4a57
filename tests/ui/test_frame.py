"""The window around the pages: every action has a taker and its own key, the search finds, a fault is told once."""

import gc
import logging
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMessageBox
from pytestqt.qtbot import QtBot

from register.errors import Refused
from tests.desk import Desk
from tests.ui.conftest import TODAY, RecordedMessages
from tests.ui.keys import CTRL, Keys
from ui import messages as told
from ui.actions import ACTIONS, MENUS, PAGES
from ui.find import Find
from ui.frame import Frame, Tab
from ui.messages import WindowMessages
from ui.opening import tell_faults
from ui.pages import MAKERS
from ui.program import Program


@pytest.fixture
def keys(qtbot: QtBot, qapp: QApplication, desk: Desk, path: Path, messages: RecordedMessages) -> Keys:
    made = Keys(qtbot, qapp, path.with_suffix(".toml"), messages)
    made.start(path)
    assert desk.faults() == ()
    return made


def test_every_action_is_offered_by_some_page_or_by_the_window(keys: Keys) -> None:
    frame = keys.program.frame
    offered = set(frame.deeds._takers)
    for key in PAGES:
        frame.go(key)
        offered |= set(frame.front.offers())
    assert {each.id for each in ACTIONS} == offered
    keys.opening.close()


def test_every_action_stands_in_the_menu_and_every_page_in_the_table() -> None:
    assert len({each.id for each in ACTIONS}) == len(ACTIONS)
    assert {each.menu for each in ACTIONS} == set(MENUS)
    assert [each.id for each in ACTIONS if each.id.startswith("go.")] == [f"go.{page}" for page in PAGES]


def test_no_key_does_two_things() -> None:
    used = [QKeySequence(each.key).toString() for each in ACTIONS if each.key]
    assert all(used)
    assert sorted(used) == sorted(set(used))


@pytest.mark.parametrize(("key", "page"), list(zip("123456", PAGES, strict=True)))
def test_a_page_comes_to_the_front_by_its_key(
    program: Program, settled: Callable[[], None], key: str, page: str
) -> None:
    QTest.keyClick(program.frame, Qt.Key(ord(key)), CTRL)
    settled()
    assert program.frame.front.key == page


def test_what_a_page_offers_ends_when_another_comes_to_the_front(program: Program, settled: Callable[[], None]) -> None:
    program.frame.go("register")
    settled()
    assert program.frame.deeds.possible("item.add")
    program.frame.go("bench")
    settled()
    assert not program.frame.deeds.possible("item.add")


def find(program: Program, settled: Callable[[], None], text: str) -> Find:
    program.frame.go("bench")
    settled()
    program.frame.deeds.do("find")
    dialog = program.frame.findChildren(Find)[-1]
    QTest.keyClicks(dialog._field, text)
    settled()
    return dialog


def test_the_search_finds_an_action_and_does_it_on_enter(program: Program, settled: Callable[[], None]) -> None:
    dialog = find(program, settled, "go with")
    assert [each.said for each in dialog._choices] == ["Go to Withdrawn"]
    QTest.keyClick(dialog._field, Qt.Key.Key_Return)
    settled()
    assert program.frame.front.key == "withdrawn"


def test_the_search_finds_an_item_and_shows_it(program: Program, settled: Callable[[], None]) -> None:
    dialog = find(program, settled, "rr-3")
    assert dialog._choices[0].said.startswith("RR-3")
    QTest.keyClick(dialog._field, Qt.Key.Key_Down)
    QTest.keyClick(dialog._field, Qt.Key.Key_Up)
    QTest.keyClick(dialog._field, Qt.Key.Key_Return)
    settled()
    assert program.frame.front.key == "register"


def test_the_search_offers_nothing_that_can_not_be_done_and_says_when_it_found_nothing(
    program: Program, settled: Callable[[], None]
) -> None:
    dialog = find(program, settled, "")
    assert all(program.frame.deeds.possible(each.id) or each.title not in {choice.said for choice in dialog._choices}
               for each in ACTIONS)  # fmt: skip
    QTest.keyClicks(dialog._field, "zzz")
    settled()
    assert dialog._choices == []
    assert dialog._none.isVisible()
    dialog.reject()


@pytest.fixture
def boxes(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, ...]]:
    shown: list[tuple[str, ...]] = []
    monkeypatch.setattr(told, "_box", lambda _window, *said: shown.append(said))
    return shown


def test_a_fault_in_a_slot_is_logged_and_told_once_and_the_program_goes_on(
    qtbot: QtBot, boxes: list[tuple[str, ...]], caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    messages, lines = WindowMessages(), []
    messages.line = lines.append
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    tell_faults(messages)
    hook = sys.excepthook
    with caplog.at_level(logging.ERROR):
        for _time in range(3):
            hook(ZeroDivisionError, ZeroDivisionError("of ours"), None)
    ((title, said, details),) = boxes
    assert title == "This is a fault of the program"
    assert "you can go on" in said
    assert "ZeroDivisionError" not in said
    assert "ZeroDivisionError: of ours" in details
    assert caplog.text.count("ZeroDivisionError: of ours") == 3
    assert len(lines) == 2
    assert qtbot is not None


def test_a_refusal_is_shown_as_its_sentence_without_details(boxes: list[tuple[str, ...]]) -> None:
    WindowMessages().failure(Refused("No, because of the rule."))
    assert boxes == [("This can't be done", "No, because of the rule.")]


def test_a_question_before_a_deed_names_it_and_enter_answers_nothing(program: Program) -> None:
    messages = WindowMessages()
    messages.window = program.frame
    met: list[str] = []

    def look() -> None:
        box = QApplication.activeModalWidget()
        if not isinstance(box, QMessageBox) or not box.isActiveWindow():
            return
        looking.stop()
        met.extend(each.text() for each in box.buttons())
        QTest.keyClick(box, Qt.Key.Key_Return)
        assert box.isVisible()
        QTest.keyClick(box, Qt.Key.Key_Escape)

    looking = QTimer(interval=5)
    looking.timeout.connect(look)
    looking.start()
    assert not messages.confirm("Close the window?", "Something is not saved.", "Close")
    assert sorted(met) == ["&Close", "&Leave it"]


def test_a_thousand_calls_of_qt_cost_no_reference_to_none(program: Program, settled: Callable[[], None]) -> None:
    for key in (*PAGES, *PAGES):
        program.frame.go(key)
        settled()
    gc.collect()
    before = sys.getrefcount(None)
    for _call in range(1000):
        program.frame.windowHandle().setProperty("x", None)
        program.frame.focusWidget()
        program.frame.deeds.actions["find"].setShortcutContext(Qt.ShortcutContext.WindowShortcut)
        program.frame.update()
    gc.collect()
    assert sys.getrefcount(None) >= before - 50


def test_the_table_of_pages_tells_their_keys_and_names() -> None:
    assert tuple(maker.key for maker in MAKERS) == PAGES
    assert [(maker.key, maker.title) for maker in MAKERS] == [
        (maker.fetch().key, maker.fetch().title) for maker in MAKERS
    ]


def test_a_page_is_made_when_it_is_first_shown_and_only_once(program: Program, settled: Callable[[], None]) -> None:
    assert not program.frame.pages
    program.frame.go("firm")
    made = program.frame.front
    program.frame.go("horizon")
    program.frame.go("firm")
    settled()
    assert program.frame.front is made
    assert [page.key for page in program.frame.pages] == ["firm", "horizon"]


@pytest.mark.parametrize(("page", "name"), [(maker.key, name) for maker in MAKERS for name in maker.everywhere])
def test_what_a_page_does_from_anywhere_it_does_before_it_was_shown(
    program: Program, settled: Callable[[], None], page: str, name: str
) -> None:
    program.frame.go("horizon")
    waiting = program.frame.deeds._takers[name]
    program.frame.deeds.do(name)
    settled()
    assert program.frame.front.key == page
    assert program.frame.deeds._takers[name] is not waiting


def test_an_empty_frame_names_the_pages_and_goes_nowhere(qtbot: QtBot) -> None:
    frame = Frame(MAKERS, TODAY)
    qtbot.addWidget(frame)
    frame.show()
    QTest.keyClick(frame, Qt.Key.Key_2, CTRL)
    assert [tab.text() for tab in frame.findChildren(Tab)] == [maker.title for maker in MAKERS]
    assert not frame.pages
