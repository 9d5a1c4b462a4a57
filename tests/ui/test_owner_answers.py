"""The owner's answers come in through the window: shown with what they would do, ticked, and taken in once."""

from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import load_workbook
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from register.exchange.workbook import write_owner_workbook
from register.services.item_card import item_card
from register.services.owners.report import owner_report
from register.services.places import known_site
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from ui.look.widgets import Words
from ui.program import Program
from ui.sheets.owner_answers import OwnerAnswersDialog

ALT = Qt.KeyboardModifier.AltModifier


@pytest.fixture
def answered(desk: Desk, tmp_path: Path) -> Path:
    """The answers about a site of three items, one of which was tested since, and a cell typed over."""
    desk.site("QUAY", "residential")
    for number in (1, 2, 3):
        desk.item(f"Q{number}", site="QUAY")
    path = tmp_path / "quay.xlsx"
    with desk.read() as connection:
        write_owner_workbook(owner_report(connection, known_site(connection, "QUAY"), desk.today), path)
    book = load_workbook(path)
    sheet = book["Register"]
    heads = {cell.value: cell.column for cell in sheet[1]}
    for row, word in ((2, "Not found"), (3, "Disposed of"), (4, "Not found")):
        sheet.cell(row, heads["Your answer"], word)
    sheet.cell(2, heads["Serial number"], "typed over")
    book.save(path)
    desk.test("Q3")
    return path


def opened(program: Program, settled: Callable[[], None], path: Path) -> OwnerAnswersDialog:
    dialog = OwnerAnswersDialog(program.frame, program.desk, path)
    dialog.open()
    settled()
    return dialog


def says(dialog: OwnerAnswersDialog) -> str:
    return "\n".join(each.text() for each in dialog.findChildren(Words) if each.isVisible())


def ticks(dialog: OwnerAnswersDialog) -> dict[str, str]:
    rows = range(dialog._steps.rowCount())
    cells = [[dialog._steps.item(row, column) for column in (1, 0)] for row in rows]
    return {tag.text(): tick.text() for tag, tick in cells if tag is not None and tick is not None}


def test_what_is_ticked_is_done_and_nothing_else(
    qtbot: QtBot,
    answered: Path,
    program: Program,
    settled: Callable[[], None],
    desk: Desk,
    messages: RecordedMessages,
) -> None:
    before = desk.events()
    dialog = opened(program, settled, answered)
    assert ticks(dialog) == {"Q1": "Yes", "Q2": "Yes", "Q3": "No"}
    assert "Steps: 3, of which 2 ticked and 0" in says(dialog)
    assert "1 cell reads otherwise than sent" in says(dialog)
    assert desk.events() == before

    dialog._steps.setCurrentCell(0, 0)
    QTest.keyClick(dialog._steps, Qt.Key.Key_Space)
    assert ticks(dialog)["Q1"] == "No"
    assert "of which 1 ticked" in says(dialog)
    with qtbot.waitSignal(dialog._take.clicked):
        QTest.keyClick(dialog, Qt.Key.Key_T, ALT)
    settled()

    assert messages.told[-1] == "1 answer of Owner of QUAY taken in."
    assert desk.answer("Q1").not_found_on is None
    with desk.read() as connection:
        (query,) = item_card(connection, desk.id("Q2"), desk.today).queries
    assert query.asked_by == "Owner of QUAY"
    again = opened(program, settled, answered)
    assert "1 in the register already" in says(again)
    again.reject()


def test_a_file_that_is_no_owner_workbook_is_said_so(
    program: Program, settled: Callable[[], None], tmp_path: Path
) -> None:
    path = tmp_path / "list.csv"
    path.write_text("Tag\nQ1\n", encoding="utf-8")
    dialog = opened(program, settled, path)
    assert "no owner workbook" in says(dialog)
    assert not dialog._take.isEnabled()
    dialog.reject()


def test_a_long_story_and_many_notes_leave_the_steps_in_view(
    answered: Path, program: Program, settled: Callable[[], None]
) -> None:
    book = load_workbook(answered)
    sheet = book["Register"]
    heads = {cell.value: cell.column for cell in sheet[1]}
    sheet.cell(2, heads["Your comment"], "It is gone. " * 400)
    for row in (2, 3, 4):
        sheet.cell(row, heads["Test button pressed on"], "some day")
        sheet.cell(row, heads["Your answer"], "perhaps")
    book.save(answered)
    dialog = opened(program, settled, answered)
    steps, notes = dialog._steps, dialog._notes
    assert notes.rowCount() == 6
    head = notes.horizontalHeaderItem(0)
    assert head is not None
    assert head.text() == "6 things to be known of the file"
    assert notes.height() < dialog.height() // 2
    assert max(steps.rowHeight(row) for row in range(steps.rowCount())) < steps.viewport().height()
    cell = steps.item(0, 4)
    assert cell is not None
    assert cell.text().endswith("…")
    assert len(cell.toolTip()) > len(cell.text())
    dialog.reject()
