"""Records kept: the years and the law, what is past them, and its removal only when somebody says so."""

from collections.abc import Callable
from datetime import date

import pytest
from pytestqt.qtbot import QtBot

from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from ui.firm.keeping import KeepingSection
from ui.firm.page import FirmPage
from ui.program import Program


@pytest.fixture
def section(program: Program, desk: Desk, settled: Callable[[], None]) -> KeepingSection:
    """The section, in a register with one record that is past its time and one that is still needed."""
    desk.item("OLD-1", since=date(2016, 1, 1))
    desk.test("OLD-1", date(2018, 5, 2))
    desk.test("OLD-1", date(2019, 5, 2))
    program.frame.go("firm", "keeping")
    settled()
    page = program.frame.front
    assert isinstance(page, FirmPage)
    found = page.front
    assert isinstance(found, KeepingSection)
    found.refresh()
    settled()
    return found


def test_it_says_how_long_and_why_and_what_is_past(section: KeepingSection) -> None:
    assert section.years.text().startswith("Kept for 7 years: everything since ")
    assert section.still.text() == "Older, and still needed because nothing followed: 1 record."
    assert [(row.year, row.records) for row in section.shelf.rows] == [(2018, 1)]
    assert section.remove_button.isEnabled()


def test_it_goes_only_when_somebody_agrees(
    section: KeepingSection, desk: Desk, messages: RecordedMessages, settled: Callable[[], None], qtbot: QtBot
) -> None:
    messages.agrees = False
    section.remove_button.click()
    settled()
    assert "1 record of before" in messages.asked[-1]
    assert section.shelf.rows
    messages.agrees = True
    section.remove_button.click()
    settled()
    qtbot.waitUntil(lambda: not section.shelf.rows)
    assert messages.told[-1].startswith("1 record and 0 photos of before ")
    assert section.still.text().endswith("Removed so far: 1.")
    assert not section.remove_button.isEnabled()
    assert desk.faults() == ()
