"""The bench between items: putting aside, what is refused, who measures, the plate, the order of the keyboard."""

from datetime import timedelta
from decimal import Decimal

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest

from register.domain.records import Place
from register.domain.words import Check, Duty, Result, SetUp
from register.errors import Refused
from register.services.bench.on_bench import on_bench
from register.services.whereabouts import mark_missing
from register.services.withdrawals.deeds import remove
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.hand import Hand
from tests.ui.reader import words_of
from ui.asking.withdraw import WithdrawDialog
from ui.bench.setup import CAUTIONS
from ui.program import Program

SLOW = Place(Check.TRIP_TIME, 2, 180, Decimal(1))


def test_scanning_another_item_puts_a_begun_one_aside_and_scanning_it_again_goes_on(
    hand: Hand, messages: RecordedMessages
) -> None:
    hand.scan("RR-1")
    hand.tick_all()
    hand.type("28.4", "31")
    hand.scan("RR-2")
    assert "RR-1 is put aside" in messages.told[-1]
    hand.scan("RR-1")
    assert messages.told[-1] == "RR-1 goes on with what was typed before."
    assert hand.text(Place(Check.TRIP_TIME, 1, 180, Decimal(1))) == "31"
    assert hand.at.startswith("Outlet 2 at 0°")


def test_escape_puts_aside_what_was_typed(hand: Hand) -> None:
    hand.scan("RR-1")
    hand.tick_all()
    hand.type("28.4")
    hand.key(Qt.Key.Key_Escape)
    assert hand.page.session.item is None
    assert hand.page.session.waiting == 1
    assert hand.focus is hand.page.box.field


def test_nothing_typed_is_lost_when_the_register_refuses(hand: Hand, desk: Desk, messages: RecordedMessages) -> None:
    hand.scan("RR-1")
    hand.tick_all()
    hand.type("28.4", "31", "29.1", "30.2", "0.14", "0.2", "r", "r")
    with desk.change() as change:
        remove(change, desk.id("RR-1"), reason="scrapped meanwhile")
    hand.type(">100")
    (refused,) = messages.failures
    assert isinstance(refused, Refused)
    assert hand.text(Place(Check.TRIP_TIME, 2, 180, Decimal(1))) == "30.2"
    assert hand.page.session.begun


def test_an_incomplete_record_is_saved_as_that_and_the_item_stays_due(hand: Hand, desk: Desk) -> None:
    hand.scan("RR-1")
    hand.tick_all()
    hand.type("28.4")
    hand.save()
    answer = desk.answer("RR-1")
    assert answer.last is not None
    assert answer.last.verdict is Result.INCOMPLETE
    assert answer.next_due is None


def test_nothing_is_saved_of_an_item_that_nobody_looked_at(hand: Hand, desk: Desk, messages: RecordedMessages) -> None:
    hand.scan("RR-1")
    hand.save()
    assert "nothing to save" in messages.told[-1]
    assert desk.answer("RR-1").last is None


def test_a_record_waits_for_its_testers_name_and_says_so_beside_the_field(
    hand: Hand, desk: Desk, messages: RecordedMessages
) -> None:
    crew = hand.page.sheet.crew
    hand.scan("RR-4")
    crew.tester.setEditText("")
    hand.tick_all()
    hand.type(">100")
    assert desk.answer("RR-4").last is None
    assert "Say who measured" in messages.told[-1]
    assert crew._fault.isVisible()
    QTest.keyClicks(hand.focus, "Noor Ives")
    hand.save()
    last = desk.answer("RR-4").last
    assert last is not None
    assert last.tester == "Noor Ives"
    hand.scan("RR-3")
    assert crew.tester.currentText() == "Noor Ives"


def test_a_corrected_plate_changes_what_is_asked_and_is_kept_with_the_record(hand: Hand, desk: Desk) -> None:
    hand.scan("RR-1")
    outlets = hand.page.sheet.plate._outlets
    outlets.setFocus()
    outlets.selectAll()
    hand.type("1")
    assert SLOW not in hand.page.sheet.readings.cells
    hand.page.sheet.look.points[0].setFocus()
    hand.tick_all()
    hand.type("28.4", "31", "0.14", "r", ">100")
    with desk.read() as connection:
        assert on_bench(connection, desk.id("RR-1"), desk.today).known.item.outlets == 1


def test_a_wrong_plate_is_said_beside_it_and_kept(hand: Hand, messages: RecordedMessages) -> None:
    hand.scan("RR-1")
    rated = hand.page.sheet.plate._rated
    rated.setFocus()
    rated.selectAll()
    hand.type("thirty")
    assert rated.text() == "thirty"
    assert "“thirty” is not a rated residual current" in hand.page.sheet.plate._fault.text()
    hand.page.sheet.look.points[0].setFocus()
    hand.tick_all()
    hand.save()
    assert "“thirty”" in messages.told[-1]


def test_the_other_set_up_shows_its_caution_and_is_recorded(hand: Hand) -> None:
    hand.scan("RR-2")
    other = hand.page.sheet.set_up.ways[1]
    other.setFocus()
    hand.key(Qt.Key.Key_Space)
    assert hand.page.session.sheet.set_up is SetUp.DEVICE_FEEDS_TESTER
    assert hand.page.sheet.set_up._caution.text().endswith(CAUTIONS[SetUp.DEVICE_FEEDS_TESTER])
    assert "transformer made for RCD testing" in hand.page.sheet.set_up._caution.text()


def test_a_duty_that_is_switched_off_asks_nothing_but_one_stays_on(hand: Hand) -> None:
    hand.scan("RR-2")
    chips = list(hand.page.sheet.duties.chips.values())
    chips[0].click()
    assert {cell.check for cell in hand.page.sheet.readings.cells} == {Check.TRIP_TIME}
    for chip in chips:
        if chip.isChecked():
            chip.click()
    assert any(chip.isChecked() for chip in chips)
    assert hand.page.session.sheet.duties


def test_the_duties_stand_in_one_order_whatever_lay_on_the_bench_before(hand: Hand) -> None:
    hand.scan("RR-4")
    hand.scan("RR-2")
    chips = list(hand.page.sheet.duties.chips.values())
    assert [each.x() for each in chips] == sorted(each.x() for each in chips)
    assert len(chips) == 3


def test_another_page_can_put_an_item_on_the_bench(hand: Hand, desk: Desk, program: Program) -> None:
    program.frame.go("bench", desk.id("RR-3"))
    hand.settle()
    assert hand.page.session.item is not None
    assert hand.page.session.item.tag == "RR-3"


def test_what_is_left_here_counts_down(hand: Hand) -> None:
    hand.scan("RR-1")
    assert hand.page.here.short == "Yard of the bay: 0 of 4 done"
    hand.tick_all()
    hand.type("28.4", "31", "29.1", "30.2", "0.14", "0.2", "r", "r", ">100")
    assert hand.page.here.short == "Yard of the bay: 1 of 4 done"
    assert hand.page.here.lines.count() == 2


def test_a_small_window_shows_between_items_what_is_left_and_what_was_not_found(hand: Hand, desk: Desk) -> None:
    with desk.on(desk.today - timedelta(days=30)).change() as change:
        mark_missing(change, desk.id("RR-3"))
    hand.program.frame.resize(1024, 600)
    hand.scan("RR-4")
    assert not hand.page.here.isVisible()
    box = hand.page.box.geometry()
    hand.tick_all()
    hand.type(">100")
    assert hand.page.box.geometry() == box
    assert hand.program.frame.height() == 600
    assert "Not found last time, look again: RR-3." in words_of(hand.page.here)
    assert hand.page.scans.lines.isVisible()
    assert hand.page.here.x() >= 0
    assert hand.page.here.mapTo(hand.page, hand.page.here.rect().topRight()).x() < hand.page.width()


def test_taking_a_damaged_item_out_needs_a_number(hand: Hand, desk: Desk) -> None:
    desk.test("RR-3", desk.today, duties=(Duty.INSPECTION_AND_TEST,))
    hand.scan("RR-3")
    hand.key(Qt.Key.Key_T, Qt.KeyboardModifier.AltModifier)
    hand.key(Qt.Key.Key_W, Qt.KeyboardModifier.AltModifier)
    dialog = hand.dialog
    assert isinstance(dialog, WithdrawDialog)
    hand.press(dialog)
    assert dialog.isVisible()
    QTest.keyClicks(dialog.number, "0400")
    QTest.keyClicks(dialog.note, "plug cracked")
    hand.press(dialog)
    withdrawn = desk.answer("RR-3").withdrawn
    assert withdrawn is not None
    assert (withdrawn.tag_number, withdrawn.detail) == ("0400", "plug cracked")


def test_everything_that_takes_the_cursor_has_a_name_and_comes_in_reading_order(hand: Hand) -> None:
    hand.scan("RR-1")
    stops = [hand.page.here.lines, hand.page.scans.lines, hand.page.box.field]
    stops += [*hand.page.sheet.widgets(), *hand.page.verdict.widgets()]
    stops = [stop for stop in stops if stop.isVisibleTo(hand.page)]
    for stop in stops:
        interface = QAccessible.queryAccessibleInterface(stop)
        assert interface is not None
        assert interface.text(QAccessible.Text.Name), stop
    places = [(stop.mapTo(hand.page, stop.rect().topLeft()).y()) for stop in hand.page.sheet.readings.widgets()]
    assert places == sorted(places)
    hand.page.box.field.clear()
    hand.page.box.field.setFocus()
    met = [hand.focus]
    for _step in range(len(stops) - 3):
        QTest.keyClick(hand.focus, Qt.Key.Key_Tab)
        met.append(hand.focus)
    not_chosen = hand.page.sheet.set_up.ways[1]
    assert met[:-1] == [stop for stop in stops[2:] if stop is not not_chosen]


@pytest.mark.parametrize("size", [(1024, 600), (1440, 900)])
def test_nothing_of_the_page_is_wider_than_a_small_window(hand: Hand, size: tuple[int, int]) -> None:
    hand.program.frame.resize(*size)
    hand.scan("RR-1")
    assert hand.program.frame.width() == size[0]
    assert hand.page.sheet._inside.minimumSizeHint().width() <= hand.page.sheet._area.viewport().width()


def test_a_test_recorded_elsewhere_meanwhile_keeps_what_is_typed(hand: Hand, desk: Desk) -> None:
    hand.scan("RR-1")
    hand.tick_all()
    hand.type("28.4")
    desk.test("RR-2", desk.today)
    hand.page.refresh()
    hand.settle()
    assert hand.text(Place(Check.TRIP_TIME, 1, 0, Decimal(1))) == "28.4"
