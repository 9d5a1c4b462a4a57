"""After a record is saved: it is corrected, taken back, its tag printed or given anew, all without leaving the keys."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu, QPushButton
from pytestqt.qtbot import QtBot

from register.domain.records import Place
from register.domain.words import Check, Result, Standing, TestCurrent
from register.services.item_card import item_card
from register.services.past_readings import CardRecord
from tests.desk import QUICK, SOUND, Desk
from tests.domain.verdict_rules import ramp, tripped
from tests.ui.conftest import TODAY, RecordedMessages
from tests.ui.hand import Hand
from ui.bench.became import Became
from ui.bench.correcting import CorrectDialog
from ui.bench.words import check_lines
from ui.look.widgets import Words
from ui.register_page.page import RegisterPage
from ui.tags.new_tag_dialog import NewTagDialog
from ui.wanted import CorrectRecord

ALT, CTRL = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier
INSULATION = Place(Check.INSULATION_RESISTANCE)


@pytest.fixture(autouse=True)
def _crew(hand: Hand) -> None:
    """Two testers, so that none is chosen by itself, and one at work."""
    hand.page.sheet.crew.tester.setEditText("Asha Pell")
    hand.page.sheet.crew.instrument.setEditText("VT-2")


def measured(hand: Hand, tag: str, *texts: str) -> None:
    hand.scan(tag)
    hand.tick_all()
    hand.type(*texts)


def records(desk: Desk, tag: str) -> tuple[CardRecord, ...]:
    with desk.read() as connection:
        return item_card(connection, desk.id(tag), TODAY).records


def lines(hand: Hand) -> list[tuple[str, Became]]:
    return [(each.code, each.became) for each in hand.page.scans._scans]


def reason(hand: Hand, text: str) -> None:
    """Answer why the record is corrected."""
    dialog = hand.dialog
    assert isinstance(dialog, CorrectDialog)
    QTest.keyClicks(dialog.reason, text)
    hand.press_key(dialog, Qt.Key.Key_Return, CTRL)
    hand.come_back()


# --- correcting ---


def test_the_record_saved_last_is_corrected_with_its_readings_there(hand: Hand, desk: Desk) -> None:
    measured(hand, "RR-4", "0.3")
    hand.dialog.reject()
    hand.come_back()
    assert desk.answer("RR-4").standing is Standing.WITHDRAWN
    hand.key(Qt.Key.Key_R, CTRL)
    assert hand.page.session.sheet.look_result is Result.PASS
    assert hand.text(INSULATION) == "0.3"
    assert "This corrects the fail of 24 Nov 2026 by Asha Pell" in hand.page.sheet.correction.said
    hand.page.sheet.readings.cells[INSULATION].entry.setFocus()
    hand.page.sheet.readings.cells[INSULATION].entry.selectAll()
    hand.type("30")
    assert "The fail of 24 Nov 2026 by Asha Pell gives way to a pass." in [
        each.text() for each in hand.dialog.findChildren(Words)
    ]
    reason(hand, "typed 0.3 for 30")
    assert desk.answer("RR-4").standing is Standing.IN_SERVICE
    assert {each.verdict: bool(each.corrected) for each in records(desk, "RR-4")} == {
        Result.PASS: False, Result.FAIL: True,
    }  # fmt: skip
    assert lines(hand) == [("RR-4", Became.PASS), ("RR-4", Became.CORRECTED)]
    assert hand.focus is hand.page.box.field
    assert desk.faults() == ()


def test_every_reading_of_a_record_is_in_sight_whatever_current_it_was_made_with(hand: Hand, desk: Desk) -> None:
    half, twice = tripped("31", 1, 0, "1", TestCurrent.HALF_WAVE), tripped("26", 1, 0, "1")
    record = desk.test("RR-2", readings=(*SOUND, *QUICK, half, twice, ramp("27")))
    hand.page.show_wanted(CorrectRecord(record.id))
    hand.settle()
    assert hand.page.sheet.correction.said.endswith("Kept with it as it was: Outlet 1 at 0°, 1×: 26 ms.")
    place = Place(Check.TRIP_TIME, 1, 0, Decimal(1), TestCurrent.HALF_WAVE)
    cell = hand.page.sheet.readings.cells[place]
    assert (cell.entry.text(), cell.entry.accessibleName()) == ("31", "Outlet 1 at 0°, 1×, half-wave current, no limit")
    assert hand.text(Place(Check.TRIP_CURRENT, 1)) == "27"
    lines = {each.title: each for each in check_lines(hand.page.session.sheet, hand.page.session.live)}
    assert (lines["Trip at 1×, half-wave"].result, lines["Trip at 1×, half-wave"].value) == (None, "not judged")
    session = hand.page.session
    session.plate(replace(session.sheet.item, outlets=3))
    assert hand.text(place) == "31"
    assert Place(Check.TRIP_TIME, 3, 0, Decimal(1)) in hand.page.sheet.readings.cells


def test_no_reason_or_nothing_changed_corrects_nothing(hand: Hand, desk: Desk, messages: RecordedMessages) -> None:
    measured(hand, "RR-4", ">100")
    hand.key(Qt.Key.Key_R, CTRL)
    hand.save()
    assert messages.told[-1].startswith("Nothing is other than in the record.")
    hand.page.sheet.crew.tester.setEditText("Bo Lind")
    hand.save()
    dialog = hand.dialog
    assert isinstance(dialog, CorrectDialog)
    hand.press_key(dialog, Qt.Key.Key_Return, CTRL)
    assert dialog.field.complaint == "Say what is wrong with the record."
    QTest.keyClicks(dialog.reason, "Bo measured")
    hand.press_key(dialog, Qt.Key.Key_Return, CTRL)
    hand.come_back()
    assert [each.tester for each in records(desk, "RR-4") if not each.corrected] == ["Bo Lind"]
    assert hand.page.sheet.crew.own == ("Asha Pell", "VT-2")
    assert hand.page.sheet.crew.tester.currentText() == "Asha Pell"


def test_a_record_is_left_as_it_is(hand: Hand, desk: Desk, messages: RecordedMessages) -> None:
    desk.test("RR-4", readings=(), tester="Bo Lind", duties=())
    hand.page.show_wanted(desk.id("RR-4"))
    hand.settle()
    hand.page.correcting.begin(records(desk, "RR-4")[0].id)
    hand.settle()
    assert hand.page.sheet.crew.tester.currentText() == "Bo Lind"
    hand.key(Qt.Key.Key_L, ALT)
    assert messages.told[-1] == "The record of RR-4 stays as it is."
    assert hand.page.session.item is None
    assert hand.page.sheet.crew.tester.currentText() == "Asha Pell"
    assert hand.focus is hand.page.box.field
    assert len(records(desk, "RR-4")) == 1


def test_a_correction_waits_while_another_tag_is_scanned(hand: Hand, desk: Desk) -> None:
    measured(hand, "RR-4", ">100")
    hand.key(Qt.Key.Key_R, CTRL)
    hand.page.sheet.readings.cells[INSULATION].entry.selectAll()
    QTest.keyClicks(hand.page.sheet.readings.cells[INSULATION].entry, "40")
    hand.scan("RR-3")
    assert not hand.page.sheet.correction.isVisible()
    hand.scan("RR-4")
    hand.key(Qt.Key.Key_T, ALT)
    assert hand.text(INSULATION) == "40"
    assert hand.page.sheet.correction.isVisible()
    assert hand.page.drafts._now()[0]["corrects"] == records(desk, "RR-4")[0].id


def test_nothing_half_typed_gives_way_to_a_correction(hand: Hand, desk: Desk) -> None:
    record = desk.test("RR-4", readings=(), duties=())
    hand.page.show_wanted(desk.id("RR-4"))
    hand.settle()
    hand.tick_all()
    hand.page.correcting.begin(record.id)
    hand.settle()
    assert "RR-4 is half-typed here." in hand.page.line.said
    assert hand.page.session.item is not None
    assert hand.page.session.item.corrects is None
    assert hand.page.session.begun


def test_the_list_offers_to_correct_or_to_test_again(hand: Hand) -> None:
    measured(hand, "RR-4", ">100")
    hand.page.scans.lines.setFocus()
    hand.page.scans.lines.setCurrentRow(0)
    hand.key(Qt.Key.Key_Return)
    assert "RR-4 was saved at" in hand.page.line.said
    hand.key(Qt.Key.Key_C, ALT)
    assert hand.page.session.item is not None
    assert hand.page.session.item.corrects is not None
    assert hand.focus is hand.page.sheet.readings.cells[INSULATION].entry


def test_a_tag_done_today_offers_to_correct_it(hand: Hand) -> None:
    measured(hand, "RR-4", ">100")
    hand.scan("RR-4")
    hand.key(Qt.Key.Key_C, ALT)
    assert hand.page.session.item is not None
    assert hand.page.session.item.corrects is not None


def test_the_card_leads_to_the_bench_with_the_record(
    hand: Hand, desk: Desk, qtbot: QtBot, settled: Callable[[], None]
) -> None:
    record = desk.test("RR-2")
    frame = hand.program.frame
    frame.go("register", desk.id("RR-2"))
    page = frame.front
    assert isinstance(page, RegisterPage)
    qtbot.waitUntil(lambda: (card := page.chosen_card()) is not None and bool(card.records))
    settled()
    (wrong,) = [
        each for each in page.card.findChildren(QPushButton) if each.accessibleName().startswith("Mend the record")
    ]
    menu = wrong.menu()
    assert isinstance(menu, QMenu)
    assert [each.text() for each in menu.actions()] == ["Correct this record…", "Void this record…"]
    menu.actions()[0].trigger()
    settled()
    assert frame.front is hand.page
    item = hand.page.session.item
    assert item is not None
    assert item.corrects is not None
    assert item.corrects.record_id == record.id


# --- taking back ---


def test_undo_takes_the_last_record_back_and_the_scan_box_keeps_its_place(
    hand: Hand, desk: Desk, messages: RecordedMessages
) -> None:
    measured(hand, "RR-4", ">100")
    assert lines(hand) == [("RR-4", Became.PASS)]
    hand.key(Qt.Key.Key_Z, CTRL)
    assert messages.told[-1] == "Undone: test recorded, RR-4."
    assert records(desk, "RR-4") == ()
    assert lines(hand) == [("RR-4", Became.UNDONE)]
    assert hand.focus is hand.page.box.field
    assert hand.page.box.field.text() == ""
    assert not hand.program.desk.deeds.possible("bench.correct")
    hand.key(Qt.Key.Key_Y, CTRL)
    assert lines(hand) == [("RR-4", Became.PASS)]
    assert hand.program.desk.deeds.possible("bench.correct")
    assert len(records(desk, "RR-4")) == 1


def test_undo_while_the_next_item_lies_there_leaves_it_alone(hand: Hand) -> None:
    measured(hand, "RR-4", ">100")
    hand.scan("RR-3")
    hand.key(Qt.Key.Key_Z, CTRL)
    assert lines(hand) == [("RR-3", Became.ON_BENCH), ("RR-4", Became.UNDONE)]
    assert hand.page.session.item is not None
    assert hand.page.session.item.tag == "RR-3"


def test_typing_of_a_cell_is_taken_back_before_a_record_is(hand: Hand) -> None:
    measured(hand, "RR-4", ">100")
    hand.scan("RR-3")
    hand.tick_all()
    cell = next(iter(hand.page.sheet.readings.cells.values())).entry
    cell.setFocus()
    QTest.keyClicks(cell, "12")
    hand.key(Qt.Key.Key_Z, CTRL)
    assert lines(hand)[1] == ("RR-4", Became.PASS)
    assert cell.text() == ""


def test_an_item_whose_entering_is_undone_leaves_the_bench(hand: Hand, messages: RecordedMessages) -> None:
    hand.scan("RR-4")
    hand.key(Qt.Key.Key_Escape)
    hand.scan("QE 0192")
    hand.key(Qt.Key.Key_N, ALT)
    QTest.keyClicks(hand.focus, "cord")
    hand.key(Qt.Key.Key_Tab)
    QTest.keyClicks(hand.focus, "Kettle cord")
    hand.key(Qt.Key.Key_A, ALT)
    assert hand.page.session.item is not None
    hand.key(Qt.Key.Key_Z, CTRL)
    assert messages.failures == []
    assert hand.page.session.item is None
    assert "entering it was undone" in hand.page.line.said
    assert lines(hand)[0] == ("QE 0192", Became.UNDONE)
    assert hand.focus is hand.page.box.field


# --- tags ---


def test_the_tag_of_what_was_saved_is_offered_without_taking_the_cursor(hand: Hand) -> None:
    deeds = hand.program.desk.deeds
    assert not deeds.possible("item.tag")
    measured(hand, "RR-4", ">100")
    nothing = hand.page._nothing
    assert nothing.isVisible()
    assert nothing._title.text() == "RR-4: pass"
    assert hand.focus is hand.page.box.field
    assert deeds.possible("item.tag")
    hand.key(Qt.Key.Key_P, CTRL | Qt.KeyboardModifier.ShiftModifier)
    dialog = hand.dialog
    assert dialog is hand.page.after.tags.dialog
    dialog.reject()
    hand.come_back()
    hand.scan("RR-3")
    assert hand.page.session.item is not None
    assert hand.page.session.item.tag == "RR-3"


def test_a_new_tag_goes_to_the_item_saved_last(hand: Hand, desk: Desk, messages: RecordedMessages) -> None:
    measured(hand, "RR-4", ">100")
    hand.key(Qt.Key.Key_N, CTRL | Qt.KeyboardModifier.ShiftModifier)
    dialog = hand.dialog
    assert isinstance(dialog, NewTagDialog)
    QTest.keyClicks(dialog.number, "RR-900")
    hand.press_key(dialog, Qt.Key.Key_Return, CTRL)
    hand.come_back()
    assert messages.told[-1] == "RR-4 is RR-900 now; the old number still finds it."
    assert desk.id("RR-900") == desk.id("RR-4")
    assert hand.focus is hand.page.box.field


def test_what_lies_on_the_bench_goes_before_what_was_saved(hand: Hand) -> None:
    measured(hand, "RR-4", ">100")
    hand.scan("RR-3")
    hand.key(Qt.Key.Key_N, CTRL | Qt.KeyboardModifier.ShiftModifier)
    said = [each.text() for each in hand.dialog.findChildren(Words)]
    assert any("RR-3 stays" in each for each in said)
    hand.dialog.reject()
    assert QApplication.activeModalWidget() is None
