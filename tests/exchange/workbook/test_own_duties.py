"""What the owner and the users of the items have to do themselves, and the sheet on which they tick it off."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.workbook import Workbook

from register.domain.words import Duty, Standing
from register.exchange.workbook import write_owner_workbook
from register.services.owners.rows import OwnDutyRow
from tests.exchange.workbook.made_up import TODAY
from tests.exchange.workbook.test_sheets import table
from tests.held_report import HeldReport


def test_a_button_that_was_not_pressed_in_time_shows_by_how_much(report: HeldReport, tmp_path: Path) -> None:
    path = tmp_path / "owner.xlsx"
    own = replace(report.own_duties[0], due=date(2026, 4, 30))

    write_owner_workbook(replace(report, own_duties=(own,)), path)

    row = table(load_workbook(path), "Your duties")[0]
    assert (row["Days left or over"], row["This duty"]) == (-208, "Late")


def test_a_duty_of_a_user_that_is_late_marks_its_row_and_nothing_else_does(report: HeldReport, tmp_path: Path) -> None:
    path = tmp_path / "owner.xlsx"
    own = report.own_duties[0]
    overdue = replace(own.item, standing=Standing.OVERDUE)
    out = replace(own.item, standing=Standing.WITHDRAWN)
    rows = (
        replace(own, item=overdue, due=TODAY), replace(own, item=overdue, due=None),
        replace(own, item=out, due=date(2026, 4, 30)), replace(own, due=TODAY - timedelta(days=1)),
    )  # fmt: skip

    write_owner_workbook(replace(report, own_duties=rows), path)

    sheet = load_workbook(path)["Your duties"]
    assert [row["This duty"] for row in table(load_workbook(path), "Your duties")] == [
        "In time", "Not by date", "Not in use", "Late",
    ]  # fmt: skip
    column = next(cell.column_letter for cell in sheet[1] if cell.value == "This duty")
    whole_rows = [
        rule.formula for area in sheet.conditional_formatting for rule in area.rules if "$" in rule.formula[0]
    ]
    assert whole_rows == [[f'${column}2="Late"']] * 2


@pytest.mark.parametrize(
    ("duty", "instruction"),
    [
        (Duty.BUTTON_PRESS, "Press the test button"),
        (Duty.USER_CHECK, "Look over case, cord and plug"),
        (Duty.LOOK_BEFORE_HIRE, "Look it over and see that its tag is in date"),
    ],
)
def test_each_duty_of_a_user_is_an_instruction(
    report: HeldReport, tmp_path: Path, duty: Duty, instruction: str
) -> None:
    path = tmp_path / "owner.xlsx"
    own = OwnDutyRow(report.items[2].item, duty, "before each use", None, None, "a source")

    write_owner_workbook(replace(report, own_duties=(own,)), path)

    row = table(load_workbook(path), "Your duties")[0]
    assert row["What to do"].startswith(instruction)
    assert row["How often"] == "Before each use"


def test_the_tick_sheet_has_a_box_a_week_for_each_test_button(book: Workbook, report: HeldReport) -> None:
    heads = [str(cell.value) for cell in book["Tick sheet"][1]]
    pressed = [row.item.tag for row in report.own_duties if row.duty is Duty.BUTTON_PRESS]

    assert heads[4:] == [
        "23 Nov", "30 Nov", "7 Dec", "14 Dec", "21 Dec", "28 Dec", "4 Jan", "11 Jan", "18 Jan", "25 Jan", "1 Feb",
        "8 Feb", "15 Feb",
    ]  # fmt: skip
    assert [row["Tag"] for row in table(book, "Tick sheet")] == pressed
    box = book["Tick sheet"].cell(2, 5)
    assert (box.value, box.border.left.style, box.border.bottom.style) == (None, "thin", "thin")
