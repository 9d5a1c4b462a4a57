"""The horizon by keyboard: cells, totals, the panel with its reasons, the ways on to the register and to paper."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from threading import Event

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from register.domain.words import Duty, Kind, Standing
from register.planning.workload import time_words
from register.services.week.forecast import forecast
from register.stopping import go_on
from register.store.engine import Register
from tests.desk import Desk
from tests.ui.conftest import CLOCK, TODAY, RecordedMessages, let_go, settle
from tests.ui.painted import watched
from tests.ui.reader import named, words_of
from tests.ui.watcher import Watcher, lead, three_sites
from ui.horizon.grid import short_class, suburb
from ui.horizon.model import FIRST_WEEK, OVERDUE, SITE
from ui.pages import MAKERS
from ui.program import Program, assemble
from ui.register_page.page import RegisterPage


@pytest.fixture
def desk(register: Register) -> Desk:
    """Three sites with work of every sort."""
    return three_sites(register)


@pytest.fixture
def watcher(qtbot: QtBot, program: Program, settled: Callable[[], None]) -> Watcher:
    """Somebody at the horizon."""
    return Watcher(qtbot, program, settled)


def test_the_page_begins_with_what_is_overdue_the_longest_and_says_why(watcher: Watcher) -> None:
    assert watcher.focus is watcher.page._grid
    assert watcher.choice.overdue
    assert watcher.choice.row.name == "Boat yard"
    assert watcher.listed == ["L-LATE"]
    said = watcher.page._panel.list.due.index(0).data(Qt.ItemDataRole.AccessibleTextRole)
    assert said.startswith(
        "Tag L-LATE, Lead L-LATE, Slipway, due 2 Aug 2026, overdue. Inspection and test, every 6 months"
    )


def test_arrows_go_from_cell_to_cell_and_the_panel_tells_each(watcher: Watcher) -> None:
    watcher.key(Qt.Key.Key_Right, Qt.Key.Key_Right)

    assert watcher.choice.where_and_when == "Boat yard, week 49"
    assert watcher.listed == ["L-1", "L-2"]
    for said in ("Week 49 · 30 Nov to 6 Dec", "Boat yard", "3 Slip Road, Low Wharf", "7 min", "1 overdue, the oldest"):
        assert said in watcher.panel
    watcher.key(Qt.Key.Key_Right)
    assert watcher.listed == []
    assert "Nothing falls due here from 7 Dec to 13 Dec." in watcher.panel


def test_below_the_last_site_are_the_totals_and_above_them_the_sites(watcher: Watcher) -> None:
    watcher.key(Qt.Key.Key_Right, Qt.Key.Key_Right, *[Qt.Key.Key_Down] * 3)

    assert watcher.choice.where_and_when == "All sites, week 49"
    assert sorted(watcher.listed) == ["L-1", "L-2", "Q-1"]
    watcher.key(Qt.Key.Key_Up)
    assert watcher.choice.row.name == "Old quay"
    assert watcher.focus is watcher.page._grid


def test_enter_shows_the_items_of_a_cell_in_the_register_under_their_filter(watcher: Watcher) -> None:
    watcher.key(Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Return)

    front = watcher.program.frame.front
    assert front.key == "register"
    assert "due in week 49" in " ".join(each.accessibleName() for each in front.findChildren(QWidget)).lower()
    assert "Boat yard" in " ".join(each.accessibleName() for each in front.findChildren(QWidget))
    assert isinstance(front, RegisterPage)
    watcher.qtbot.waitUntil(lambda: len(front.model.keys) == 2)


def test_enter_in_the_list_shows_the_item_in_the_register(watcher: Watcher) -> None:
    watcher.key(Qt.Key.Key_Right, Qt.Key.Key_Right)
    watcher.page._panel.list.setFocus()
    watcher.key(Qt.Key.Key_Down, Qt.Key.Key_Return)

    assert watcher.program.frame.front.key == "register"


@pytest.mark.parametrize(
    ("column", "said"),
    [
        (SITE, "Boat yard, 3 Slip Road, Low Wharf, Workshop or factory, 2 duties in these weeks"),
        (OVERDUE, "Boat yard, 1 duty overdue, the oldest 114 days"),
        (FIRST_WEEK + 1, "Boat yard, week 49, 2 duties, 7 minutes"),
        (FIRST_WEEK, "Boat yard, week 48, nothing falls due"),
        (FIRST_WEEK + 1, "Old quay, week 49, 1 duty, 4 minutes"),
        (OVERDUE, "Village hall, 1 duty never done"),
    ],
)
def test_each_cell_is_told_in_words(watcher: Watcher, column: int, said: str) -> None:
    order = {each.name: place for place, each in enumerate(watcher.page._grid.weeks.rows)}
    place = order[said.partition(",")[0]]
    index = watcher.page._grid.weeks.index(place, column)
    assert index.data(Qt.ItemDataRole.AccessibleTextRole) == said


def test_the_head_tells_the_load_of_each_week_and_a_press_chooses_it_for_all_sites(watcher: Watcher) -> None:
    head, grid = watcher.page._head, watcher.page._grid
    assert "against the crew's 30 hours" in head.accessibleName()
    assert "week 49 11 min" in head.accessibleName()

    QTest.mouseClick(head, Qt.MouseButton.LeftButton, pos=QPoint(grid.week_left(1) + 5, head.height() - 10))
    watcher.settle()

    assert watcher.choice.where_and_when == "All sites, week 49"


def test_the_head_marks_what_the_weeks_of_a_levelled_year_are(watcher: Watcher, desk: Desk) -> None:
    head, plain = watcher.page._head, watcher.page._head.grab().toImage()
    watcher.qtbot.waitUntil(lambda: "levelled" in head.accessibleName(), timeout=20_000)

    with desk.read() as connection:
        year = forecast(connection, TODAY)
    now = time_words(Decimal(round(year.weeks[0].minutes)))
    assert f"week 48 0 min (levelled {now})" in head.accessibleName()
    assert "A year ahead" in head.toolTip()
    assert head.grab().toImage() != plain


def test_the_year_gives_way_to_whatever_else_is_asked(watcher: Watcher) -> None:
    jobs, found = watcher.program.jobs, []
    held, begun = Event(), Event()

    def year(_connection: object) -> str:
        begun.set()
        held.wait(20)
        go_on()
        return "the year"

    stop = jobs.ask(year, found.append, yields=True)
    watcher.qtbot.waitUntil(begun.is_set)
    assert jobs.idle
    jobs.ask(lambda _connection: "the answer", found.append)
    assert stop.is_set()
    held.set()
    watcher.settle()
    assert found == ["the answer"]


def test_after_a_change_the_cursor_is_where_it_was_and_the_figures_are_new(watcher: Watcher, desk: Desk) -> None:
    watcher.key(Qt.Key.Key_Right, Qt.Key.Key_Right)
    desk.test("L-1", TODAY, duties=(Duty.INSPECTION_AND_TEST,))

    watcher.program.jobs.changed.emit()
    watcher.settle()

    assert watcher.choice.where_and_when == "Boat yard, week 49"
    assert watcher.listed == ["L-2"]


def test_while_the_cursor_runs_only_where_it_stops_is_shown(watcher: Watcher) -> None:
    for _ in range(12):
        QTest.keyClick(watcher.page._grid, Qt.Key.Key_Right)
    for _ in range(10):
        QTest.keyClick(watcher.page._grid, Qt.Key.Key_Left)
    watcher.settle()
    watcher.qtbot.waitUntil(lambda: watcher.listed == ["L-1", "L-2"])
    assert watcher.choice.when == "Week 49"


def test_a_small_window_has_a_strip_with_one_sentence_in_place_of_the_panel(watcher: Watcher) -> None:
    watcher.program.frame.resize(1024, 600)
    watcher.settle()
    watcher.key(Qt.Key.Key_Right, Qt.Key.Key_Right)

    strip = watcher.page._strip
    assert strip.isVisible()
    assert not watcher.page._panel.isVisible()
    assert "Boat yard, week 49" in words_of(strip)
    assert "2 duties on 2 items, 7 min of work" in words_of(strip)
    assert [each.text() for each in strip.findChildren(QPushButton)] == ["Show in the register", "List what falls due…"]


@pytest.mark.parametrize("size", [(1024, 600), (1200, 800), (1440, 900), (1920, 1080)])
def test_every_week_is_in_sight(watcher: Watcher, size: tuple[int, int]) -> None:
    watcher.program.frame.resize(*size)
    watcher.settle()
    for view in (watcher.page._grid, watcher.page._totals):
        columns = range(view.weeks.columnCount())
        assert len(columns) == 15
        assert sum(view.columnWidth(column) for column in columns) <= view.viewport().width()
        assert all(view.columnWidth(column) >= 40 for column in columns)
    assert watcher.page._totals.geometry().bottom() <= watcher.page.height()


def test_everything_that_takes_the_focus_has_a_name(watcher: Watcher) -> None:
    dialog = watcher.dialog()
    for place in (watcher.page, dialog):
        focusable = [
            each
            for each in place.findChildren(QWidget)
            if each.isVisible() and each.focusPolicy() & Qt.FocusPolicy.TabFocus
        ]
        assert focusable
        assert [each for each in focusable if not named(each)] == []
    dialog.reject()


def test_the_tables_are_sound(watcher: Watcher, qtmodeltester: ModelTester) -> None:
    for model in (watcher.page._grid.weeks, watcher.page._totals.weeks, watcher.page._panel.list.due):
        assert model.rowCount()
        qtmodeltester.check(model)


def shown_on(register: Register, qtbot: QtBot, messages: RecordedMessages) -> tuple[Program, list[str]]:
    program, done = assemble(register, CLOCK, MAKERS, actor="Asha Pell", messages=messages), []
    program.frame.deeds.offer("sheet.take-in", lambda: done.append("take in"))
    qtbot.addWidget(program.frame)
    program.frame.show()
    program.frame.go("horizon")
    settle(qtbot, program.jobs)
    return program, done


def test_an_empty_register_says_so_and_offers_to_take_in_a_spreadsheet(
    register: Register, qtbot: QtBot, messages: RecordedMessages
) -> None:
    program, done = shown_on(register, qtbot, messages)

    assert "This register has no items yet" in words_of(program.frame.front)
    focus = QApplication.focusWidget()
    assert isinstance(focus, QPushButton)
    assert focus.text() == "Take in a spreadsheet…"
    QTest.keyClick(focus, Qt.Key.Key_Space)
    assert done == ["take in"]
    let_go(program.jobs)


def test_a_quarter_without_work_says_until_when(register: Register, qtbot: QtBot, messages: RecordedMessages) -> None:
    desk = Desk(register, TODAY)
    desk.site("YARD")
    due = lead(desk, "L-1", TODAY - timedelta(days=1))
    assert due > date(2027, 2, 21)

    program, _done = shown_on(register, qtbot, messages)

    assert "Nothing falls due until 21 Feb 2027" in words_of(program.frame.front)
    let_go(program.jobs)


@pytest.mark.parametrize(
    ("address", "said"),
    [("3 Slip Road, Low Wharf", "Low Wharf"), ("3 Harrow Lane, Overbeck, Queensland", "Overbeck"), ("", ""),
     ("The Green", "The Green"), ("Queensland", "Queensland"), ("Unit 4, 37 Copper Lane, Millrace , NSW", "Millrace")],
)  # fmt: skip
def test_a_site_is_told_by_the_end_of_its_address(address: str, said: str) -> None:
    assert suburb(address) == said


@pytest.mark.parametrize(
    ("title", "said"),
    [
        ("Construction or demolition site", "Construction"),
        ("Flexed, abused or hostile", "Flexed"),
        ("Benign", "Benign"),
    ],
)
def test_a_class_is_told_by_its_first_word(title: str, said: str) -> None:
    assert short_class(title) == said


def test_the_standing_of_what_was_never_done_is_untested(watcher: Watcher) -> None:
    watcher.key(Qt.Key.Key_Down)
    assert [row.standing for row in watcher.page._panel.list.due.rows] == [Standing.UNTESTED]


def test_the_classes_of_all_sites_begin_on_one_line(
    watcher: Watcher, desk: Desk, settled: Callable[[], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    desk.site("MILL", "manufacturing", rulebook="au-qld")
    desk.item("M-1", Kind.EXTENSION_LEAD, site="MILL")
    watcher.page.refresh()
    settled()
    with watched(monkeypatch, str, ()) as painted:
        painted.look_at(watcher.page._grid.viewport())
        classes = {short_class(row.environment) for row in watcher.page._grid.weeks.rows}
        places = {line.said: line.place.x() for line in painted.lines if line.said in classes}
    assert len(places) > 1
    assert len(set(places.values())) == 1
