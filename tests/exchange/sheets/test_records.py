"""Tests as rows tell of them: duties, readings, results, history, and what keeps one out."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from register.domain.items import SafetySwitch
from register.domain.measures import Measure, plain_number
from register.domain.words import Bound, Duty, Result, SetUp
from register.exchange.sheets.file_reading import FileReading
from register.exchange.sheets.mapping import Constants, Mapping, SheetMapping
from register.services.intake.rows import IntakeRecord
from tests.exchange.sheets.made_files import notes, read, refusals, text_table, workbook

DAY = datetime(2026, 4, 3)  # noqa: DTZ001 - as spreadsheets have it
LATER = datetime(2026, 9, 1)  # noqa: DTZ001 - as spreadsheets have it
TAG_AND_TEST, TRIP = Duty.INSPECTION_AND_TEST, Duty.OPERATING_TIME


def told(folder: Path, *rows: dict[str, Any]) -> FileReading:
    """Return what a sheet of tests says; each row gets a tag and a day."""
    heads = list(dict.fromkeys(head for row in rows for head in row))
    content = [["A1", DAY, *(row.get(head) for head in heads)] for row in rows]
    return read(workbook(folder / "made.xlsx", [["Tag", "Test date", *heads], *content]))


def shown(measure: Measure) -> str:
    """Return a measure as it is spoken of, without the zeros that a change of unit leaves."""
    return str(measure) if measure.value is None else str(replace(measure, value=Decimal(plain_number(measure.value))))


def only(reading: FileReading) -> IntakeRecord:
    (record,) = reading.rows.records
    return record


def test_a_test_is_taken_with_everything_that_its_row_says(tmp_path: Path) -> None:
    said = {
        "Test time": "2:05 pm",
        "Tested by": "Ruth Quillan",
        "Instrument": "7741-0093",
        "Work done": "T&T + RCD",
        "Visual": "ok",
        "Set-up": "return lead",
        "Outlet 1 0° (ms)": 21.4,
        "Outlet 1 180° (ms)": ">300",
        "Earth (Ω)": "0.11 ohm",
        "Insulation (MΩ)": ">19.99",
        "Polarity": "OK",
        "Result": "Fail",
        "Remarks": "slow",
    }
    record = only(told(tmp_path, said))
    test = record.record
    assert (record.tag, record.as_found, record.tester, record.instrument, record.remarks) == (
        "A1", Result.FAIL, "Ruth Quillan", "7741-0093", "slow",
    )  # fmt: skip
    assert (test.tested_on, test.tested_at, test.look, test.set_up) == (
        date(2026, 4, 3), time(14, 5), Result.PASS, SetUp.TESTER_FEEDS_DEVICE,
    )  # fmt: skip
    assert test.duties == (TAG_AND_TEST, TRIP)
    assert [(str(each.measure), each.outlet, each.half_cycle, each.multiple) for each in test.readings] == [
        ("21.4 ms", 1, 0, Decimal(1)),
        (">300 ms", 1, 180, Decimal(1)),
        ("0.11 Ω", None, None, None),
        (">19.99 MΩ", None, None, None),
        ("right", None, None, None),
    ]


@pytest.mark.parametrize(
    ("said", "duties"),
    [
        ({"Result": "Pass"}, (TAG_AND_TEST,)),
        ({"Visual": "Pass"}, (TAG_AND_TEST,)),
        ({"Result": "Pass", "Work done": "RCD test"}, (TRIP,)),
        ({"Result": "Pass", "Work done": "test & tag, RCD time"}, (TAG_AND_TEST, TRIP)),
        ({"Result": "Pass", "Work done": "n/a"}, (TAG_AND_TEST,)),
        ({"Result": "Pass", "Test type": "visual only"}, (Duty.FORMAL_VISUAL,)),
        ({"Result": "Pass", "Test type": "push button"}, (Duty.BUTTON_PRESS,)),
        ({"Result": "Pass", "Trip 0° (ms)": 21}, (TRIP,)),
        ({"Result": "Pass", "Trip 0° (ms)": 21, "Earth (Ω)": 0.2}, (TRIP, TAG_AND_TEST)),
        ({"Result": "Pass", "Trip 0° (ms)": 21, "Work done": "T&T"}, (TAG_AND_TEST, TRIP)),
        ({"Result": "Pass", "Trip 0° (ms)": "no reading"}, (TRIP,)),
        ({"Result": "Pass", "Ramp (mA)": 22}, (TRIP,)),
        ({"Result": "Pass", "Trip 0° (ms)": "-"}, (TAG_AND_TEST,)),
    ],
)
def test_a_test_claims_the_duties_named_or_those_of_its_readings(
    said: dict[str, Any], duties: tuple[Duty, ...], tmp_path: Path
) -> None:
    assert only(told(tmp_path, said)).record.duties == duties


@pytest.mark.parametrize(
    ("heading", "cell", "measures"),
    [
        ("Trip 0° (ms)", "28.4ms", ["28.4 ms"]),
        ("Trip 0° (ms)", "0.0284 s", ["28.4 ms"]),
        ("Trip 0° (s)", 0.0284, ["28.4 ms"]),
        ("Trip 0° (ms)", "no trip", ["no trip"]),
        ("Trip 0/180 (ms)", "21.4 / >300", ["21.4 ms", ">300 ms"]),
        ("Trip 0° (ms)", 28.400000000000002, ["28.4 ms"]),
        ("Trip 0° (ms)", "n/a", []),
        ("Insulation (MΩ)", ">1,000", [">1000 MΩ"]),
        ("Insulation (MΩ)", "1 GΩ", ["1000 MΩ"]),
        ("Earth (mΩ)", 120, ["0.12 Ω"]),
        ("Leakage (mA)", "<0.1", ["<0.1 mA"]),
        ("Polarity", "reversed", ["wrong"]),
        ("Polarity", True, ["right"]),
    ],
)
def test_readings_are_read_with_unit_and_bound(heading: str, cell: Any, measures: list[str], tmp_path: Path) -> None:  # noqa: ANN401
    other = {"Earth outlet 9 (Ω)": "0.25"} if "," in str(cell) else {}
    record = only(told(tmp_path, {"Result": "Pass", heading: cell, **other})).record
    found = [shown(each.measure) for each in record.readings if each.outlet != 9]
    assert found == measures


@pytest.mark.parametrize(
    ("heading", "cell", "why"),
    [
        ("Trip 0° (ms)", "2O.4", "is not a reading of trip time"),
        ("Trip 0° (ms)", -12.4, "is negative"),
        ("Trip 0° (ms)", 0, "is not possible"),
        ("Trip 0° (ms)", 284000, "beyond any instrument"),
        ("Trip 0° (ms)", "24 mA", "is in ms, not in “mA”"),
        ("Trip 0° (ms)", DAY, "is a date or time"),
        ("Trip 0/180 (ms)", "21.4", "two values with a slash"),
        ("Trip 0/180 (ms)", "1/2/3", "two values with a slash"),
        ("Earth (Ω)", "0.31 MΩ", "Check the column or the unit"),
        ("Trip 0° (ms)", "#DIV/0!", "shows an error of the spreadsheet"),
        ("Polarity", "maybe", "neither right nor wrong"),
        ("Result", "maybe", "It can be: pass, fail, incomplete"),
        ("Work done", "polish", "say what it means"),
        ("Visual", "so so", "It can be: pass, fail"),
        ("Set-up", "upside down", "It can be: tester-feeds-device"),
    ],
)  # fmt: skip
def test_a_wrong_cell_keeps_its_test_out_and_its_item_in(heading: str, cell: Any, why: str, tmp_path: Path) -> None:  # noqa: ANN401
    heads = ["Tag", "Site", "Kind", "Test date", *dict.fromkeys(["Result", heading])]
    row = ["A1", "YARD", "PRCD", DAY, *([cell] if heading == "Result" else ["Pass", cell])]
    reading = read(workbook(tmp_path / "made.xlsx", [heads, row]))
    assert len(reading.rows.items) == 1
    assert not reading.rows.records
    (problem,) = reading.rows.problems
    assert (problem.place.row, problem.column, problem.refused) == (2, heading, True)
    assert why in problem.reason


def test_a_word_in_a_column_of_values_is_left_out_and_noted(tmp_path: Path) -> None:
    reading = told(tmp_path, {"Result": "Pass", "Earth (Ω)": "OK", "Trip 0° (ms)": 21})
    assert [str(each.measure) for each in only(reading).record.readings] == ["21 ms"]
    assert notes(reading) == ["“OK” is a word where a value should be; this reading was left out."]


def test_a_trip_time_without_its_half_cycle_is_kept_in_words_and_claims_its_duty(tmp_path: Path) -> None:
    record = only(told(tmp_path, {"Result": "Pass", "Trip time (ms)": 24.1, "Remarks": "loud"}))
    assert record.record.readings == ()
    assert record.record.duties == (TRIP,)
    assert record.remarks == "loud; trip-time, 1×: 24.1 ms, half-cycle not stated"


@pytest.mark.parametrize(
    ("texts", "decimal", "values"),
    [
        (["0,31", "156,6"], "", ["0.31", "156.6"]),
        (["0,31", "1,234"], "", ["0.31", "1.234"]),
        (["0,31", "1.234,5"], "", ["0.31", "1234.5"]),
        (["0.31", "1,234"], "", ["0.31", "1234"]),
        (["1,234"], ",", ["1.234"]),
        (["1,234"], ".", ["1234"]),
        (["1.234"], ",", ["1234"]),
        (["28.4"], ",", ["28.4"]),
    ],
)
def test_decimal_and_thousands_signs_are_told_apart(
    texts: Sequence[str], decimal: str, values: list[str], tmp_path: Path
) -> None:
    rows = [
        ["Tag", "Test date", "Insulation (MΩ)", "Result"],
        *(["A1", f"{n}/4/26", text, "Pass"] for n, text in enumerate(texts, 13)),
    ]
    reading = read(text_table(tmp_path / "made.csv", rows, separator=";"), Mapping(decimal=decimal))
    assert [record.record.readings[0].measure.plain for record in reading.rows.records] == values


def test_a_number_that_can_be_two_is_refused(tmp_path: Path) -> None:
    reading = told(tmp_path, {"Insulation (MΩ)": "1,234", "Result": "Pass"})
    assert "can be read two ways" in reading.rows.problems[0].reason


def test_a_row_may_tell_of_tests_before_the_latest(tmp_path: Path) -> None:
    reading = told(
        tmp_path,
        {"Result": "Pass", "Previous test": "25/9/2025", "Previous result": "F", "Remarks": "new plug"},
        {"Result": "Pass"},
    )
    found = [(str(each.record.tested_on), each.as_found, each.remarks) for each in reading.rows.records]
    assert found == [
        ("2026-04-03", Result.PASS, "new plug"),
        ("2025-09-25", Result.FAIL, ""),
        ("2026-04-03", Result.PASS, ""),
    ]


def test_a_day_without_a_result_and_a_result_without_a_day_are_told(tmp_path: Path) -> None:
    rows = [
        ["Tag", "Test date", "Result"],
        ["A1", DAY, None],
        ["A2", None, "Pass"],
        ["A3", None, None],
        ["A4", DAY, "P"],
    ]
    reading = read(workbook(tmp_path / "made.xlsx", rows))
    assert [record.tag for record in reading.rows.records] == ["A4"]
    assert [(each.place.row, each.refused) for each in reading.rows.problems] == [(2, False), (3, True)]
    assert "not on which day" in reading.rows.problems[1].reason


def test_constants_stand_in_for_who_tested_and_for_a_result_that_is_nowhere_written(tmp_path: Path) -> None:
    rows = [["Tag", "Last tested", "Tested by"], ["A1", DAY, None], ["A2", DAY, "AP"]]
    path = workbook(tmp_path / "made.xlsx", rows)
    mapping = Mapping(values={"tester": {"AP": "Asha Pell"}})
    reading = read(path, mapping, constants=Constants(result="pass", tester="Ruth Quillan", instrument="7741"))
    assert [(each.tester, each.instrument, each.as_found) for each in reading.rows.records] == [
        ("Ruth Quillan", "7741", Result.PASS), ("Asha Pell", "7741", Result.PASS),
    ]  # fmt: skip


def test_tests_find_their_site_by_their_item_on_another_sheet(tmp_path: Path) -> None:
    tests = [["Tag", "Test date", "Result"], ["a1", DAY, "Pass"], ["Z9", DAY, "Pass"]]
    path = workbook(
        tmp_path / "made.xlsx", tests, title="Tests", more={"Items": [["Tag", "Site", "Kind"], ["A1", "YARD", "PRCD"]]}
    )
    assert [(each.tag, each.site) for each in read(path).rows.records] == [("A1", "YARD"), ("Z9", "")]


HISTORY = ["Tag", "Site", "Kind", "Area", "Test date", "Result"]


def test_a_row_a_test_gives_every_test_and_the_item_of_the_newest(tmp_path: Path) -> None:
    rows = [
        HISTORY,
        ["A1", "YARD", "PRCD", "Shed", LATER, "Pass"],
        ["A1", "YARD", "PRCD", "Hall", DAY, "Fail"],
        ["A2", "YARD", "PRCD", "Hall", None, None],
    ]
    reading = read(workbook(tmp_path / "made.xlsx", rows))
    assert [(item.tag, item.area, item.place.row) for item in reading.rows.items] == [
        ("A1", "Shed", 2),
        ("A2", "Hall", 4),
    ]
    assert len(reading.rows.records) == 2
    assert not reading.rows.problems


def test_a_row_a_test_that_contradicts_the_newest_is_noted_and_taken(tmp_path: Path) -> None:
    rows = [HISTORY, ["A1", "YARD", "PRCD", "", LATER, "Pass"], ["A1", "YARD", "Ext lead", "", DAY, "Pass"]]
    reading = read(workbook(tmp_path / "made.xlsx", rows))
    assert not refusals(reading)
    assert len(reading.rows.records) == 2
    (problem,) = reading.rows.problems
    assert (problem.place.row, problem.column, problem.value) == (3, "Kind", "extension-lead")
    assert "Row 2, the newest with tag A1, says “portable-safety-switch” instead" in problem.reason


def test_a_list_of_items_goes_before_what_rows_of_tests_say_of_them(tmp_path: Path) -> None:
    items = [["Tag", "Site", "Kind", "Area"], ["A1", "YARD", "PRCD", "Shed"]]
    tests = [
        HISTORY,
        ["A1", "YARD", "Ext lead", "Hall", LATER, "Pass"],
        ["A1", "YARD", "Ext lead", "Hall", DAY, "Pass"],
    ]
    reading = read(workbook(tmp_path / "made.xlsx", items, title="Items", more={"Tests": tests}))
    assert [(item.kind, item.area) for item in reading.rows.items] == [("portable-safety-switch", "Shed")]
    assert len(reading.rows.records) == 2


def test_a_mapping_may_say_that_rows_are_tests_or_items(tmp_path: Path) -> None:
    rows = [HISTORY, ["A1", "YARD", "PRCD", "", LATER, "Pass"], ["A1", "YARD", "PRCD", "", DAY, "Pass"]]
    path = workbook(tmp_path / "made.xlsx", rows)
    as_items = read(path, Mapping(sheets={"*": SheetMapping(rows_are="items")}))
    assert refusals(as_items) == [(3, "Tag", "A1")]
    assert len(as_items.rows.records) == 1
    assert as_items.mapping_used.sheets["Register"].rows_are == "items"
    assert len(read(path, Mapping(sheets={"*": SheetMapping(rows_are="tests")})).rows.records) == 2


def test_a_test_written_down_twice_is_taken_once(tmp_path: Path) -> None:
    reading = told(tmp_path, {"Result": "Pass"}, {"Result": "Pass"}, {"Result": "Fail"})
    assert len(reading.rows.records) == 2
    assert notes(reading) == ["The test of 2026-04-03 is the same as in row 2; it was taken once."]


def test_a_reading_of_an_outlet_that_is_not_there_keeps_the_test_out(tmp_path: Path) -> None:
    heads = ["Tag", "Site", "Kind", "Outlets", "Test date", "Result", "Outlet 1 0° (ms)", "Outlet 2 0° (ms)"]
    rows = [
        heads,
        ["A1", "YARD", "PRCD", 1, DAY, "Pass", 21, "22.5 ms"],
        ["A2", "YARD", "Class II", None, DAY, "Pass", None, 4],
    ]
    reading = read(workbook(tmp_path / "made.xlsx", rows))
    assert refusals(reading) == [(2, "Outlet 2 0° (ms)", "22.5 ms"), (3, "Outlet 2 0° (ms)", "4")]
    assert "the item has 1 outlet." in reading.rows.problems[0].reason
    assert "the item has no outlets." in reading.rows.problems[1].reason


def test_what_only_its_tests_tell_is_added_to_an_item(tmp_path: Path) -> None:
    heads = ["Tag", "Site", "Kind", "Test date", "Result", "Outlet 1 0° (ms)", "Outlet 3 0° (ms)"]
    reading = read(workbook(tmp_path / "made.xlsx", [heads, ["A1", "YARD", "Power board", DAY, "Pass", 21, 22]]))
    (item,) = reading.rows.items
    assert (item.outlets, item.safety_switch) == (3, SafetySwitch())
    assert not reading.rows.problems


def test_a_reading_keeps_its_bound(tmp_path: Path) -> None:
    (reading,) = only(told(tmp_path, {"Result": "Fail", "Outlet 2 180° 5x (ms)": "no trip"})).record.readings
    assert (reading.measure.bound, reading.outlet, reading.half_cycle, reading.multiple) == (
        Bound.NO_TRIP, 2, 180, Decimal(5),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("cell", "at", "told_so"),
    [
        ("14:05", time(14, 5), 0),
        (time(14, 5, 9), time(14, 5), 0),
        (datetime(2026, 4, 3, 14, 5, 8), time(14, 5), 0),  # noqa: DTZ001 - as spreadsheets have it
        ("n/a", None, 0),
        ("25:00", None, 1),
        ("noon", None, 1),
    ],
)
def test_a_time_of_day_that_is_none_is_noted_and_left_out(
    cell: Any,  # noqa: ANN401 - as a cell has it
    at: time | None,
    told_so: int,
    tmp_path: Path,
) -> None:
    reading = told(tmp_path, {"Result": "Pass", "Test time": cell})
    assert only(reading).record.tested_at == at
    assert len(notes(reading)) == told_so
