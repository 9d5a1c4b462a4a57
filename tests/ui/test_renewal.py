"""An item replaced by another, and a repair noted, by keyboard; nothing typed is lost when it is refused."""

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from register.domain.words import WithdrawalReason
from register.services.repairs import repairs
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.reader import ALT, Reader, words_of
from ui.asking.dialog import Dialog
from ui.asking.repair import RepairDialog
from ui.asking.replace import ReplaceDialog
from ui.program import Program
from ui.withdrawn.page import WithdrawnPage


@pytest.fixture
def reader(qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None]) -> Reader:
    """Somebody at the register's page."""
    return Reader(qtbot, program, desk, settled)


def asked(reader: Reader, action: str) -> Dialog:
    """Do an action on the register's page and return the dialog that it opens."""
    reader.program.frame.deeds.actions[action].trigger()
    reader.qtbot.waitUntil(lambda: reader.page.deeds.renewal.dialog is not None)
    dialog = reader.page.deeds.renewal.dialog
    assert dialog is not None
    reader.qtbot.waitUntil(dialog.isActiveWindow)
    reader.settle()
    return dialog


def test_an_item_is_replaced_and_both_cards_name_the_other(reader: Reader, messages: RecordedMessages) -> None:
    reader.choose("RR-2")
    dialog = asked(reader, "item.replace")
    assert isinstance(dialog, ReplaceDialog)

    reader.confirm(dialog, Qt.Key.Key_R, ALT)
    assert "The tag is empty" in dialog.tag_field.complaint

    QTest.keyClicks(dialog.tag, "RR-4")
    QTest.keyClicks(dialog.serial, "S-77")
    reader.confirm(dialog, Qt.Key.Key_R, ALT)
    assert dialog.isVisible()
    assert "RR-4" in words_of(dialog)
    assert dialog.serial.text() == "S-77"

    dialog.tag.setText("RR-200")
    reader.confirm(dialog, Qt.Key.Key_R, ALT)
    assert messages.told[-1] == "RR-2 was removed for good; RR-200 takes its place."
    old, new = reader.desk.answer("RR-2"), reader.desk.answer("RR-200")
    assert old.removed == "replaced by RR-200"
    assert (new.kind, new.description, new.serial) == (old.kind, old.description, "S-77")
    reader.page.show_wanted(new.item_id)
    reader.shows("RR-200")
    assert "Replaces RR-2." in words_of(reader.page.card)
    reader.page.show_wanted(old.item_id)
    reader.shows("RR-2")
    assert "Replaced by RR-200." in words_of(reader.page.card)


def test_a_repair_is_noted_on_the_withdrawn_page_and_the_item_stays_out(
    qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None], messages: RecordedMessages
) -> None:
    desk.on(date(2026, 11, 20)).withdraw("RR-2", WithdrawalReason.DAMAGED, "OUT-2")
    program.frame.go("withdrawn")
    settled()
    page = program.frame.front
    assert isinstance(page, WithdrawnPage)
    page.refresh()
    settled()
    page.show_wanted(desk.id("RR-2"))
    program.frame.deeds.do("item.repaired")
    dialog = page.deeds.renewal.dialog
    assert isinstance(dialog, RepairDialog)
    qtbot.waitUntil(dialog.isActiveWindow)

    def note() -> None:
        (done,) = [each for each in dialog.findChildren(QPushButton) if each.property("kind") == "primary"]
        with qtbot.waitSignal(done.clicked):
            QTest.keyClick(dialog.focusWidget() or dialog, Qt.Key.Key_N, ALT)
        settled()

    note()
    assert dialog.by_field.complaint == "Say who repaired it."
    assert dialog.what_field.complaint == "Say what was done."

    QTest.keyClicks(dialog.by, "Workshop of the yard")
    QTest.keyClicks(dialog.what, "plug replaced")
    dialog.on.setText("2026-11-01")
    note()
    assert "was taken out of service on" in words_of(dialog)
    assert dialog.what.text() == "plug replaced"

    dialog.on.setText("2026-11-21")
    note()
    assert messages.told[-1] == "The repair of RR-2 is noted; it must pass before it is used."
    assert desk.answer("RR-2").withdrawn is not None
    with desk.read() as connection:
        (kept,) = repairs(connection, desk.id("RR-2"))
    assert (kept.on, kept.by, kept.what) == (date(2026, 11, 21), "Workshop of the yard", "plug replaced")
