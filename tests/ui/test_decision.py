"""Another interval by decision, from the item's card and the firm's sites: shown before, refused aloud, ended again."""

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from register.domain.schedule import Scope
from register.domain.words import Kind
from register.services.deciding import deciding
from tests.desk import INSPECTION, Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.reader import CTRL, Reader, words_of
from ui.asking.decision import RULES, WEEKS, DecisionDialog
from ui.asking.fields import Field
from ui.firm.page import FirmPage
from ui.firm.sites import SitesSection
from ui.program import Program


@pytest.fixture
def reader(qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None]) -> Reader:
    """Somebody at the register's page."""
    return Reader(qtbot, program, desk, settled)


def opened(qtbot: QtBot, settle: Callable[[], None]) -> DecisionDialog:
    """Wait for the dialog."""
    qtbot.waitUntil(lambda: isinstance(QApplication.activeModalWidget(), DecisionDialog))
    dialog = QApplication.activeModalWidget()
    assert isinstance(dialog, DecisionDialog)
    qtbot.waitUntil(dialog.isActiveWindow)
    settle()
    dialog.duty.choose(INSPECTION)
    return dialog


def write(field: Field, said: str) -> None:
    line = field.widget
    assert isinstance(line, QLineEdit)
    line.clear()
    QTest.keyClicks(line, said)


def shown_effect(reader: Reader, dialog: DecisionDialog, said: str) -> None:
    reader.qtbot.waitUntil(lambda: dialog.effect.isVisible() and said in words_of(dialog))


def test_an_interval_is_decided_for_an_item_shown_before_it_holds_and_ended_again(
    reader: Reader, messages: RecordedMessages
) -> None:
    desk = reader.desk
    desk.on(date(2026, 9, 1)).test("RR-2")
    before = desk.dates("RR-2")["inspection-and-test"]
    reader.choose("RR-2")
    reader.program.frame.deeds.actions["item.interval"].trigger()
    dialog = opened(reader.qtbot, reader.settle)
    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)
    assert dialog.number_field.complaint
    assert dialog.reason.complaint == "Say why this interval is right."
    assert dialog.approver.complaint == "Say who approved it."

    events = desk.events()
    dialog.unit.choose(WEEKS)
    write(dialog.number_field, "2")
    shown_effect(reader, dialog, "1 of 1 item gets another date, 1 earlier.")
    assert desk.events() == events
    write(dialog.reason, "much handled")
    write(dialog.approver, "Ona Petrie")
    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)
    assert messages.told[-1].startswith("RR-2, inspection and test: every 2 weeks. 1 of 1 item gets another date")
    assert desk.dates("RR-2")["inspection-and-test"] == date(2026, 9, 15)

    reader.program.frame.deeds.actions["item.interval"].trigger()
    dialog = opened(reader.qtbot, reader.settle)
    assert "At present every 2 weeks: much handled." in words_of(dialog)
    dialog.unit.choose(RULES)
    shown_effect(reader, dialog, "1 of 1 item gets another date, 1 later.")
    assert not dialog.approver.isVisible()
    write(dialog.reason, "kept in the office now")
    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)
    assert desk.dates("RR-2")["inspection-and-test"] == before
    assert "the rulebook's interval holds again" in messages.told[-1]
    reader.program.frame.deeds.do("undo")
    reader.settle()
    assert desk.dates("RR-2")["inspection-and-test"] == date(2026, 9, 15)


def test_longer_than_a_rule_that_binds_is_refused_in_the_dialog_and_what_was_typed_stays(reader: Reader) -> None:
    desk = reader.desk
    desk.site("SITE9", "construction")
    desk.item("C-1", Kind.PORTABLE_SAFETY_SWITCH, site="SITE9")
    reader.page.refresh()
    reader.settle()
    reader.choose("C-1")
    reader.program.frame.deeds.actions["item.interval"].trigger()
    dialog = opened(reader.qtbot, reader.settle)
    write(dialog.reason, "hardly used")
    write(dialog.approver, "Ona Petrie")
    write(dialog.number_field, "48")
    reader.qtbot.waitUntil(lambda: "is a binding maximum by" in words_of(dialog))
    assert not dialog.effect.isVisible()
    reader.confirm(dialog, Qt.Key.Key_Return, CTRL)
    assert dialog.isVisible()
    assert "is a binding maximum by" in words_of(dialog)
    assert dialog.number.text() == "48"
    dialog.reject()


@pytest.mark.parametrize("scope", [Scope.SITE, Scope.AREA])
def test_an_interval_is_decided_for_a_site_and_for_an_area(
    qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None], scope: Scope
) -> None:
    program.frame.go("firm")
    settled()
    page = program.frame.front
    assert isinstance(page, FirmPage)
    section = page.front
    assert isinstance(section, SitesSection)
    section.decide(scope)
    dialog = opened(qtbot, settled)
    row = section.sites.current if scope is Scope.SITE else section.areas.current
    assert row is not None
    for field, said in ((dialog.number_field, "2"), (dialog.reason, "much handled"), (dialog.approver, "Ona Petrie")):
        write(field, said)
    qtbot.waitUntil(dialog.effect.isVisible)
    QTest.keyClick(dialog, Qt.Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: QApplication.activeModalWidget() is None)
    with desk.read() as connection:
        (held,) = deciding(connection, scope, row.id).in_force.values()  # type: ignore[attr-defined]
    assert (held.interval.words, held.reason, held.approver) == ("2 months", "much handled", "Ona Petrie")
