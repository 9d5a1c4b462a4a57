"""What an owner reads in each sheet, read back by two libraries that know nothing of how it was written."""

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

from register.domain.words import Duty, Kind, Standing
from register.exchange.workbook import write_owner_workbook
from register.exchange.workbook.owner_workbook import describe
from register.services.report_rows import OwnDutyRow, OwnerReport
from tests.exchange.workbook.made_up import FAILING_SWITCH, TITLES, TODAY


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


def test_the_cover_comes_first_and_then_the_sheets_in_the_order_of_its_contents(book: Workbook) -> None:
    assert book.sheetnames == ["Cover", *TITLES, "As sent"]


@pytest.mark.parametrize("title", TITLES)
def test_two_libraries_read_back_exactly_the_values_that_were_to_be_written(
    report: OwnerReport, written: Path, book: Workbook, title: str
) -> None:
    sheet = next(each for each in describe(report) if each.title == title)
    meant = [[plain(column.value(row)) for column in sheet.columns] for row in sheet.rows]
    heads = [column.title for column in sheet.columns]

    by_openpyxl = [[plain(value) for value in row] for row in book[title].iter_rows(values_only=True)]
    by_calamine = [
        [plain(value) for value in row]
        for row in CalamineWorkbook.from_path(written).get_sheet_by_name(title).to_python()
    ]

    assert by_openpyxl == [heads, *meant]
    assert by_calamine == [heads, *meant]


def test_what_is_reported_as_written_is_what_stands_in_the_file(report: OwnerReport, tmp_path: Path) -> None:
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
    for row in table(book, "Due and overdue"):
        if row["Due"] is None:
            assert row["Days left or over"] is None
        else:
            assert row["Days left or over"] == (row["Due"].date() - TODAY).days
            assert (row["Days left or over"] < 0) is (row["Standing"] == "Overdue")


def test_why_a_date_is_what_it_is_stands_apart_from_the_rule_and_those_who_disagree_with_it(book: Workbook) -> None:
    row = table(book, "Due and overdue")[0]

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
    report: OwnerReport, tmp_path: Path, why: tuple[str, ...], source: str, date_told: str | None, rule_told: str | None
) -> None:
    path = tmp_path / "owner.xlsx"
    due = replace(report.due[0], why=why, source=source, interval="each-use")

    write_owner_workbook(replace(report, due=(due,)), path)

    row = table(load_workbook(path), "Due and overdue")[0]
    assert (row["Why this date"], row["Where the rule stands"]) == (date_told, rule_told)
    assert row["Interval"] == "Before each use"


def test_a_button_that_was_not_pressed_in_time_shows_by_how_much(report: OwnerReport, tmp_path: Path) -> None:
    path = tmp_path / "owner.xlsx"
    own = replace(report.own_duties[0], due=date(2026, 4, 30))

    write_owner_workbook(replace(report, own_duties=(own,)), path)

    row = table(load_workbook(path), "Your duties")[0]
    assert row["Days left or over"] == -208


def test_a_date_that_is_missing_is_explained_beside_it(book: Workbook) -> None:
    for row in table(book, "Due and overdue"):
        assert row["Due"] is not None or row["Why this date"].startswith("Never done")
    for row in table(book, "Register"):
        assert row["Next due"] is not None or row["Remarks"]


def test_an_item_that_is_withdrawn_is_never_shown_as_merely_due(report: OwnerReport, tmp_path: Path) -> None:
    out = replace(report.due[0], item=FAILING_SWITCH, standing=Standing.DUE_SOON)
    path = tmp_path / "owner.xlsx"

    write_owner_workbook(replace(report, due=(out,)), path)

    assert [row["Standing"] for row in table(load_workbook(path), "Due and overdue")] == ["Withdrawn"]


def test_the_register_has_a_date_column_for_each_duty_that_an_item_has_and_no_other(book: Workbook) -> None:
    heads = [str(cell.value) for cell in book["Register"][1]]

    assert "Inspection and test due" in heads
    assert "Operating-time test due" in heads
    assert "Formal visual check due" not in heads


@pytest.mark.parametrize(
    ("duty", "instruction"),
    [
        (Duty.BUTTON_PRESS, "Press the test button"),
        (Duty.USER_CHECK, "Look over case, cord and plug"),
        (Duty.LOOK_BEFORE_HIRE, "Look it over and see that its tag is in date"),
    ],
)
def test_each_duty_of_a_user_is_an_instruction(
    report: OwnerReport, tmp_path: Path, duty: Duty, instruction: str
) -> None:
    path = tmp_path / "owner.xlsx"
    own = OwnDutyRow(report.items[2].item, duty, "before each use", None, None, "a source")

    write_owner_workbook(replace(report, own_duties=(own,)), path)

    row = table(load_workbook(path), "Your duties")[0]
    assert row["What to do"].startswith(instruction)
    assert row["How often"] == "Before each use"


def test_a_site_without_anything_gives_a_book_whose_sheets_say_so(tmp_path: Path, report: OwnerReport) -> None:
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
    said = {title: [cell for row in book[title].iter_rows(values_only=True) for cell in row] for title in TITLES}
    assert said == {
        "For your decision": [
            "Nothing waits for your decision. You can still answer or ask about any item in the register."
        ],
        "Register": ["No items are kept for this site yet."],
        "Due and overdue": ["Nothing is overdue, and nothing falls due in the days looked ahead."],
        "Withdrawn": ["Nothing is withdrawn."],
        "Failures": ["Nothing has failed."],
        "Your duties": ["The rules in force ask nothing of the users of these items."],
        "Test results": ["No test records are kept for these items."],
        "Readings": ["No readings are kept for these items."],
    }
    assert all(not book[title].tables for title in TITLES)
    assert set(done.rows.values()) == {0}
    assert book["Cover"]["A1"].value == "BRACK"


def test_an_item_without_a_description_is_called_by_its_kind(report: OwnerReport, tmp_path: Path) -> None:
    bare = replace(report.items[2], item=replace(report.items[2].item, kind=Kind.CORD_SET, description=""))
    path = tmp_path / "owner.xlsx"

    write_owner_workbook(replace(report, items=(bare,)), path)

    assert table(load_workbook(path), "Register")[0]["Item"] == "Cord set"


def test_the_same_report_gives_the_same_bytes_dated_on_its_own_day(report: OwnerReport, tmp_path: Path) -> None:
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


def test_text_longer_than_a_row_grows_is_read_from_its_beginning(report: OwnerReport, tmp_path: Path) -> None:
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
