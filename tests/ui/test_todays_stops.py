"""The bench on the stops of today: it opens at the next one, and offers all of them where it is asked for a place."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from register.services.places import known_site
from register.services.week.kept import keep_week
from register.services.week.plan import WeekAsk, plan_week
from register.services.week.visiting import VanFacts, Visiting, keep_van, keep_visiting
from tests.desk import Desk
from tests.ui.conftest import TODAY
from tests.ui.hand import Hand
from ui.bench.place_dialog import PlaceDialog
from ui.program import Program
from ui.week.page import WeekPage

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def planned(desk: Desk) -> Desk:
    """Two sites with work, both planned for today."""
    desk.site("MILL")
    desk.item("M-1", site="MILL", area="Bakehouse")
    with desk.change() as change:
        keep_van(change, VanFacts("Van 1"))
        for code in ("MILL", "YARD"):
            keep_visiting(change, known_site(change.session.connection(), code), Visiting("-37.9, 148.6"))
    with desk.read() as connection:
        week = plan_week(connection, TODAY, WeekAsk(TODAY, effort=0))
    assert {stop.day for stop in week.stops} == {TODAY}
    with desk.change() as change:
        keep_week(change, week)
    return desk


@pytest.fixture
def hand(qtbot: QtBot, planned: Desk, program: Program, settled: Callable[[], None]) -> Hand:
    """Somebody at the bench after the week was kept."""
    assert planned.register is not None
    return Hand(qtbot, program, settled)


def test_the_bench_opens_at_the_next_stop_and_another_is_chosen_by_its_number(hand: Hand) -> None:
    first = hand.page.scanning.at
    assert first is not None
    hand.key(Qt.Key.Key_F6)
    dialog = hand.dialog
    assert isinstance(dialog, PlaceDialog)
    assert dialog.stops is not None
    QTest.keyClick(dialog.stops, "2")
    hand.qtbot.waitUntil(lambda: dialog.stops is not None and dialog.stops.chosen is not None)
    hand.press_key(dialog, Qt.Key.Key_Return, CTRL)
    hand.come_back()
    second = hand.page.scanning.at
    assert second is not None
    assert {first.site_name, second.site_name} == {"Mill of the bay", "Yard of the bay"}


def test_what_is_done_at_a_stop_is_seen_where_the_place_is_asked_for(hand: Hand, planned: Desk) -> None:
    planned.test("M-1", on=TODAY)
    hand.key(Qt.Key.Key_F6)
    dialog = hand.dialog
    assert isinstance(dialog, PlaceDialog)
    assert dialog.stops is not None
    told = [row.accessibleDescription() for row in dialog.stops.findChildren(type(dialog.stops.focus_row()))]
    assert "2 of 2 done, Van 1" in told
    dialog.reject()
    hand.come_back()


def test_the_week_shows_live_how_far_the_stops_have_got(
    program: Program, planned: Desk, settled: Callable[[], None]
) -> None:
    program.frame.go("week")
    settled()
    page = program.frame.front
    assert isinstance(page, WeekPage)
    assert page.monday == TODAY - timedelta(days=TODAY.weekday())
    assert page.kept
    assert sorted(line.partition(", ")[2] for line in page.side.done.lines) == [
        "Mill of the bay: 0 of 2 done",
        "Yard of the bay: 0 of 6 done",
    ]
    assert page.side.load.lines
    planned.test("M-1", on=TODAY)
    program.jobs.changed.emit()
    settled()
    assert any(line.endswith("Mill of the bay: 2 of 2 done") for line in page.side.done.lines)
    program.frame.deeds.do("week.later")
    settled()
    assert not page.kept
    assert not page.side.done.isVisible()
    program.jobs.changed.emit()
    settled()
    assert page.monday > TODAY
