"""The bench as it is used: scan, tick, type, Enter, save, scan the next; nothing typed is ever lost."""

from decimal import Decimal

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from register.domain.records import Place
from register.domain.words import Check, Result
from register.services.withdrawals.deeds import remove
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.hand import Hand
from ui.asking.withdraw import WithdrawDialog


def test_the_empty_bench_waits_for_a_tag_and_says_so(hand: Hand) -> None:
    assert hand.focus is hand.page.box.field
    assert hand.page._nothing.isVisible()
    assert not hand.page.verdict.isVisible()


@pytest.mark.parametrize("suffix", [Qt.Key.Key_Return, Qt.Key.Key_Tab])
def test_a_scan_ends_with_enter_or_tab_and_puts_the_item_on_the_bench(hand: Hand, suffix: Qt.Key) -> None:
    hand.scan("rr-1", suffix)
    assert hand.page.session.item is not None
    assert hand.page.session.item.tag == "RR-1"
    assert hand.at == "Switched on or reset, not looked at"
    assert hand.verdict == "Incomplete"


def test_a_pass_is_made_saved_and_the_next_scanned_by_keyboard_alone(
    hand: Hand, desk: Desk, messages: RecordedMessages
) -> None:
    hand.scan("RR-1")
    hand.tick_all()
    assert hand.at == "Outlet 1 at 0°, 1×, at most 300 ms"
    hand.type("28.4", "31", "29.1", "30.2", "0.14", "0.2", "r", "r", ">100")
    assert messages.told[-1].startswith("RR-1 saved: pass. Next due")
    assert hand.focus is hand.page.box.field
    assert hand.page.session.item is None
    last = desk.answer("RR-1").last
    assert last is not None
    assert (last.verdict, last.tester) == (Result.PASS, "Asha Pell")


def test_a_slow_half_cycle_fails_with_the_limit_named_and_leads_to_the_out_of_service_tag(
    hand: Hand, desk: Desk, messages: RecordedMessages
) -> None:
    hand.scan("RR-1")
    hand.tick_all()
    hand.type("28.4", "31", "29.1", "312")
    assert hand.verdict == "Fail"
    assert hand.sentence == "Outlet 2 at 180°, 1×: 312 ms is above the limit of 300 ms."
    hand.type("0.14", "0.2", "r", "r", ">100")
    dialog = hand.dialog
    assert isinstance(dialog, WithdrawDialog)
    dialog.number.setFocus()
    QTest.keyClicks(dialog.number, "0312")
    QTest.keyClick(dialog.number, Qt.Key.Key_Return)
    assert dialog.isVisible(), "a scanner's Enter answers nothing"
    hand.press(dialog)
    withdrawn = desk.answer("RR-1").withdrawn
    assert withdrawn is not None
    assert withdrawn.tag_number == "0312"
    assert messages.told[-1] == "RR-1 is out of service, tag 0312."
    assert hand.program.frame.focusWidget() is hand.page.box.field


def test_an_item_that_failed_stays_out_of_service_when_its_number_comes_later(hand: Hand, desk: Desk) -> None:
    hand.scan("RR-4")
    hand.tick_all()
    hand.type("0.3")
    QTest.keyClick(hand.dialog, Qt.Key.Key_Escape)
    hand.settle()
    withdrawn = desk.answer("RR-4").withdrawn
    assert withdrawn is not None
    assert withdrawn.tag_number == ""


def test_an_unknown_tag_is_said_and_kept(hand: Hand) -> None:
    hand.scan("QE 0192")
    assert hand.page.line.isVisible()
    assert "No item has or had the tag QE 0192" in hand.page.line._said.text()
    assert hand.page.box.field.text() == "QE 0192"
    line = hand.page.scans.lines.item(0)
    assert line is not None
    assert line.text().startswith("QE 0192, unknown, kept")
    hand.scan("RR-2")
    assert not hand.page.line.isVisible()


def test_the_tag_of_several_owners_and_of_a_removed_item_are_said_in_a_sentence(hand: Hand, desk: Desk) -> None:
    desk.site("MILL")
    desk.item("RR-2", site="MILL")
    with desk.change() as change:
        remove(change, desk.id("RR-3"), reason="scrapped")
    hand.scan("RR-2")
    assert "several owners" in hand.page.line._said.text()
    hand.scan("RR-3")
    assert "removed for good" in hand.page.line._said.text()
    assert hand.page.session.item is None


def test_what_is_no_reading_is_said_and_kept_and_keeps_the_cursor(hand: Hand, messages: RecordedMessages) -> None:
    hand.scan("RR-1")
    hand.tick_all()
    hand.type("fast")
    place = Place(Check.TRIP_TIME, 1, 0, Decimal(1))
    assert hand.text(place) == "fast"
    assert hand.page.sheet.readings.fault.isVisible()
    assert "“fast” is not a reading of trip time" in hand.page.sheet.readings.fault.text()
    assert hand.at.startswith("Outlet 1 at 0°")
    hand.save()
    assert "“fast”" in messages.told[-1]
    hand.type("28.4")
    assert not hand.page.sheet.readings.fault.isVisible()
    assert hand.at.startswith("Outlet 1 at 180°")


@pytest.mark.parametrize(
    ("typed", "shown", "verdict"),
    [
        (">300", ">300", "Fail"),
        ("n", "no trip", "Fail"),
        ("no trip", "no trip", "Fail"),
        ("?", "no reading", "Incomplete"),
    ],
)
def test_bounds_and_words_go_straight_into_a_cell(hand: Hand, typed: str, shown: str, verdict: str) -> None:
    hand.scan("RR-2")
    hand.tick_all()
    hand.type(typed)
    assert hand.text(Place(Check.TRIP_TIME, 1, 0, Decimal(1))) == shown
    assert hand.verdict == verdict


def test_arrows_lead_through_the_grid(hand: Hand) -> None:
    hand.scan("RR-1")
    hand.tick_all()
    hand.key(Qt.Key.Key_Right)
    assert hand.at.startswith("Outlet 1 at 180°")
    hand.key(Qt.Key.Key_Down)
    assert hand.at.startswith("Outlet 2 at 180°")
    hand.key(Qt.Key.Key_Left)
    assert hand.at.startswith("Outlet 2 at 0°")
    hand.key(Qt.Key.Key_Down)
    assert hand.at.startswith("Outlet 1, earth resistance")


def test_space_ticks_and_x_fails_a_point_of_the_look(hand: Hand, qtbot: QtBot) -> None:
    hand.scan("RR-2")
    hand.key(Qt.Key.Key_Space)
    assert hand.at == "Plug and pins, not looked at"
    point = hand.focus
    QTest.keyClick(point, Qt.Key.Key_X)
    qtbot.waitUntil(lambda: point.accessibleName() == "Plug and pins, wrong")
    assert hand.verdict == "Fail"
    assert hand.sentence == "Wrong at the look: Plug and pins."


def test_an_x_within_a_scanned_code_fails_nothing(hand: Hand, qtbot: QtBot) -> None:
    hand.scan("RR-2")
    QTest.keyClicks(hand.focus, "X1")
    qtbot.waitUntil(lambda: not any(timer.isActive() for timer in hand.focus.findChildren(QTimer)))
    assert hand.page.session.sheet.look == {}


def test_leakage_is_not_asked_for_once_insulation_is_there(hand: Hand) -> None:
    hand.scan("RR-4")
    hand.tick_all()
    QTest.keyClicks(hand.focus, ">100")
    assert hand.verdict == "Pass"
    assert hand.page.session.live.missing == ()


def test_a_window_made_small_still_says_that_the_next_date_hangs_on_a_pass(hand: Hand) -> None:
    hand.scan("RR-1")
    panel = hand.page.verdict
    assert (panel._when.text(), panel._next.text()[:9]) == ("If it passes", "Next due ")
    hand.program.frame.resize(1024, 600)
    hand.qtbot.waitUntil(panel._when.isHidden)
    assert panel._next.text().startswith("If it passes: next due ")
    hand.program.frame.resize(1920, 1080)
    hand.qtbot.waitUntil(panel._when.isVisible)
    assert panel._next.text().startswith("Next due ")
