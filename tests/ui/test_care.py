"""What the window says of how safe the register is: its history against a report, the clock."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

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


def raw(desk: Desk, statement: str) -> None:
    with closing(sqlite3.connect(str(desk.register.path))) as file, file:
        file.execute(statement)


@pytest.mark.parametrize("size", [(1024, 600), (1440, 900)])
def test_what_is_wrong_has_room_in_a_window_of_any_size_and_goes_with_the_next_check(
    qtbot: QtBot, care: CareSection, program: Program, desk: Desk, settled: Callable[[], None], size: tuple[int, int]
) -> None:
    program.frame.resize(*size)
    raw(desk, "UPDATE duty SET due = '2030-01-01'")
    care.risk.say("gap", "Not a safe place for a register", "It lies where another program changes it. " * 4)
    care.risk.show()
    care.check()
    settled()
    lines = care.faults.text().splitlines()
    assert lines[1].startswith("RR-1, test-button press: due is kept as 1 Jan 2030")
    assert lines[-1].startswith("And ")
    for each in (care.faults, care.risk.more, care.checked.said, care.checked.more):
        qtbot.waitUntil(lambda each=each: each.height() >= each.heightForWidth(each.width()))
    path = Path(str(desk.register.path))
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\xff" * (len(whole) - 4096))
    care.check()
    settled()
    path.write_bytes(whole)
    assert care.checked.said.text() == "The check could not be done"
    assert not care.faults.isVisible()


def test_a_check_of_long_ago_is_said_to_be_that(
    care: CareSection, program: Program, settled: Callable[[], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    care.make_copy()  # what a check found is noted beside the copies
    settled()
    care.check()
    settled()
    later = program.jobs.now() + timedelta(days=30)
    monkeypatch.setattr(program.jobs, "now", lambda: later)
    care._told = None  # as in a window that is opened later
    care.refresh()
    settled()
    assert care.checked.said.text().startswith("All was well")
    assert care.checked.more.text() == "That says little of today. Check it again."


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
