"""Items added, changed, moved and taken out of service by keyboard; nothing typed is ever lost."""

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from register.domain.words import Kind, Standing, WithdrawalReason
from register.services.editing import change_item, item_form
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.reader import ALT, CTRL, Reader, words_of
from ui.asking.remove import RemoveDialog
from ui.asking.withdraw import WithdrawDialog
from ui.program import Program
from ui.register_page.item_dialog import ItemDialog
from ui.register_page.move_dialog import MoveDialog


@pytest.fixture
def reader(qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None]) -> Reader:
    """Somebody at the register's page."""
    return Reader(qtbot, program, desk, settled)


def test_an_item_is_withdrawn_by_keyboard_and_enter_answers_nothing(reader: Reader, messages: RecordedMessages) -> None:
    reader.choose("RR-2")
    dialog = reader.ask("item.withdraw", WithdrawDialog)
    assert isinstance(dialog, WithdrawDialog)

    reader.confirm(dialog, Qt.Key.Key_W, ALT)
    assert "Scan or type the number" in dialog.number_field.complaint

    QTest.keyClicks(dialog.number, "OUT-7")
    QTest.keyClick(dialog.number, Qt.Key.Key_Return)
    assert dialog.isVisible()
    reader.confirm(dialog, Qt.Key.Key_W, ALT)

    assert messages.told[-1] == "RR-2 taken out of service, tag OUT-7."
    out = reader.desk.answer("RR-2").withdrawn
    assert out is not None
    assert (out.reason, out.tag_number) == (WithdrawalReason.OVERDUE, "OUT-7")


def test_a_letter_chooses_a_reason_but_a_scanned_code_does_not(reader: Reader) -> None:
    reader.choose("RR-2")
    dialog = reader.ask("item.withdraw", WithdrawDialog)
    assert isinstance(dialog, WithdrawDialog)
    choices = dialog.choices
    row = choices.focus_row()

    QTest.keyClicks(row, "fd7")
    reader.qtbot.waitUntil(lambda: not choices._burst.isActive())
    assert choices.chosen is WithdrawalReason.OVERDUE

    QTest.keyClicks(row, "d")
    reader.qtbot.waitUntil(lambda: choices.chosen is WithdrawalReason.DAMAGED)


def test_leaving_the_dialog_leaves_the_item_in_service(reader: Reader) -> None:
    reader.choose("RR-2")
    dialog = reader.ask("item.withdraw", WithdrawDialog)

    QTest.keyClick(dialog, Qt.Key.Key_Escape)

    assert reader.page.deeds.dialog is None
    assert reader.desk.answer("RR-2").withdrawn is None


def test_a_move_shows_the_new_dates_before_it_is_done(reader: Reader, messages: RecordedMessages) -> None:
    reader.desk.site("LOT", environment="construction")
    reader.desk.test("RR-2", date(2026, 11, 20))
    before = reader.desk.dates("RR-2")
    reader.choose("RR-2")
    dialog = reader.ask("item.move", MoveDialog)
    assert isinstance(dialog, MoveDialog)

    with reader.qtbot.waitSignal(dialog.place_meant):
        dialog.place.site.choose(next(key for key, site in dialog.place._sites.items() if site.code == "LOT"))
    reader.settle()

    said = words_of(dialog)
    assert "20 Feb 2027" in said
    assert "Construction" in said
    assert reader.desk.dates("RR-2") == before

    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)

    assert "RR-2 moved to Lot of the bay, Whole site." in messages.told[-1]
    assert set(reader.desk.dates("RR-2").values()) == {date(2027, 2, 20)}


def test_a_move_to_where_it_is_already_is_said_to_be_none(reader: Reader) -> None:
    reader.choose("RR-2")
    dialog = reader.ask("item.move", MoveDialog)

    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)

    assert dialog.isVisible()
    assert "It is there already" in words_of(dialog)


def test_a_class_of_its_own_shows_the_new_dates_before_it_is_saved(reader: Reader) -> None:
    reader.desk.test("RR-2", date(2026, 11, 20))
    before = reader.desk.dates("RR-2")
    reader.choose("RR-2")
    dialog = reader.ask("item.edit", ItemDialog)
    assert isinstance(dialog, ItemDialog)

    dialog.environment.choose("construction")
    reader.qtbot.waitUntil(lambda: "now 20 Feb 2027 (was " in words_of(dialog))
    assert reader.desk.dates("RR-2") == before
    dialog.environment.choose(None)
    reader.settle()
    assert "now 20 Feb 2027" not in words_of(dialog)

    dialog.environment.choose("construction")
    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)
    assert set(reader.desk.dates("RR-2").values()) == {date(2027, 2, 20)}


def test_an_item_is_added_once_everything_typed_can_be(reader: Reader, messages: RecordedMessages) -> None:
    dialog = reader.ask("item.add", ItemDialog)
    assert isinstance(dialog, ItemDialog)
    dialog.kind.choose(Kind.CORD_SET)
    dialog.description.setText("Cord of the kettle")
    dialog.since.setText("nonsense")
    dialog.plate.rated.setText("ten")

    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)

    assert "The tag is empty" in dialog.tag_field.complaint
    assert "“nonsense” is not a day" in dialog.since_field.complaint
    assert "“ten” is no number of amperes" in dialog.plate.rated_field.complaint
    assert dialog.since.text() == "nonsense"

    QTest.keyClicks(dialog.tag, "rr-9")
    dialog.since.setText("2026-11-20")
    dialog.plate.rated.setText("10")
    dialog.place.area.setEditText("Kitchen")
    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)

    assert messages.told[-1] == "RR-9 added."
    added = reader.desk.answer("RR-9")
    assert (added.kind, added.area, added.description) == (Kind.CORD_SET, "Kitchen", "Cord of the kettle")
    reader.shows("RR-9")


def test_a_tag_that_is_taken_is_said_in_the_dialog_and_nothing_is_lost(reader: Reader) -> None:
    dialog = reader.ask("item.add", ItemDialog)
    assert isinstance(dialog, ItemDialog)
    QTest.keyClicks(dialog.tag, "RR-1")
    QTest.keyClicks(dialog.description, "Another")

    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)

    assert "RR-1 is, or was, another item's" in words_of(dialog)
    assert dialog.description.text() == "Another"


def test_somebody_elses_change_is_not_overwritten(reader: Reader) -> None:
    reader.choose("RR-4")
    dialog = reader.ask("item.edit", ItemDialog)
    assert isinstance(dialog, ItemDialog)
    dialog.serial.setText("mine")
    with reader.desk.read() as connection:
        form = item_form(connection, reader.desk.id("RR-4"))
    with reader.desk.change() as change:
        change_item(change, form.item_id, form.facts.__class__(form.facts.kind, "Theirs"), version=form.version)

    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)

    assert "changed by somebody else" in words_of(dialog)
    assert dialog.serial.text() == "mine"
    assert reader.desk.answer("RR-4").description == "Theirs"


def test_an_item_removed_for_good_needs_a_reason_and_is_found_by_its_standing(
    reader: Reader, messages: RecordedMessages
) -> None:
    reader.choose("RR-3")
    dialog = reader.ask("item.remove", RemoveDialog)
    assert isinstance(dialog, RemoveDialog)
    reader.confirm(dialog, Qt.Key.Key_R, ALT)
    assert "Say why" in dialog.field.complaint
    dialog.reason.setText("cut through")
    reader.confirm(dialog, Qt.Key.Key_R, ALT)

    assert messages.told[-1] == "RR-3 removed for good."
    reader.qtbot.waitUntil(lambda: len(reader.page.model.keys) == 3)
    reader.page.filters.standings[Standing.REMOVED].click()
    reader.settle()
    assert reader.tags == ["RR-3"]
    reader.shows("RR-3")
    assert "Removed for good on 24 Nov 2026: cut through." in words_of(reader.page.card)
    assert not reader.program.frame.deeds.possible("item.move")


def test_an_item_that_nobody_finds_is_marked_and_found_again(reader: Reader, messages: RecordedMessages) -> None:
    deeds = reader.program.frame.deeds
    reader.choose("RR-2")
    assert (deeds.possible("item.missing"), deeds.possible("item.found")) == (True, False)
    deeds.do("item.missing")
    reader.qtbot.waitUntil(lambda: deeds.possible("item.found"))
    assert messages.told[-1] == "RR-2 is marked as not found, and asked for again at the next visit."
    assert not deeds.possible("item.missing")
    assert reader.desk.answer("RR-2").not_found_on is not None
    deeds.do("item.found")
    reader.qtbot.waitUntil(lambda: deeds.possible("item.missing"))
    assert messages.told[-1] == "RR-2 is there again."
    assert reader.desk.answer("RR-2").not_found_on is None
