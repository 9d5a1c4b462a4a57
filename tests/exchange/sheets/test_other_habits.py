"""Lists kept by somebody else's habits: each comes in with at most three corrections, and nothing in it is mistaken."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Final

import pytest
from openpyxl import Workbook

from register.domain.words import Duty, Kind, Result
from register.exchange.sheets.corrected import with_column, with_titles, with_word
from register.exchange.sheets.fields import ColumnUse, Field
from register.exchange.sheets.file_reading import FileReading
from register.exchange.sheets.mapping import Constants
from register.exchange.sheets.mapping import Mapping as SheetMapping
from tests.exchange.sheets.made_files import read

MOST_CORRECTIONS: Final = 3
Correction = Callable[[SheetMapping], SheetMapping]


def corrected(path: Path, *corrections: Correction) -> FileReading:
    """Read a file of the yard with corrections made one by one, as in the dialog."""
    assert len(corrections) <= MOST_CORRECTIONS
    mapping = SheetMapping()
    for correction in corrections:
        mapping = correction(mapping)
    return read(path, mapping, constants=Constants(site="YARD"))


def column(sheet: str, heading: str, field: Field) -> Correction:
    return lambda mapping: with_column(mapping, sheet, heading, ColumnUse(field))


def word(table: str, text: str, meaning: str) -> Correction:
    return lambda mapping: with_word(mapping, table, text, meaning)


def items(reading: FileReading) -> dict[str, tuple[Kind | None, str, str]]:
    return {each.tag: (each.kind, each.area, each.description) for each in reading.rows.items}


def done(reading: FileReading) -> list[tuple[str, date, Result | None]]:
    return sorted((each.tag, each.record.tested_on, each.as_found) for each in reading.rows.records)


def sound(reading: FileReading) -> None:
    """Nothing is asked, and nothing is left out."""
    assert reading.questions == ()
    assert [each for each in reading.rows.problems if each.refused] == []


@pytest.fixture
def by_rooms(tmp_path: Path) -> Path:
    """Rooms as titles between the rows with a subtotal after each, merged titles above, real dates, a legend below."""
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Whole house"
    sheet.append(["SAFETY CHECKS, HOUSE AND GROUNDS"])
    sheet.merge_cells("A1:F1")
    sheet.append(["kept by the caretaker, printed for the office"])
    sheet.append([])
    sheet.append(["Label", "What", "Sort", "Checked on", "OK?", "Remarks"])
    rooms: Mapping[str, Sequence[tuple[str, str, str, date, str, str]]] = {
        "Laundry": [
            ("H-101", "Iron", "Class I", date(2026, 3, 2), "ok", ""),
            ("H-102", "Steam press", "Class I", date(2026, 3, 2), "not ok", "flex burnt"),
        ],
        "Kitchen, ground floor": [("H-103", "Mixer", "Class II", date(2026, 3, 14), "ok", "")],
        "Hall": [
            ("H-104", "Lead to the stage", "Ext lead 20m", date(2026, 3, 14), "ok", "retaped"),
            ("H-105", "Board behind the stage", "4 way power board + RCD", date(2026, 3, 15), "ok", ""),
        ],
    }
    for room, rows in rooms.items():
        sheet.append([room])
        for row in rows:
            sheet.append(list(row))
        sheet.append(["Subtotal", f"{len(rows)} items"])
    sheet.append(["Total", "5 items"])
    sheet.append(["ok = may be used, not ok = put away"])
    book.save(tmp_path / "house.xlsx")
    return tmp_path / "house.xlsx"


def test_rooms_between_the_rows_become_areas(by_rooms: Path) -> None:
    sheet = "Whole house"
    reading = corrected(
        by_rooms,
        column(sheet, "Label", Field.TAG),
        column(sheet, "Sort", Field.KIND),
        lambda mapping: with_titles(mapping, sheet, "area"),
    )
    sound(reading)
    assert items(reading) == {
        "H-101": (Kind.APPLIANCE_CLASS_1, "Laundry", "Iron"),
        "H-102": (Kind.APPLIANCE_CLASS_1, "Laundry", "Steam press"),
        "H-103": (Kind.APPLIANCE_CLASS_2, "Kitchen, ground floor", "Mixer"),
        "H-104": (Kind.EXTENSION_LEAD, "Hall", "Lead to the stage"),
        "H-105": (Kind.PORTABLE_OUTLET_DEVICE, "Hall", "Board behind the stage"),
    }
    assert done(reading) == [
        ("H-101", date(2026, 3, 2), Result.PASS), ("H-102", date(2026, 3, 2), Result.FAIL),
        ("H-103", date(2026, 3, 14), Result.PASS), ("H-104", date(2026, 3, 14), Result.PASS),
        ("H-105", date(2026, 3, 15), Result.PASS),
    ]  # fmt: skip


@pytest.fixture
def side_by_side(tmp_path: Path) -> Path:
    """Two items in each row, with an empty column between them, to save paper; the last row is half filled."""
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Tools"
    sheet.append(["Tools lent out, spring round"])
    heads = ["Tag", "Equipment", "Group", "Test date", "P/F"]
    sheet.append([*heads, None, *heads])
    rows = [
        ("T1", "Drill", "DI", "21.3.26", "P"), ("T2", "Saw", "DI", "22.3.26", "P"),
        ("T3", "Reel", "ext", "21.3.26", "F"),
        ("T4", "Pump", "earthed", "4.4.26", "P"), ("T5", "Kettle lead", "IEC lead", "4.4.26", "P"),
    ]  # fmt: skip
    for left, right in ((0, 1), (2, 3)):
        sheet.append([*rows[left], None, *rows[right]])
    sheet.append([*rows[4]])
    book.save(tmp_path / "tools.xlsx")
    return tmp_path / "tools.xlsx"


def test_two_items_in_a_row_are_two_rows(side_by_side: Path) -> None:
    reading = corrected(side_by_side, column("Tools", "Group", Field.KIND))
    sound(reading)
    assert items(reading) == {
        "T1": (Kind.APPLIANCE_CLASS_2, "", "Drill"), "T2": (Kind.APPLIANCE_CLASS_2, "", "Saw"),
        "T3": (Kind.EXTENSION_LEAD, "", "Reel"), "T4": (Kind.APPLIANCE_CLASS_1, "", "Pump"),
        "T5": (Kind.CORD_SET, "", "Kettle lead"),
    }  # fmt: skip
    assert [(tag, on) for tag, on, _ in done(reading)] == [
        ("T1", date(2026, 3, 21)), ("T2", date(2026, 3, 22)), ("T3", date(2026, 3, 21)), ("T4", date(2026, 4, 4)),
        ("T5", date(2026, 4, 4)),
    ]  # fmt: skip
    assert {each.place.row for each in reading.rows.items} == {3, 4, 5}


FIXED: Final = """\
LISTING OF ELECTRICAL ITEMS                                  PAGE 1

ITEM NO   DESCRIPTION            KIND              TESTED     RES  EARTH    INSUL
                                                                   OHM      MOHM
000101    Bench grinder          class I           07.09.26   P    0,12     >200
000102    Lead, yellow, 10 m     extension lead    18.09.26   P    0,31     >200
000103    Hot air gun            class II          18.09.26   F             0,4
000104    Switch for outside     portable RCD      19.09.26   P    0,08     >200
-----------------------------------------------------------------------------
TOTAL     4 ITEMS
"""


def test_a_listing_of_fixed_widths_is_cut_where_its_columns_stand(tmp_path: Path) -> None:
    path = tmp_path / "listing.txt"
    path.write_bytes(FIXED.encode("cp1252"))
    reading = corrected(path, column("listing", "ITEM NO", Field.TAG), column("listing", "RES", Field.RESULT))
    sound(reading)
    assert items(reading) == {
        "000101": (Kind.APPLIANCE_CLASS_1, "", "Bench grinder"),
        "000102": (Kind.EXTENSION_LEAD, "", "Lead, yellow, 10 m"),
        "000103": (Kind.APPLIANCE_CLASS_2, "", "Hot air gun"),
        "000104": (Kind.PORTABLE_SAFETY_SWITCH, "", "Switch for outside"),
    }
    assert done(reading) == [
        ("000101", date(2026, 9, 7), Result.PASS), ("000102", date(2026, 9, 18), Result.PASS),
        ("000103", date(2026, 9, 18), Result.FAIL), ("000104", date(2026, 9, 19), Result.PASS),
    ]  # fmt: skip


@pytest.fixture
def by_months(tmp_path: Path) -> Path:
    """A tab for each month, the same items again and again, two rows of headings, decimal commas, a tab of notes."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for month, day, trips in (("Jan", 14, ("24,1", "26")), ("Apr", 15, ("25,3", "27,9")), ("Jul", 16, ("24", "310"))):
        sheet = book.create_sheet(month)
        sheet.append([f"Safety switches, {month} 2026"])
        sheet.append(["Tag", "Place", "What is it", "On", "By", "Trip time (ms)"])
        sheet.append([None, None, None, None, None, "0°", "180°"])
        number = {"Jan": 1, "Apr": 4, "Jul": 7}[month]
        for tag, place in (("S1", "Bar"), ("S2", "Yard")):
            sheet.append([tag, place, "plug-in RCD", f"{day}.{number}.2026", "AP", *trips])
    book.create_sheet("Notes").append(["Ask for the key at the bar."])
    book.save(tmp_path / "months.xlsx")
    return tmp_path / "months.xlsx"


def test_a_tab_for_each_month_is_one_history(by_months: Path) -> None:
    everywhere = "*"
    reading = corrected(
        by_months,
        column(everywhere, "What is it", Field.KIND),
        column(everywhere, "On", Field.TESTED_ON),
        word("tester", "AP", "Asha Pell"),
    )
    sound(reading)
    assert items(reading) == {
        "S1": (Kind.PORTABLE_SAFETY_SWITCH, "Bar", ""), "S2": (Kind.PORTABLE_SAFETY_SWITCH, "Yard", ""),
    }  # fmt: skip
    assert [(tag, on) for tag, on, _ in done(reading)] == [
        (tag, date(2026, month, day)) for tag in ("S1", "S2") for month, day in ((1, 14), (4, 15), (7, 16))
    ]
    assert {(duty, len(each.record.readings)) for each in reading.rows.records for duty in each.record.duties} == {
        (Duty.OPERATING_TIME, 2)
    }
    assert {each.tester for each in reading.rows.records} == {"Asha Pell"}


@pytest.mark.parametrize("name", ["by_rooms", "side_by_side", "by_months"])
def test_without_a_correction_nothing_is_mistaken_for_something_else(name: str, request: pytest.FixtureRequest) -> None:
    """What the program does not understand by itself it leaves out, and says so; it takes no column for another."""
    reading = corrected(request.getfixturevalue(name))
    taken = {each.heading: each.proposal for each in reading.suggestions if each.taken}
    right = {
        "Label": "tag", "What": "description", "Checked on": "tested-on", "Remarks": "remarks", "Tag": "tag",
        "Equipment": "description", "Test date": "tested-on", "P/F": "result", "Place": "area", "By": "tester",
        "Trip time (ms) 0°": "trip-time, 0°, 1×", "Trip time (ms) 180°": "trip-time, 180°, 1×", "Group": "kind",
        "OK?": "result",
    }  # fmt: skip
    assert taken.items() <= right.items()
