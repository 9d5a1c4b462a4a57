"""Where a table stands on its sheet, what is said above it, and what has to be asked."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from register.domain.words import Kind
from register.exchange.sheets.fields import ColumnUse, DateStyle, Field
from register.exchange.sheets.mapping import Constants, Mapping, SheetMapping
from tests.exchange.sheets.made_files import notes, read, refusals, workbook

HEADS = ["Tag", "Site", "Kind", "Description"]
ITEM = ["A1", "YARD", "Cord set", "Kettle cord"]
DAY = datetime(2026, 4, 3)  # noqa: DTZ001 - as spreadsheets have it


def test_headings_are_found_under_titles_and_blank_rows(tmp_path: Path) -> None:
    path = workbook(tmp_path / "made.xlsx", [["Register of the yard"], [], ["Printed", "3 May"], [], HEADS, ITEM])
    reading = read(path)
    assert [(item.tag, item.place.row) for item in reading.rows.items] == [("A1", 6)]
    assert reading.mapping_used.sheets["Register"].heading_row == 5


@pytest.mark.parametrize(
    ("line", "site", "name"),
    [
        (["Site:", "YARD", None, "The Yard"], "YARD", "The Yard"),
        (["Site: YARD"], "YARD", ""),
        (["Site", "YARD"], "YARD", ""),
        (["Site name:", "The Yard"], "The Yard", "The Yard"),
    ],
)
def test_the_site_may_stand_above_the_headings(line: Sequence[Any], site: str, name: str, tmp_path: Path) -> None:
    path = workbook(tmp_path / "made.xlsx", [["List"], line, [], ["Tag", "Kind", "Where"], ["A1", "Cord set", "Shed"]])
    reading = read(path)
    (item,) = reading.rows.items
    assert (item.site, item.site_name, item.area) == (site, name, "Shed")
    assert not reading.questions


def test_constants_go_before_what_stands_above_the_headings_and_below_the_cells(tmp_path: Path) -> None:
    rows = [["Site:", "OLD"], ["Tag", "Kind", "Owner"], ["A1", "Cord set", "Ada Quill"], ["A2", "Cord set", None]]
    reading = read(workbook(tmp_path / "made.xlsx", rows), constants=Constants(site="NEW", owner="Ben Marsh"))
    assert [(item.site, item.owner) for item in reading.rows.items] == [("NEW", "Ada Quill"), ("NEW", "Ben Marsh")]


def test_headings_in_two_rows_are_read_together(tmp_path: Path) -> None:
    rows = [
        ["Tag", "Site", "Kind", "Test date", "Trip time (ms)", None, "5x (ms)", None, "Result"],
        [None, None, None, None, "0°", "180°", "0°", "180°", None],
        ["A1", "YARD", "PRCD", DAY, 21.4, 22.6, 9.1, 9.9, "Pass"],
    ]
    reading = read(workbook(tmp_path / "made.xlsx", rows))
    (record,) = reading.rows.records
    assert [(reading.half_cycle, str(reading.multiple)) for reading in record.record.readings] == [
        (0, "1"), (180, "1"), (0, "5"), (180, "5"),
    ]  # fmt: skip
    assert record.place.row == 3


def test_units_may_stand_in_the_second_row_of_headings(tmp_path: Path) -> None:
    rows = [
        ["Tag", "Site", "Kind", "Test date", "Rated", "Trip 1xIdn", None, "Result"],
        [None, None, None, None, "mA", "0 deg", "180 deg", None],
        ["A1", "YARD", "PRCD", DAY, "30 mA", "21.4 ms", "22.6 ms", "Pass"],
    ]
    reading = read(workbook(tmp_path / "made.xlsx", rows))
    (record,) = reading.rows.records
    assert [reading.half_cycle for reading in record.record.readings] == [0, 180]
    (item,) = reading.rows.items
    assert item.safety_switch is not None
    assert str(item.safety_switch.rated_residual_ma) == "30"


@pytest.mark.parametrize("line", [["Sum", "2 devices", None, "2 passed"], ["Passed: 1", "Failed: 0"]])
def test_a_line_that_counts_the_rows_is_taken_for_a_total(line: Sequence[Any], tmp_path: Path) -> None:
    reading = read(workbook(tmp_path / "made.xlsx", [HEADS, ITEM, [], line]))
    assert [item.tag for item in reading.rows.items] == ["A1"]
    assert notes(reading) == ["This was taken for a total and left out."]


def test_a_band_of_words_over_the_headings_belongs_to_those_it_completes(tmp_path: Path) -> None:
    rows = [
        [None, "The item", None, "Trip time (ms)", None, "Outcome"],
        ["Tag", "Site", "Kind", "0°", "180°", "Result", "Test date"],
        ["A1", "YARD", "PRCD", 21.4, 22.6, "Pass", DAY],
    ]
    reading = read(workbook(tmp_path / "made.xlsx", rows))
    assert len(reading.rows.records[0].record.readings) == 2
    assert reading.rows.items[0].kind is Kind.PORTABLE_SAFETY_SWITCH


def test_headings_of_a_merged_title_are_read_as_they_look(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.worksheets[0]
    for row in [["Register of everything"], HEADS, ITEM]:
        sheet.append(row)
    sheet.merge_cells("A1:D1")
    book.save(tmp_path / "made.xlsx")
    assert len(read(tmp_path / "made.xlsx").rows.items) == 1


def test_a_mapping_may_name_the_row_of_headings(tmp_path: Path) -> None:
    path = workbook(tmp_path / "made.xlsx", [HEADS, ITEM, ["Nr", "Hof", "Art"], ["B1", "YARD", "Cord set"]])
    columns = {"Nr": ColumnUse(Field.TAG), "Hof": ColumnUse(Field.SITE), "Art": ColumnUse(Field.KIND)}
    mapping = Mapping(sheets={"Register": SheetMapping(heading_row=3, columns=columns)})
    assert [item.tag for item in read(path, mapping).rows.items] == ["B1"]


def test_a_sheet_that_is_no_list_is_left_out_and_that_is_said(tmp_path: Path) -> None:
    path = workbook(tmp_path / "made.xlsx", [HEADS, ITEM], more={"Read me": [["How to use this file"], ["Ask Ruth"]]})
    reading = read(path)
    assert not reading.questions
    assert any("No list of items or tests" in note for note in notes(reading))


def test_a_long_sheet_without_headings_is_not_read_to_its_end(tmp_path: Path) -> None:
    more = {"Figures": [[number, number * 2] for number in range(200)]}
    reading = read(workbook(tmp_path / "made.xlsx", [HEADS, ITEM], more=more))
    assert not reading.questions
    assert any("No list of items or tests" in note for note in notes(reading))


def test_a_mapping_may_leave_a_sheet_out(tmp_path: Path) -> None:
    path = workbook(tmp_path / "made.xlsx", [HEADS, ITEM], more={"Old": [HEADS, ["Z9", "YARD", "Cord set"]]})
    reading = read(path, Mapping(sheets={"old": SheetMapping(skip=True)}))
    assert [item.tag for item in reading.rows.items] == ["A1"]


QUESTIONS: dict[str, tuple[list[list[Any]], str]] = {
    "no headings at all": ([["x", "y"], [1, 2]], "No row of headings was found"),
    "no tag": ([["Number", "Site", "Kind"], ["A1", "YARD", "Cord set"]], "no column that is surely the tag"),
    "no site": ([["Tag", "Kind"], ["A1", "Cord set"]], "doesn't say at which site"),
    "no results": (
        [["Tag", "Site", "Kind", "Last tested"], ["A1", "YARD", "Cord set", DAY]],
        "gives test dates (“Last tested”) but neither results nor readings",
    ),
    "day or month first": (
        [["Tag", "Test date", "Result"], ["A1", "3/4/2026", "Pass"], ["A2", "5/6/2026", "Pass"]],
        '[sheets."Register".columns] "Test date" = { field = "tested-on", date_style = "…" }',
    ),
    "serial numbers": ([["Tag", "Test date", "Result"], ["A1", 46115, "Pass"]], 'write date_style = "serial"'),
    "two results": (
        [["Tag", "Test date", "Result", "Outcome"], ["A1", DAY, "Pass", "Pass"]],
        "has 2 columns for the result",
    ),
}


@pytest.mark.parametrize("name", QUESTIONS)
def test_what_is_not_sure_is_asked_with_what_to_write(name: str, tmp_path: Path) -> None:
    rows, asked = QUESTIONS[name]
    reading = read(workbook(tmp_path / "made.xlsx", rows))
    assert len(reading.questions) == 1
    assert asked in reading.questions[0]
    assert not [problem for problem in reading.rows.problems if problem.refused]


def test_an_answer_in_the_mapping_settles_the_question(tmp_path: Path) -> None:
    path = workbook(tmp_path / "made.xlsx", [["Tag", "Kind", "Last tested"], ["A1", "Cord set", DAY]])
    reading = read(path, constants=Constants(site="YARD", result="pass"))
    assert not reading.questions
    assert reading.rows.records[0].as_found == "pass"


def test_columns_named_by_a_mapping_and_not_there_are_noted_for_their_own_sheet_only(tmp_path: Path) -> None:
    columns = {"Ghost": ColumnUse(Field.SERIAL)}
    path = workbook(tmp_path / "made.xlsx", [HEADS, ITEM])
    own = read(path, Mapping(sheets={"Register": SheetMapping(columns=columns)}))
    assert [problem.column for problem in own.rows.problems] == ["Ghost"]
    assert not read(path, Mapping(sheets={"*": SheetMapping(columns=columns)})).rows.problems


def test_results_without_a_day_are_left_out_and_that_is_said_once(tmp_path: Path) -> None:
    rows = [[*HEADS, "Result"], [*ITEM, "Pass"], ["A2", *ITEM[1:], "Fail"]]
    reading = read(workbook(tmp_path / "made.xlsx", rows))
    assert not reading.rows.records
    assert len(reading.rows.items) == 2
    assert notes(reading) == ["There is no column with the day of this test, so “Result” were left out."]


def test_the_mapping_used_names_every_column_and_reads_the_file_the_same_again(tmp_path: Path) -> None:
    rows = [[*HEADS, "Shelf", "Test date", "Result"], [*ITEM, "4", "25/4/2026", "Pass"]]
    path = workbook(tmp_path / "made.xlsx", rows)
    first = read(path)
    used = first.mapping_used.sheets["Register"]
    assert used.columns["Shelf"] == ColumnUse(Field.IGNORE)
    assert str(used.columns["Test date"].date_styles[0]) == "d/m/y"
    again = read(path, first.mapping_used)
    assert again.rows == first.rows
    assert again.mapping_used == first.mapping_used


def test_a_tag_shown_with_leading_zeros_keeps_them(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.worksheets[0]
    for row in (["Tag", "Site", "Kind"], [42, "YARD", "Cord set"], [43, "YARD", "Cord set"]):
        sheet.append(row)
    sheet["A2"].number_format = "000000"
    book.save(tmp_path / "made.xlsx")
    assert [item.tag for item in read(tmp_path / "made.xlsx").rows.items] == ["000042", "43"]


def test_dates_count_from_1904_where_the_file_says_so(tmp_path: Path) -> None:
    book = Workbook()
    book.epoch = datetime(1904, 1, 1)  # noqa: DTZ001 - openpyxl has it so
    sheet = book.worksheets[0]
    for row in (["Tag", "Test date", "Result"], ["A1", DAY, "Pass"], ["A2", 44653, "Pass"]):
        sheet.append(row)
    book.save(tmp_path / "made.xlsx")
    use = ColumnUse(Field.TESTED_ON, date_styles=(DateStyle.SERIAL,))
    mapping = Mapping(sheets={"*": SheetMapping(columns={"Test date": use})})
    reading = read(tmp_path / "made.xlsx", mapping)
    assert not refusals(reading)
    assert {str(record.record.tested_on) for record in reading.rows.records} == {"2026-04-03"}
