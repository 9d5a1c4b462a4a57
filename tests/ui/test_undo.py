"""Undo and redo in the window: by the keys, named in the menu, from an empty field as well."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QPushButton
from pytestqt.qtbot import QtBot

from register.domain.words import Kind
from register.services.items import NewItem, add_item, find_item
from register.services.past_readings import CardRecord
from register.services.settings import set_setting
from register.services.withdrawals.deeds import remove
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages, settle
from ui.asking.void import VoidDialog
from ui.program import Program
from ui.register_page.page import RegisterPage


def press(program: Program, qtbot: QtBot, key: Qt.Key, *, shift: bool = False) -> None:
    where = QApplication.focusWidget() or program.frame
    held = Qt.KeyboardModifier.ControlModifier
    QTest.keyClick(where, key, held | Qt.KeyboardModifier.ShiftModifier if shift else held)
    settle(qtbot, program.jobs)


def set_firm(program: Program, qtbot: QtBot, name: str) -> None:
    program.jobs.change(lambda change: set_setting(change, "firm", name), lambda _none: None)
    settle(qtbot, program.jobs)


def title(program: Program, key: str) -> str:
    return program.frame.deeds.actions[key].text()


def test_the_keys_undo_and_do_again_and_the_menu_says_what(
    program: Program, qtbot: QtBot, messages: RecordedMessages
) -> None:
    assert title(program, "undo") == "Undo"
    assert not program.frame.deeds.possible("undo")
    set_firm(program, qtbot, "Another firm")
    assert title(program, "undo") == "Undo: setting changed"
    press(program, qtbot, Qt.Key.Key_Z)
    assert messages.told[-1] == "Undone: setting changed."
    assert (title(program, "undo"), title(program, "redo")) == ("Undo", "Redo: setting changed")
    press(program, qtbot, Qt.Key.Key_Z, shift=True)
    assert messages.told[-1] == "Done again: setting changed."
    press(program, qtbot, Qt.Key.Key_Z)
    press(program, qtbot, Qt.Key.Key_Y)
    assert messages.told[-1] == "Done again: setting changed."
    assert messages.failures == []


def test_the_card_of_an_item_whose_entry_is_undone_goes_without_a_fault(
    program: Program, qtbot: QtBot, messages: RecordedMessages, desk: Desk
) -> None:
    area = desk.area("YARD", "Loft")
    lead = NewItem(tag="Z-9", kind=Kind.CORD_SET, area_id=area, since=desk.today)
    program.jobs.change(lambda change: add_item(change, lead), lambda _none: None)
    settle(qtbot, program.jobs)
    program.frame.go("register", desk.id("Z-9"))
    settle(qtbot, program.jobs)
    page = program.frame.front
    assert isinstance(page, RegisterPage)
    qtbot.waitUntil(lambda: page.chosen_card() is not None)
    press(program, qtbot, Qt.Key.Key_Z)
    qtbot.waitUntil(lambda: page.chosen_card() is None or page.chosen_card().item.tag != "Z-9")  # type: ignore[union-attr]
    settle(qtbot, program.jobs)
    assert messages.told[-1].startswith("Undone: ")
    assert messages.failures == []


def test_typing_is_undone_in_a_field_with_text_and_the_last_deed_in_an_empty_one(
    program: Program, qtbot: QtBot, messages: RecordedMessages
) -> None:
    set_firm(program, qtbot, "Another firm")
    program.frame.go("register")
    settle(qtbot, program.jobs)
    field = program.frame.front.findChild(QLineEdit)
    assert field is not None
    field.setFocus()
    QTest.keyClicks(field, "mower")
    settle(qtbot, program.jobs)
    press(program, qtbot, Qt.Key.Key_Z)
    assert "Undone: setting changed." not in messages.told
    field.clear()
    press(program, qtbot, Qt.Key.Key_Z)
    assert messages.told[-1] == "Undone: setting changed."


def test_an_undo_that_is_refused_is_told_and_a_key_held_too_long_disturbs_nobody(
    program: Program, qtbot: QtBot, messages: RecordedMessages
) -> None:
    set_firm(program, qtbot, "Another firm")
    deeds = program.frame.deeds
    for _ in range(3):
        deeds.do("undo")
    settle(qtbot, program.jobs)
    assert messages.failures == []
    assert "nothing to undo" in messages.told[-1]


def test_an_item_removed_by_mistake_is_back(program: Program, qtbot: QtBot, messages: RecordedMessages) -> None:
    with program.jobs._register.read() as connection:
        import sqlalchemy as sa

        from register.store.tables import Tag

        number = connection.execute(sa.select(Tag.number)).scalars().first()
        item = find_item(connection, str(number))
    program.jobs.change(lambda change: remove(change, item, reason="scrapped"), lambda _tag: None)
    settle(qtbot, program.jobs)
    assert title(program, "undo") == f"Undo: item removed for good, {number}"
    press(program, qtbot, Qt.Key.Key_Z)
    assert messages.told[-1] == f"Undone: item removed for good, {number}."


def test_a_wrong_record_is_made_void_from_the_card_with_a_reason(
    program: Program, desk: Desk, qtbot: QtBot, messages: RecordedMessages
) -> None:
    key, item = desk.test("RR-2").id, desk.id("RR-2")
    program.frame.go("register", item)
    page = program.frame.front
    assert isinstance(page, RegisterPage)
    qtbot.waitUntil(lambda: any(each.id == key for each in _records(page)))
    page.card.void_wanted.emit(key)
    dialog = page.deeds.dialog
    assert isinstance(dialog, VoidDialog)
    void = next(each for each in dialog.findChildren(QPushButton) if each.text().startswith("Void"))
    void.click()
    assert dialog.field.complaint == "Say what is wrong with the record."
    QTest.keyClicks(dialog.reason, "recorded on the wrong item")
    void.click()
    settle(qtbot, program.jobs)
    assert "counts no more" in messages.told[-1]
    qtbot.waitUntil(lambda: any(each.corrected for each in _records(page)))
    program.frame.deeds.do("undo")
    settle(qtbot, program.jobs)
    assert messages.told[-1].startswith("Undone: record corrected")


def _records(page: RegisterPage) -> tuple[CardRecord, ...]:
    card = page.chosen_card()
    return () if card is None else card.records
