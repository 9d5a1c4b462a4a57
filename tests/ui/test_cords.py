"""The cord is offered once, prefilled: when an appliance is added, and when it is withdrawn for its cord."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from register.domain.words import Kind
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.reader import ALT, CTRL, Reader
from ui.asking.cord import CordDialog
from ui.asking.withdraw import WithdrawDialog
from ui.program import Program
from ui.register_page.item_dialog import ItemDialog


@pytest.fixture
def reader(qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None]) -> Reader:
    """Somebody at the register's page, with a kettle on it."""
    desk.item("KT-1", Kind.APPLIANCE_CLASS_1, description="Kettle")
    program.jobs.changed.emit()
    return Reader(qtbot, program, desk, settled)


def offered(reader: Reader) -> CordDialog:
    reader.qtbot.waitUntil(lambda: reader.page.deeds.cord.dialog is not None)
    dialog = reader.page.deeds.cord.dialog
    assert dialog is not None
    reader.qtbot.waitUntil(dialog.isActiveWindow)
    return dialog


def withdrawn_for_its_cord(reader: Reader) -> CordDialog:
    reader.choose("KT-1")
    dialog = reader.ask("item.withdraw", WithdrawDialog)
    assert isinstance(dialog, WithdrawDialog)
    assert dialog.cord.isVisible()
    QTest.keyClick(dialog.cord, Qt.Key.Key_Space)
    QTest.keyClicks(dialog.number, "OUT-7")
    reader.confirm(dialog, Qt.Key.Key_W, ALT)
    return offered(reader)


def test_a_cord_at_fault_is_added_and_out_of_service_by_keyboard(reader: Reader, messages: RecordedMessages) -> None:
    cord = withdrawn_for_its_cord(reader)
    assert cord.out.text() == "OUT-8"
    reader.confirm(cord, Qt.Key.Key_A, ALT)
    assert cord.tag_field.complaint
    QTest.keyClicks(cord.tag, "CS-1")
    QTest.keyClick(cord.tag, Qt.Key.Key_Return)
    assert cord.isVisible()
    reader.confirm(cord, Qt.Key.Key_A, ALT)
    assert messages.told[-1] == "The cord CS-1 is added, out of service, tag OUT-8."
    out = reader.desk.answer("CS-1").withdrawn
    assert out is not None
    assert out.tag_number == "OUT-8"


def test_a_refusal_keeps_what_was_typed_and_leaving_adds_nothing(reader: Reader) -> None:
    cord = withdrawn_for_its_cord(reader)
    QTest.keyClicks(cord.tag, "RR-1")
    reader.confirm(cord, Qt.Key.Key_A, ALT)
    assert cord.isVisible()
    assert cord.tag.text() == "RR-1"
    assert "RR-1" in cord._wrong.text()
    QTest.keyClick(cord, Qt.Key.Key_Escape)
    reader.qtbot.waitUntil(lambda: reader.page.deeds.cord.dialog is None)
    assert reader.desk.answer("KT-1").withdrawn is not None


def test_an_item_of_another_kind_is_not_asked(reader: Reader) -> None:
    reader.choose("RR-2")
    dialog = reader.ask("item.withdraw", WithdrawDialog)
    assert isinstance(dialog, WithdrawDialog)
    assert not dialog.cord.isVisible()
    QTest.keyClicks(dialog.number, "OUT-7")
    reader.confirm(dialog, Qt.Key.Key_W, ALT)
    assert reader.page.deeds.cord.dialog is None


def test_a_new_appliance_is_asked_for_its_cord(reader: Reader, messages: RecordedMessages) -> None:
    dialog = reader.ask("item.add", ItemDialog)
    assert isinstance(dialog, ItemDialog)
    assert not dialog.cord.isVisible(), "a safety switch has none"
    dialog.kind.choose(Kind.APPLIANCE_CLASS_2)
    assert dialog.cord.isVisible()
    QTest.keyClicks(dialog.tag, "MX-1")
    QTest.keyClick(dialog.cord, Qt.Key.Key_Space)
    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)
    cord = offered(reader)
    assert not cord.out.isVisible()
    QTest.keyClicks(cord.tag, "CS-2")
    reader.confirm(cord, Qt.Key.Key_A, ALT)
    assert messages.told[-1] == "The cord CS-2 is added, to be tested before it is used."
    assert reader.desk.answer("CS-2").description == "Detachable cord of MX-1"
