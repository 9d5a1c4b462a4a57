"""What the window says of how safe the register is: its history against a report, the clock."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import partial

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from register.services.places import owner_named
from register.services.settings import set_setting
from register.services.withdrawals.deeds import remove
from register.store import chain
from tests.desk import Desk
from tests.ui.conftest import TODAY, RecordedMessages, let_go, settle
from ui.firm.care import CareSection
from ui.firm.page import FirmPage
from ui.firm.report_dialog import ReportDialog
from ui.jobs import Clock
from ui.pages import MAKERS
from ui.program import Program, assemble


@pytest.fixture
def care(program: Program, settled: Callable[[], None]) -> CareSection:
    """The section Care of the register."""
    program.frame.go("firm", "care")
    settled()
    page = program.frame.front
    assert isinstance(page, FirmPage)
    assert isinstance(page.front, CareSection)
    return page.front


def held(program: Program, settled: Callable[[], None], events: str, mark: str) -> ReportDialog:
    """Hold the history against what a report says."""
    program.desk.deeds.do("register.report")
    settled()
    dialog = QApplication.activeModalWidget()
    assert isinstance(dialog, ReportDialog)
    dialog.events.setText(events)
    dialog.mark.setText(mark)
    dialog._hold()
    settled()
    return dialog


@pytest.mark.parametrize("sample", [True, False])
def test_only_where_the_program_checks_by_itself_it_says_so(
    care: CareSection, desk: Desk, settled: Callable[[], None], *, sample: bool
) -> None:
    with desk.change() as change:
        set_setting(change, "sample", sample)
    assert "by itself" not in care.checked.more.text()
    care.make_copy()  # what a check found is noted beside the copies
    settled()
    care.check()
    settled()
    care._told = None  # as in a window that is opened later
    care.refresh()
    settled()
    assert care.checked.said.text().startswith("All was well")
    assert ("by itself" in care.checked.more.text()) is not sample


def test_items_are_counted_as_at_the_foot_of_the_window_and_removed_ones_by_themselves(
    care: CareSection, program: Program, desk: Desk, settled: Callable[[], None]
) -> None:
    assert care.facts["Items"].text() == "4 at 1 site"
    with desk.change() as change:
        remove(change, desk.id("RR-4"), reason="Sold")
    program.jobs.changed.emit()
    settled()
    assert care.facts["Items"].text() == "3 at 1 site, 1 more removed"
    assert program.frame.status._about.text().endswith("3 items at 1 site")
    care.check()
    settled()
    assert care.checked.more.text().startswith("4 items with those removed, ")


def test_the_history_is_held_against_a_report(
    care: CareSection, program: Program, desk: Desk, settled: Callable[[], None]
) -> None:
    with desk.read() as connection:
        end = chain.head(connection)
    dialog = held(program, settled, "many", end.hash[:8])
    assert "“many” is no number of events" in dialog._wrong.text()
    dialog.reject()
    held(program, settled, f"{end.count:,}", end.hash[:8])
    assert care.checked.said.text() == "The history is the one of the report"
    held(program, settled, f"{end.count + 12:,}", end.hash[:8])
    assert care.checked.said.text() == "The history is not the one of the report"
    assert care.checked.more.text().endswith("the last 12 of them are missing.")


def test_a_clock_that_is_set_back_while_work_goes_on_is_warned_of_once(qtbot: QtBot, desk: Desk) -> None:
    moment = [datetime(2026, 11, 24, 13, tzinfo=UTC)]
    program = assemble(
        desk.register, Clock(TODAY, lambda: moment[0]), MAKERS, actor="Asha Pell", messages=RecordedMessages()
    )
    qtbot.addWidget(program.frame)
    program.frame.show()
    settle(qtbot, program.jobs)
    assert not program.frame.banner.isVisible()
    moment[0] -= timedelta(days=1)
    for name in ("Ridge Joinery", "Ridge Boats"):
        program.jobs.change(partial(owner_named, name=name), lambda _owner: None)
        settle(qtbot, program.jobs)
        assert program.frame.banner.isVisible() is (name == "Ridge Joinery")
        assert program.frame.banner.accessibleName().startswith("This computer's clock says 23 Nov 2026")
        program.frame.banner.read.click()
    assert desk.faults() == ()
    let_go(program.jobs)
