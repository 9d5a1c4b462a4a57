"""What an owner reads in each sheet, read back by libraries that know nothing of how it was written."""

import csv
import io
import re
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from openpyxl import load_workbook
from openpyxl.workbook import Workbook
from python_calamine import CalamineWorkbook
from xlsx2csv import Xlsx2csv

from register.domain.words import Kind, Standing
from register.exchange.workbook import write_owner_workbook
from register.exchange.workbook.answers import marked
from register.exchange.workbook.decisions import decisions_sheet
from register.exchange.workbook.figures import figures_of
from register.exchange.workbook.item_sheets import tick_sheet
from register.exchange.workbook.looks import CellKind
from register.exchange.workbook.owner_workbook import describe
from register.services.owners.rows import Figures, MonthTested, OwnerReport, WeekAhead
from tests.exchange.workbook.made_up import FAILING_SWITCH, TITLES, TODAY
from tests.held_report import HeldReport


def table(book: Workbook, title: str) -> list[dict[str, Any]]:
    """Return the rows of one sheet by their headings."""
    heads, *rows = book[title].iter_rows(values_only=True)
    return [dict(zip(map(str, heads), row, strict=True)) for row in rows]


def plain(value: object) -> object:
    """Return a value as both libraries can agree on it: numbers as floats, dates as dates, nothing as empty."""
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, int | Decimal):
        return float(value)
    return "" if value is None else value


def as_text(value: object) -> str:
    """Return a value as text: a day by its ISO date, a number with the decimals that it was given."""
    return "" if value is None else f"{value:f}" if isinstance(value, Decimal) else str(value)


def test_the_cover_comes_first_and_then_the_sheets_in_the_order_of_its_contents(book: Workbook) -> None:
    assert book.sheetnames == ["Cover", *TITLES, "As sent"]


@pytest.mark.parametrize("title", TITLES)
def test_two_libraries_read_back_exactly_the_values_that_were_to_be_written(
    report: HeldReport, written: Path, book: Workbook, title: str
) -> None:
    sheet = next(marked(each) if each.compared else each for each in describe(report) if each.title == title)
    meant = [[plain(column.value(row)) for column in sheet.columns] for row in sheet.rows]
    heads = [column.title for column in sheet.columns]

    by_openpyxl = [[plain(value) for value in row] for row in book[title].iter_rows(values_only=True)]
    by_calamine = [
        [plain(value) for value in row]
        for row in CalamineWorkbook.from_path(written).get_sheet_by_name(title).to_python()
    ]

    assert by_openpyxl == [heads, *meant]
    assert by_calamine == [heads, *meant]


@pytest.mark.parametrize("title", TITLES)
def test_a_third_library_reads_every_cell_as_it_was_to_be_written(
    report: HeldReport, written: Path, title: str
) -> None:
    """The days left are left out: that library takes a format with a word in quotes for that of a date."""
    sheet = next(marked(each) if each.compared else each for each in describe(report) if each.title == title)
    columns = [column for column in sheet.columns if column.kind is not CellKind.DAYS_LEFT]
    reader = Xlsx2csv(written, outputencoding="utf-8", dateformat="%Y-%m-%d", ignore_formats=["float"])
    number = [each["name"] for each in reader.workbook.sheets].index(title) + 1
    text = io.StringIO()
    reader.convert(text, sheetid=number)
    text.seek(0)
    heads, *rows = csv.reader(text)
    assert heads == [column.title for column in sheet.columns]
    read = [dict(zip(heads, row, strict=True)) for row in rows]

    assert [[row[column.title] for column in columns] for row in read] == [
        [as_text(column.value(row)) for column in columns] for row in sheet.rows
    ]


def test_what_is_reported_as_written_is_what_stands_in_the_file(report: HeldReport, tmp_path: Path) -> None:
    path = tmp_path / "owner.xlsx"

    done = write_owner_workbook(report, path)

    assert done.path == path
    assert done.size == path.stat().st_size
    assert done.rows == {title: load_workbook(path)[title].max_row - 1 for title in TITLES}
    assert done.rows["Register"] == len(report.items)


def test_a_withdrawn_item_shows_each_failing_reading_with_its_limit_and_what_ends_it(book: Workbook) -> None:
    row = next(row for row in table(book, "Withdrawn") if row["Tag"] == FAILING_SWITCH.tag)

    assert row["Reading and limit"].split("\n") == [
        "Trip time at 1× at 180° on outlet 2: 312.4 ms, limit at most 300 ms",
        "Trip time at 5× at 0° on outlet 2: no trip, limit at most 40 ms",
        "Trip time at 5× at 180° on outlet 2: >200 ms, limit at most 40 ms",
    ]
    assert row["Out since"].date() == TODAY
    assert row["Out-of-service tag"] == "0312"
    assert row["What ends it"].startswith("A complete pass of inspection and test")


def test_failures_name_outlet_half_cycle_multiple_reading_and_limit_and_leave_corrected_records_out(
    book: Workbook,
) -> None:
    rows = [row for row in table(book, "Failures") if row["Tag"] == FAILING_SWITCH.tag]

    told = [(row["Outlet"], row["Half-cycle"], row["Multiple"], row["Reading"], row["Limit"]) for row in rows]
    assert told == [
        (2, 180, 1, "312.4 ms", "at most 300 ms"),
        (2, 0, 5, "no trip", "at most 40 ms"),
        (2, 180, 5, ">200 ms", "at most 40 ms"),
    ]


def test_a_failure_that_came_down_without_readings_is_a_failure_all_the_same(book: Workbook) -> None:
    row = table(book, "Failures")[-1]

    assert (row["Check"], row["Reading"]) == ("As found in earlier papers", None)
    assert row["What it means"] == "The sheet of an earlier contractor says fail."


def test_a_corrected_record_stays_visible_with_the_reason_and_decides_nothing(book: Workbook) -> None:
    corrected = [row for row in table(book, "Test results") if row["Verdict"] == "Superseded"]

    assert [row["Remarks"] for row in corrected] == [
        "Superseded on 24 Nov 2026 by Asha Pell: typed under the wrong tag. It read: fail."
    ]
    results = [row["Result"] for row in table(book, "Readings") if row["Tag"] == FAILING_SWITCH.tag]
    assert results.count("Fail") == 3
    assert results.count("Superseded") == 9


def test_a_bound_stands_in_a_column_of_its_own_so_that_the_value_stays_a_number(book: Workbook) -> None:
    readings = table(book, "Readings")

    told = {(row["Bound"], row["Value"], row["Unit"]) for row in readings if row["Check"] != "Look"}
    assert (">", 19.99, "MΩ") in told
    assert ("=", "right", None) in told
    assert ("no trip", None, None) in told
    assert ("=", 312.4, "ms") in told


def test_a_value_shows_as_many_decimals_as_the_instrument_printed(book: Workbook) -> None:
    sheet = book["Readings"]
    column = next(cell.column for cell in sheet[1] if cell.value == "Value")

    shown = {sheet.cell(row, column).value: sheet.cell(row, column).number_format for row in range(2, 12)}

    assert (shown[27.85], shown[31.0], shown[200]) == ("0.00", "0.0", "0")


def test_days_are_counted_from_the_day_of_the_report(book: Workbook) -> None:
    for row in (*table(book, "Overdue"), *table(book, "Next 13 weeks")):
        if row["Due"] is None:
            assert row["Days left or over"] is None
        else:
            assert row["Days left or over"] == (row["Due"].date() - TODAY).days
            assert (row["Days left or over"] < 0) is (row["Standing"] == "Overdue")


class Abroad(date):
    """A day on a computer that is set to another language: Python's own names of months follow it."""

    def __format__(self, form: str) -> str:
        return super().__format__(form.replace("%b", "Mär"))


def test_months_are_called_the_same_whatever_language_the_computer_is_set_to(report: HeldReport) -> None:
    counted = Figures(
        {Standing.OVERDUE: 1}, (WeekAhead(Abroad(2026, 3, 2), 1),), (MonthTested(Abroad(2026, 3, 1), 1, 0, 0),)
    )
    assert [figure.group for figure in figures_of(counted)][-2:] == ["2 Mar", "Mar 2026"]
    boxes = [
        each for each in tick_sheet(replace(report, as_at=Abroad(2026, 3, 4))).columns if each.kind is CellKind.BOX
    ]
    assert [box.title for box in boxes][:2] == ["2 Mar", "9 Mar"]


def test_why_a_date_is_what_it_is_stands_apart_from_the_rule_and_those_who_disagree_with_it(book: Workbook) -> None:
    row = table(book, "Overdue")[0]

    assert row["Why this date"] == (
        "Last done 6 Jun 2026 (pass, by Asha Pell). Construction: every 3 months, so due 6 Sep 2026."
    )
    assert row["Where the rule stands"] == (
        "Inspection and test every 3 months, a binding maximum: AS/NZS 3012:2019, periods of verification (restated). "
        "Another source says 1 month: trade restatements of AS/NZS 3012."
    )
    assert row["Interval"] == "3 months"


@pytest.mark.parametrize(
    ("why", "source", "date_told", "rule_told"),
    [
        (("Never done.",), "a table", "Never done.", "a table"),
        (("Never done.",), "", "Never done.", None),
        (("Every use: a table.", "Others differ."), "a table", None, "Every use: a table. Others differ."),
    ],
)
def test_reasons_without_a_sentence_about_the_rule_keep_its_source(
    report: HeldReport, tmp_path: Path, why: tuple[str, ...], source: str, date_told: str | None, rule_told: str | None
) -> None:
    path = tmp_path / "owner.xlsx"
    due = replace(report.due[0], why=why, source=source, interval="each-use")

    write_owner_workbook(replace(report, due=(due,)), path)

    row = table(load_workbook(path), "Overdue")[0]
    assert (row["Why this date"], row["Where the rule stands"]) == (date_told, rule_told)
    assert row["Interval"] == "Before each use"


def test_the_charts_are_printed_with_their_figures_on_one_page(book: Workbook) -> None:
    setup = book["In figures"].page_setup
    assert (setup.fitToWidth, setup.fitToHeight) == (1, 1)
    assert book["Register"].page_setup.fitToHeight == 0


def test_a_date_that_is_missing_is_explained_beside_it(book: Workbook) -> None:
    for row in table(book, "Overdue"):
        assert row["Due"] is not None or row["Why this date"].startswith("Never done")
    for row in table(book, "Register"):
        assert row["Next due"] is not None or row["Remarks"]


def test_an_item_that_is_withdrawn_is_never_shown_as_merely_due(report: HeldReport, tmp_path: Path) -> None:
    out = replace(report.due[0], item=FAILING_SWITCH, standing=Standing.DUE_SOON)
    path = tmp_path / "owner.xlsx"

    write_owner_workbook(replace(report, due=(out,)), path)

    assert [row["Standing"] for row in table(load_workbook(path), "Overdue")] == ["Withdrawn"]


def test_the_register_has_a_date_column_for_each_duty_that_an_item_has_and_no_other(book: Workbook) -> None:
    heads = [str(cell.value) for cell in book["Register"][1]]

    assert "Inspection and test due" in heads
    assert "Operating-time test due" in heads
    assert "Formal visual check due" not in heads


def test_a_site_without_anything_gives_a_book_whose_sheets_say_so(tmp_path: Path, report: HeldReport) -> None:
    bare = OwnerReport(
        firm="",
        owner="",
        site=replace(report.site, name=""),
        as_at=TODAY,
        looks_ahead_to=TODAY,
        events=0,
        chain_head="",
    )
    path = tmp_path / "owner.xlsx"

    done = write_owner_workbook(bare, path)

    book = load_workbook(path)
    said = {title: [cell for row in book[title].iter_rows(values_only=True) for cell in row] for title in TITLES[:-1]}
    assert said == {
        "For your decision": [
            "Nothing waits for your decision. You can still answer or ask about any item in the register."
        ],
        "Register": ["No items are kept for this site yet."],
        "Overdue": ["Nothing is overdue."],
        "Next 13 weeks": ["Nothing falls due in the next 13 weeks."],
        "Withdrawn": ["Nothing is withdrawn."],
        "Failures": ["Nothing has failed."],
        "Your duties": ["The rules in force ask nothing of the users of these items."],
        "Tick sheet": ["No test buttons are to be pressed."],
        "Test results": ["No test records are kept for these items."],
        "Readings": ["No readings are kept for these items."],
        "Your queries": ["You have asked nothing, and nothing waits for an answer."],
        "In figures": ["There is nothing to count yet."],
        "Rules used": ["No rule was needed for this report."],
    }
    assert all(not book[title].tables for title in said)
    assert {done.rows[title] for title in said} == {0}
    assert book["Cover"]["A1"].value == "BRACK"


def test_an_item_without_a_description_is_called_by_its_kind(report: HeldReport, tmp_path: Path) -> None:
    bare = replace(report.items[2], item=replace(report.items[2].item, kind=Kind.CORD_SET, description=""))
    path = tmp_path / "owner.xlsx"

    write_owner_workbook(replace(report, items=(bare,)), path)

    assert table(load_workbook(path), "Register")[0]["Item"] == "Cord set"


def test_of_an_item_never_tested_whole_no_day_to_come_is_said_to_have_passed(report: HeldReport) -> None:
    first, days = report.items[0], {Standing.UNTESTED: date(2028, 1, 9), Standing.OVERDUE: date(2026, 1, 9)}
    rows = [
        replace(first, item=replace(first.item, id=each, standing=each), next_due=day, not_found_on=None)
        for each, day in days.items()
    ]
    said = decisions_sheet(replace(report, withdrawn=(), items=tuple(rows))).rows
    assert [row.why for row in said] == ["No complete test is on record.", "Due since 9 Jan 2026."]


def test_the_same_report_gives_the_same_bytes_dated_on_its_own_day(report: HeldReport, tmp_path: Path) -> None:
    first, second = tmp_path / "first.xlsx", tmp_path / "second.xlsx"

    write_owner_workbook(report, first)
    write_owner_workbook(report, second)

    assert first.read_bytes() == second.read_bytes()
    with ZipFile(first) as archive:
        assert {part.date_time for part in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}, (
            "no part says when it was made"
        )
    about = load_workbook(first).properties
    assert about.created == about.modified == datetime(2026, 11, 24)  # noqa: DTZ001 - openpyxl reads it without zone


def test_text_longer_than_a_row_grows_is_read_from_its_beginning(report: HeldReport, tmp_path: Path) -> None:
    wordy = replace(report.items[2], remarks="Kept behind the welding set. " * 60)
    path = tmp_path / "owner.xlsx"

    write_owner_workbook(replace(report, items=(wordy, report.items[3])), path)

    sheet = load_workbook(path)["Register"]
    remarks = next(cell.column for cell in sheet[1] if cell.value == "Remarks")
    assert sheet.cell(2, remarks).alignment.vertical == "top"
    assert sheet.cell(3, remarks).alignment.vertical == "center"
    assert sheet.row_dimensions[2].height <= 409, "ECMA-376 part 1: no row is higher"


def test_days_out_are_counted_to_the_day_of_the_report(book: Workbook) -> None:
    out = {row["Tag"]: (row["Out since"].date(), row["Days out"]) for row in table(book, "Withdrawn")}

    assert out["0042"] == (date(2026, 10, 2), 53)


def test_what_is_overdue_and_what_is_ahead_are_parted_at_the_day_of_the_report(book: Workbook) -> None:
    overdue, ahead = table(book, "Overdue"), table(book, "Next 13 weeks")

    assert all(row["Due"] is None or row["Due"].date() < TODAY for row in overdue)
    assert all(row["Due"].date() >= TODAY for row in ahead)
    assert overdue
    assert ahead


def test_queries_are_listed_with_their_answers(book: Workbook) -> None:
    assert [(row["Query"], row["Answer"]) for row in table(book, "Your queries")] == [
        ("Is this one ours?", "Open"), ("Is this one ours?", "Yes, bought in May."),
    ]  # fmt: skip


def test_charts_take_their_bars_from_the_figures_and_differ_in_grey(book: Workbook, written: Path) -> None:
    rows = table(book, "In figures")
    places = {what: [number for number, row in enumerate(rows, 2) if row["What is counted"] == what] for what in (
        "Items by standing", "Duties due by week", "Tests by month",
    )}  # fmt: skip
    with ZipFile(written) as archive:
        charts = [archive.read(name).decode() for name in archive.namelist() if name.startswith("xl/charts/chart")]

    assert len(charts) == 3
    for chart, numbers in zip(charts, places.values(), strict=True):
        assert f"'In figures'!$C${numbers[0]}:$C${numbers[-1]}" in chart
        assert f"'In figures'!$B${numbers[0]}:$B${numbers[-1]}" in chart
    assert {"wdUpDiag", "pct20"} == set(re.findall('prst="([a-zA-Z0-9]+)"', charts[2])) - {"solid"}


def test_sheets_that_are_not_wanted_are_left_out_and_not_counted_on_the_cover(
    report: HeldReport, tmp_path: Path
) -> None:
    path = tmp_path / "owner.xlsx"

    done = write_owner_workbook(report, path, without={"Readings", "In figures"})

    book = load_workbook(path)
    assert set(book.sheetnames) == {"Cover", *TITLES, "As sent"} - {"Readings", "In figures"}
    assert "Readings" not in done.rows
    assert "Readings" not in {cell.value for (cell,) in book["Cover"].iter_rows(max_col=1)}
