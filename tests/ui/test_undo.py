"""Undo and redo in the window: by the keys, named in the menu, from an empty field as well."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from register.services.items import find_item
from register.services.settings import set_setting
from register.services.withdrawals import remove
from tests.ui.conftest import RecordedMessages, settle
from ui.program import Program


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
