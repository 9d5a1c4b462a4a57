"""The week in the window: planned away from it, bent by mouse and keys, taken back, kept, handed out."""

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QPushButton
from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from register.planning.kept_settings import PlanSettings
from register.planning.travel import Place
from register.services.places import known_site
from register.services.week.kept import week_visits
from register.services.week.plan_settings import add_days_off, keep_plan_settings
from register.services.week.visiting import VanFacts, Visiting, keep_van, keep_visiting
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from ui.asking.van import VanDialog
from ui.look.widgets import TagLabel, Words
from ui.program import Program
from ui.week.page import WeekPage
from ui.week.stop_dialog import StopDialog

LEFT, SHIFT, NONE = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.NoModifier
MONDAY = date(2026, 11, 30)


@pytest.fixture
def page(program: Program, desk: Desk, settled: Callable[[], None]) -> WeekPage:
    """The page, with a van, a base and two sites that have work."""
    desk.site("MILL")
    desk.item("RR-7", site="MILL", description="Switch of the bakery")
    with desk.change() as change:
        keep_plan_settings(change, PlanSettings(base=Place(-37.9, 148.6)))
        keep_van(change, VanFacts("Van 1"))
        for code, place in (("YARD", "-37.95, 148.70"), ("MILL", "-37.90, 148.61")):
            site = known_site(change.session.connection(), code)
            keep_visiting(change, site, Visiting(place, contact="Ruth at the desk"))
    program.jobs.changed.emit()
    program.frame.go("week")
    settled()
    found = program.frame.front
    assert isinstance(found, WeekPage)
    return found


def days_of(page: WeekPage) -> dict[str, date]:
    assert page.week is not None
    return {stop.code: stop.day for stop in page.week.stops}


def press(key: Qt.Key, held: Qt.KeyboardModifier = NONE) -> None:
    QTest.keyClick(QApplication.focusWidget(), key, held)


def on(page: WeekPage, code: str) -> None:
    next(card for column in page.sheet.cards for card in column if card.stop.code == code).setFocus()


def test_the_coming_week_is_planned_at_once_and_each_stop_says_all_to_a_screen_reader(page: WeekPage) -> None:
    assert page.monday == MONDAY
    assert set(days_of(page)) == {"YARD", "MILL"}
    spoken = [card.accessibleName() for column in page.sheet.cards for card in column]
    assert all("due" in each and " to " in each for each in spoken)
    assert len(page.sheet.heads) == 5
    assert "Van 1" in page.sheet.heads[0].accessibleName()
    assert not page.desk.deeds.possible("week.undo")
    assert page.desk.deeds.possible("week.keep")


def test_a_small_window_scrolls_to_what_has_the_focus_and_not_when_the_week_is_bent(
    page: WeekPage, program: Program, desk: Desk, settled: Callable[[], None]
) -> None:
    with desk.change() as change:
        keep_van(change, VanFacts("Van 2"))
    program.frame.resize(1024, 600)
    page.desk.deeds.do("week.plan")
    settled()
    across, sheet = page.parts.area.horizontalScrollBar(), page.sheet
    assert across.maximum() > 0
    on(page, "MILL")
    across.setValue(0)
    press(Qt.Key.Key_P)
    assert across.value() == 0
    for _head in sheet.heads:
        press(Qt.Key.Key_Right)
    assert sheet.heads[-1].hasFocus()
    assert across.value() + page.parts.area.viewport().width() >= sheet.heads[-1].geometry().right()
    for _head in sheet.heads:
        press(Qt.Key.Key_Left)
    assert across.value() <= sheet.heads[0].x() - page.parts.area._hours.width()


def test_a_stop_is_moved_by_keys_pinned_where_it_is_put_and_put_back(
    page: WeekPage, messages: RecordedMessages
) -> None:
    before = days_of(page)
    on(page, "MILL")
    press(Qt.Key.Key_Right, SHIFT)
    after = days_of(page)
    assert after["MILL"] == before["MILL"] + timedelta(days=1)
    card = page.sheet.current()
    assert card is not None
    assert (card.stop.code, card.stop.pinned) == ("MILL", True)
    assert "km" in messages.told[-1] or "as long" in messages.told[-1]
    page.desk.deeds.do("week.undo")
    assert days_of(page) == before


def test_arrows_reach_every_stop_and_every_head(page: WeekPage) -> None:
    seen = set()
    for head in page.sheet.heads:
        head.setFocus()
        seen.add(QApplication.focusWidget())
        for _ in range(5):
            press(Qt.Key.Key_Down)
            seen.add(QApplication.focusWidget())
    assert seen == {*page.sheet.heads, *(card for column in page.sheet.cards for card in column)}


def test_a_site_left_out_is_listed_and_comes_back_when_all_may_be_visited(
    page: WeekPage, settled: Callable[[], None]
) -> None:
    on(page, "MILL")
    press(Qt.Key.Key_Delete)
    assert set(days_of(page)) == {"YARD"}
    assert page.week is not None
    assert [each.code for each in page.week.left_out] == ["MILL"]
    page.side.allow.click()
    settled()
    assert set(days_of(page)) == {"YARD", "MILL"}


def test_a_locked_day_takes_no_stop_and_gives_none_up(page: WeekPage, messages: RecordedMessages) -> None:
    before = days_of(page)
    on(page, "MILL")
    press(Qt.Key.Key_L)
    assert any(head.day.locked and head.isChecked() for head in page.sheet.heads)
    on(page, "MILL")
    press(Qt.Key.Key_Right, SHIFT)
    assert days_of(page) == before
    assert "locked" in messages.told[-1]


def test_what_is_pinned_and_locked_stays_when_the_rest_is_planned_again(
    page: WeekPage, settled: Callable[[], None]
) -> None:
    on(page, "MILL")
    for _ in range(3):
        press(Qt.Key.Key_Right, SHIFT)
    put = days_of(page)["MILL"]
    page.desk.deeds.do("week.plan")
    settled()
    assert days_of(page)["MILL"] == put
    press(Qt.Key.Key_P)
    card = page.sheet.current()
    assert card is not None
    assert not card.stop.pinned


def test_a_pin_that_no_longer_holds_is_told_and_the_week_stays_to_be_changed(
    page: WeekPage, desk: Desk, messages: RecordedMessages, settled: Callable[[], None]
) -> None:
    on(page, "MILL")
    press(Qt.Key.Key_P)
    before = days_of(page)
    with desk.change() as change:
        add_days_off(change, before["MILL"], before["MILL"], "Stocktaking")
    page.desk.deeds.do("week.plan")
    settled()
    assert "MILL is pinned to" in messages.told[-1]
    assert "which is a day off" in messages.told[-1]
    assert days_of(page) == before
    assert page.desk.deeds.possible("week.plan")
    on(page, "MILL")
    press(Qt.Key.Key_P)
    page.desk.deeds.do("week.plan")
    settled()
    assert days_of(page)["MILL"] != before["MILL"]


def test_while_a_plan_is_looked_for_the_window_goes_on_and_it_can_be_stopped(
    page: WeekPage, qtbot: QtBot, settled: Callable[[], None]
) -> None:
    ticks: list[int] = []
    timer = QTimer(page, interval=10)
    timer.timeout.connect(lambda: ticks.append(1))
    timer.start()
    page.desk.deeds.do("week.plan")
    assert page.head.cancel.isVisible()
    assert not page.head.plan.isEnabled()
    qtbot.waitUntil(lambda: len(ticks) > 3 or not page.planner.busy, timeout=20_000)
    page.head.cancel.click()
    timer.stop()
    settled()
    assert not page.planner.busy
    assert not page.head.cancel.isVisible()
    assert set(days_of(page)) == {"YARD", "MILL"}


def test_a_plan_that_was_stopped_before_any_was_found_leaves_nothing_to_undo_or_to_keep(
    page: WeekPage, program: Program
) -> None:
    week = page.week
    program.frame.deeds.do("week.plan")
    page.head.cancel.click()
    assert page.week is week
    assert not page.unsaved()
    assert not program.frame.deeds.possible("week.undo")


def test_a_stop_is_dragged_to_another_day_and_says_first_what_that_costs(page: WeekPage) -> None:
    sheet = page.sheet
    card = next(card for column in sheet.cards for card in column if card.stop.code == "MILL")
    home = next(at for at, column in enumerate(sheet.cards) if card in column)
    start = card.geometry().center()
    target = QPoint(sheet.heads[home + 2].geometry().center().x(), start.y())
    QTest.mousePress(card, LEFT, NONE, card.mapFrom(sheet, start))
    for at in (start + QPoint(20, 0), target):
        QTest.mouseMove(sheet, at)
        QApplication.processEvents()
    assert sheet.held is not None
    assert sheet.held.cost is not None
    assert sheet.heads[home + 2].after is not None
    QTest.mouseRelease(sheet, LEFT, NONE, target)
    assert days_of(page)["MILL"] == card.stop.day + timedelta(days=2)
    assert sheet.held is None


def test_a_stop_that_is_held_while_a_plan_comes_is_let_go_of(
    page: WeekPage, qtbot: QtBot, messages: RecordedMessages
) -> None:
    sheet = page.sheet
    before, card = days_of(page), sheet.cards[0][0]
    start = card.geometry().center()
    QTest.mousePress(card, LEFT, NONE, card.mapFrom(sheet, start))
    for across in (20, 300):
        QTest.mouseMove(sheet, start + QPoint(across, 0))
    assert sheet.held is not None
    assert page.week is not None
    page.planner.found.emit(page.week, True)  # noqa: FBT003 - a signal's
    qtbot.waitUntil(lambda: not isValid(card))
    assert sheet.held is None
    assert not sheet._note.isVisible()
    QTest.mouseRelease(sheet, LEFT, NONE, start + QPoint(300, 0))
    assert (days_of(page), messages.failures) == (before, [])


def test_a_stop_opens_with_whom_to_ask_its_items_and_what_to_load(
    page: WeekPage, program: Program, settled: Callable[[], None]
) -> None:
    on(page, "MILL")
    press(Qt.Key.Key_Return)
    settled()
    dialog = program.frame.findChild(StopDialog)
    assert dialog is not None
    said = " ".join(label.text() for label in dialog.findChildren(Words))
    for expected in ("Ruth at the desk", "Operating-time test, never done", "Return lead"):
        assert expected in said
    assert "Tag RR-7" in {label.accessibleName() for label in dialog.findChildren(TagLabel)}
    dialog.reject()


def test_a_week_is_kept_in_one_step_shown_again_and_taken_back_by_one_undo(
    page: WeekPage, program: Program, desk: Desk, settled: Callable[[], None]
) -> None:
    on(page, "MILL")
    press(Qt.Key.Key_Right, SHIFT)
    put = days_of(page)
    page.desk.deeds.do("week.keep")
    settled()
    with desk.read() as connection:
        assert {row.code: row.day for row in week_visits(connection, MONDAY)} == put
    assert not page.desk.deeds.possible("week.keep")
    assert not page.unsaved()
    page.desk.deeds.do("week.later")
    settled()
    page.desk.deeds.do("week.earlier")
    settled()
    assert days_of(page) == put
    program.frame.deeds.do("undo")
    settled()
    with desk.read() as connection:
        assert week_visits(connection, MONDAY) == []


def test_what_is_changed_while_the_week_is_being_kept_is_not_taken_for_kept(
    page: WeekPage, settled: Callable[[], None]
) -> None:
    before = days_of(page)
    page.desk.deeds.do("week.keep")
    on(page, "YARD")
    press(Qt.Key.Key_Right, SHIFT)
    settled()
    assert days_of(page) != before
    assert not page.kept
    assert page.desk.deeds.possible("week.keep")
    page.desk.deeds.do("week.undo")
    assert days_of(page) == before
    assert page.kept
    assert not page.desk.deeds.possible("week.undo")


def test_what_is_moved_while_the_week_is_being_read_anew_stays_moved(
    page: WeekPage, settled: Callable[[], None]
) -> None:
    before = days_of(page)
    page.refresh()
    on(page, "MILL")
    press(Qt.Key.Key_Right, SHIFT)
    settled()
    assert days_of(page)["MILL"] == before["MILL"] + timedelta(days=1)
    assert page.unsaved()
    page.desk.deeds.do("week.undo")
    assert days_of(page) == before


def test_the_week_is_handed_out_as_files(
    page: WeekPage, messages: RecordedMessages, tmp_path: Path, settled: Callable[[], None]
) -> None:
    page.desk.deeds.do("week.keep")
    settled()
    for key, name in (("calendar", "w.ics"), ("gpx", "w.gpx"), ("geojson", "w.geojson")):
        messages.files.append(tmp_path / name)
        page.desk.deeds.do(f"week.{key}")
        settled()
        assert (tmp_path / name).stat().st_size > 100
    assert messages.failures == []


def test_without_a_van_one_is_added_from_the_page_and_the_week_is_planned(
    program: Program, settled: Callable[[], None]
) -> None:
    program.frame.go("week")
    settled()
    page = program.frame.front
    assert isinstance(page, WeekPage)
    assert not page.desk.deeds.possible("week.keep")
    page.parts.empty.deed.click()
    settled()
    dialog = program.frame.findChild(VanDialog)
    assert dialog is not None
    add = next(each for each in dialog.findChildren(QPushButton) if each.text().startswith("Add"))
    for field, typed in ((dialog.hours, "late"), (dialog.hours, "8:00-16:00"), (dialog.base, "-37.9, 148.6")):
        assert isinstance(field.widget, QLineEdit)
        field.widget.setText(typed)
        if typed == "late":
            add.click()
            assert dialog.hours.complaint
    add.click()
    settled()
    assert page.week is not None
    assert [van.name for van in page.week.draft.asked.vans] == ["Van 1"]
    assert page.week.draft.asked.base == Place(-37.9, 148.6)
    assert set(days_of(page)) == {"YARD"}


def test_a_small_window_shows_routes_and_what_is_left_out_when_asked(page: WeekPage, program: Program) -> None:
    program.frame.resize(1024, 600)
    QApplication.processEvents()
    assert not page.side.isVisible()
    page.head.beside.click()
    assert page.side.isVisible()
    assert "stops" in page.side.route.accessibleDescription()
