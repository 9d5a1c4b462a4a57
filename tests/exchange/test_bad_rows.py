"""A thousand rows of which 37 are bad: each of those is named, the others may come in or none, and all can be saved."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Final

import pytest
from openpyxl import load_workbook

from register.exchange.preview_book import write_preview
from register.exchange.taking_in import FileTaken, read_file, take_in_reading
from register.services.intake.taking_in import IntakeChoices
from register.store.engine import Register
from tests.desk import Desk
from tests.exchange.sheets.made_files import workbook
from tests.registers import ACTOR, TODAY, empty_file, path, register

__all__ = ["empty_file", "path", "register"]

ROWS, YARD = 1_000, IntakeChoices(site="YARD")
HEADS: Final = ["Tag", "Description", "Kind", "Outlets", "Tested on", "Result"]
FAULTS: Final = {
    "Kind": ("spaceship", "is not known here"),
    "Outlets": ("many", "is not a number from 1 to"),
    "Tag": ("", "no tag"),
    "Tested on": ("31/4/2026", "April 2026 has 30 days"),
}
"""What is wrong in a column, and how that is said."""


def rows() -> Iterator[tuple[list[object], str]]:
    """Yield the rows, and the column of each in which something is wrong."""
    names = list(FAULTS)
    for number in range(ROWS):
        day = date(2026, 1, 13) + timedelta(days=number % 200)
        row: list[object] = [f"A{number:04}", f"Drill {number}", "Class II", 1, f"{day:%d/%m/%Y}", "pass"]
        bad = names[number // 27 % len(names)] if number % 27 == 5 else ""
        if bad:
            row[HEADS.index(bad)] = FAULTS[bad][0]
        yield row, bad


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return workbook(tmp_path / "thousand.xlsx", [HEADS, *(row for row, _bad in rows())])


def take(desk: Desk, file: Path, *, dry_run: bool) -> FileTaken:
    reading = read_file(desk.register, file, YARD, today=TODAY)
    at = datetime.combine(TODAY, time(12), UTC)
    return take_in_reading(desk.register, file, reading, YARD, actor=ACTOR, at=at, today=TODAY, dry_run=dry_run)


def test_each_bad_row_is_named_with_its_column_value_and_reason_and_the_rest_may_come_in(
    register: Register, file: Path, tmp_path: Path
) -> None:
    desk = Desk(register)
    desk.site("YARD")
    wrong = {number: bad for number, (_row, bad) in enumerate(rows(), start=2) if bad}
    assert len(wrong) == 37
    before = desk.events()

    done = take(desk, file, dry_run=True)

    assert desk.events() == before, "none came in yet, and none need to"
    found = {each.place.row: each for each in done.taken.problems if each.refused}
    assert found.keys() == wrong.keys()
    for number, each in found.items():
        value, why = FAULTS[wrong[number]]
        assert (each.place.sheet, each.column, each.value) == ("Register", wrong[number], value)
        assert why in each.reason
    assert write_preview(file, done, tmp_path / "rows.xlsx", as_at=TODAY) == 37
    sheet = load_workbook(tmp_path / "rows.xlsx")["Register"]
    marked = {row[1]: row[2] for row in sheet.iter_rows(values_only=True) if str(row[0]).lower().endswith("left out")}
    assert marked.keys() == wrong.keys()
    assert sheet.max_row == ROWS + 1

    taken = take(desk, file, dry_run=False).taken
    of_tests = sum(bad == "Tested on" for bad in wrong.values())
    assert (taken.new_records, taken.refused, taken.tests_alone) == (ROWS - 37, 37, of_tests)
    assert taken.new_items == ROWS - 37 + of_tests
    assert desk.faults() == ()
