"""Cells merged over several rows, as people merge the name of a room beside its items."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from register.domain.words import Result
from register.errors import Refused
from register.exchange.sheets import merged
from register.exchange.sheets.cells import Row, Span
from register.exchange.sheets.merged import spread_down
from tests.exchange.sheets.made_files import read

ROWS: tuple[tuple[object, ...], ...] = (
    ("Tag", "Area", "Kind", "Test date", "Result"),
    ("S1", "Stage", "Extension lead", date(2026, 3, 14), "pass"),
    ("S2", None, "Extension lead", None, "fail"),
    ("S3", None, "Class I", None, None),
    ("S4", None, "Class II", date(2026, 3, 15), "pass"),
)


@pytest.fixture
def made(tmp_path: Path) -> Callable[[str], Path]:
    def make(*places: str) -> Path:
        book = Workbook()
        sheet = book.worksheets[0]
        assert isinstance(sheet, Worksheet)
        for row in ROWS:
            sheet.append(row)
        for place in places:
            sheet.merge_cells(place)
        book.save(tmp_path / "stage.xlsx")
        return tmp_path / "stage.xlsx"

    return make


def test_what_stands_in_a_merged_cell_is_taken_for_each_of_its_rows(made: Callable[..., Path]) -> None:
    reading = read(made("B2:B4", "D2:D4", "E3:E4"))

    assert [(each.tag, each.area) for each in reading.rows.items] == [
        ("S1", "Stage"), ("S2", "Stage"), ("S3", "Stage"), ("S4", ""),
    ]  # fmt: skip
    assert [(each.tag, each.record.tested_on.day, each.as_found) for each in reading.rows.records] == [
        ("S1", 14, Result.PASS), ("S2", 14, Result.FAIL), ("S3", 14, Result.FAIL), ("S4", 15, Result.PASS),
    ]  # fmt: skip
    (note,) = [each for each in reading.rows.problems if "merged" in each.reason]
    assert (note.place.row, note.refused) == (2, False)
    assert note.reason.startswith("3 cells are merged over several rows;")


def test_merged_headings_and_titles_are_read_as_they_stand(made: Callable[..., Path]) -> None:
    reading = read(made("A1:A2", "B2:E2"))

    assert [each.tag for each in reading.rows.items] == ["S2", "S3", "S4"]
    assert [each for each in reading.rows.problems if "merged" in each.reason] == []


def test_cells_of_their_own_are_kept_and_nothing_reaches_below_its_end() -> None:
    rows: list[Row] = [(1, ("a", "x")), (3, (None, "y", 3)), (4, ()), (9, (None,))]

    spread = list(spread_down(rows, [Span(1, 4, 0), Span(1, 9, 1), Span(2, 9, 2), Span(3, 3, 7), Span(4, 9, 2)]))

    assert spread == [(1, ("a", "x")), (3, ("a", "y", 3)), (4, ("a", "x")), (9, (None, "x"))]


def test_a_cell_merged_over_more_than_a_sheet_may_hold_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(merged, "MOST_CELLS", 1_000)
    rows = [(1, (*[None] * 199, "far")), *((number, ("a",)) for number in range(2, 10))]

    with pytest.raises(Refused, match="more than 1,000 cells once its merged ones are taken apart"):
        list(spread_down(rows, [Span(1, 1_048_576, 199)]))
