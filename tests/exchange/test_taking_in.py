"""Taking a file in: its rows with what becomes of each as a workbook, and its mapping remembered for the next file."""

from dataclasses import replace
from datetime import UTC, datetime, time
from pathlib import Path

import pytest
from openpyxl import load_workbook

from register.errors import Refused
from register.exchange.preview_book import write_preview
from register.exchange.sheets.corrected import uses, with_column, with_word
from register.exchange.sheets.fields import ColumnUse, Field
from register.exchange.sheets.mapping import Constants, Mapping
from register.exchange.taking_in import FileTaken, read_file, take_in_reading
from register.services.intake.taking_in import IntakeChoices
from register.services.undo import Steps
from register.store.engine import Register
from tests.desk import Desk
from tests.exchange.sheets.made_files import text_table, workbook
from tests.registers import ACTOR, TODAY, changing, empty_file, path, register

__all__ = ["empty_file", "path", "register"]

HEADS = ["Tag", "What", "Gruppe", "Tested", "Result"]
ROWS = [
    ["A1", "=1+1", "lead", "13/10/2026", "pass"],
    ["A2", "Drill", "bohrer", "14/10/2026", "pass"],
    ["A3", "Kettle", "cord", "31/4/2026", "pass"],
    ["", "Jug", "cord", "15/10/2026", "pass"],
    ["Total", "4"],
]
SAW = ["A1", "Saw", "lead", "13/10/2026", "pass"]
SAID = Mapping(source="Harbour list")
for heading, use in (("Gruppe", ColumnUse(Field.KIND)), ("What", ColumnUse(Field.DESCRIPTION))):
    SAID = with_column(SAID, "list", heading, use)
SAID = with_word(with_word(SAID, "kind", "lead", "extension-lead"), "kind", "cord", "cord-set")
YARD = IntakeChoices(site="YARD")


@pytest.fixture
def desk(register: Register) -> Desk:
    desk = Desk(register)
    desk.site("YARD")
    desk.site("MILL")
    return desk


def take(
    desk: Desk, file: Path, mapping: Mapping | None = None, choices: IntakeChoices = YARD, *, dry_run: bool = False
) -> FileTaken:
    reading = read_file(desk.register, file, choices, today=TODAY, mapping=mapping)
    at = datetime.combine(TODAY, time(12), UTC)
    return take_in_reading(desk.register, file, reading, choices, actor=ACTOR, at=at, today=TODAY, dry_run=dry_run)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return text_table(tmp_path / "list.csv", [HEADS, *ROWS])


def test_each_row_stands_in_the_preview_with_what_becomes_of_it_and_why(desk: Desk, file: Path, tmp_path: Path) -> None:
    done = take(desk, file, SAID, dry_run=True)
    assert write_preview(file, done, tmp_path / "preview.xlsx", as_at=TODAY) == 3
    sheet = load_workbook(tmp_path / "preview.xlsx")["list"]
    rows = list(sheet.iter_rows(min_row=2, values_only=True))
    assert [cell.value for cell in sheet[1]][3:] == HEADS
    assert [(row[0], row[1]) for row in rows] == [
        ("New item, new test", 2), ("Left out", 3), ("Test left out", 4), ("Left out", 5), ("Passed over", 6),
    ]  # fmt: skip
    assert [cell.data_type for cell in sheet[2]][4] == "s"
    assert rows[0][4] == "=1+1"
    assert "“bohrer” is not known here" in str(rows[1][2])
    assert "Tested: The item comes in without this test. “31/4/2026” is not in the calendar" in str(rows[2][2])
    assert (done.taken.refused, done.taken.tests_alone) == (3, 1)
    whole_rows = {rule.formula[0] for area in sheet.conditional_formatting for rule in area.rules}
    assert whole_rows == {'$A2="Left out"', '$A2="Test left out"'}
    take(desk, file, SAID)
    again = take(desk, file, SAID, dry_run=True)
    write_preview(file, again, tmp_path / "preview.xlsx", as_at=TODAY)
    (first, *_) = load_workbook(tmp_path / "preview.xlsx")["list"].iter_rows(min_row=2, values_only=True)
    assert first[0] == "As it was"


def test_a_preview_that_was_mended_is_taken_in_like_the_list_itself(desk: Desk, file: Path, tmp_path: Path) -> None:
    write_preview(file, take(desk, file, SAID, dry_run=True), tmp_path / "preview.xlsx", as_at=TODAY)
    book = load_workbook(tmp_path / "preview.xlsx")
    sheet = book["list"]
    sheet["F3"], sheet["G4"], sheet["D5"] = "cord", "30/4/2026", "A4"
    book.save(tmp_path / "mended.xlsx")
    taken = take(desk, tmp_path / "mended.xlsx", SAID).taken
    assert (taken.new_items, taken.new_records, taken.refused) == (4, 4, 0)


def test_a_preview_is_read_as_its_list_was_without_being_told_again(desk: Desk, tmp_path: Path) -> None:
    file = workbook(tmp_path / "list.xlsx", [["List of the yard"], [], HEADS, SAW, ROWS[1]], title="list")
    said = replace(SAID, sheets={"list": replace(SAID.sheets["list"], heading_row=3)})
    done = take(desk, file, said)
    write_preview(file, done, tmp_path / "preview.xlsx", as_at=TODAY)
    book = load_workbook(tmp_path / "preview.xlsx")
    book["list"]["F3"] = "cord"
    book.save(tmp_path / "mended.xlsx")
    again = take(desk, tmp_path / "mended.xlsx")
    assert again.reading.remembered == "Harbour list"
    assert (again.taken.new_items, again.taken.same_items, again.taken.refused) == (1, 1, 0)


def test_a_name_that_no_sheet_can_have_is_no_hindrance(desk: Desk, tmp_path: Path) -> None:
    for name in ("a[b]c*d.csv", "'.csv", f"{'long ' * 12}.csv"):
        file = text_table(tmp_path / name, [["Tag", "Kind"], ["A1", "Cord set"]])
        assert write_preview(file, take(desk, file, dry_run=True), tmp_path / "preview.xlsx", as_at=TODAY) == 0


def test_a_mapping_is_remembered_by_the_headings_and_used_for_the_next_file(
    desk: Desk, file: Path, tmp_path: Path
) -> None:
    take(desk, file, Mapping(SAID.source, SAID.sheets, SAID.values, Constants(site="MILL")))
    other = text_table(
        tmp_path / "next.csv", [[each.upper() for each in HEADS], ["B1", "Saw", "lead", "16/10/2026", "p"]]
    )
    done = take(desk, other)
    assert done.reading.remembered == "Harbour list"
    assert (done.taken.new_items, done.taken.new_records, done.taken.refused) == (1, 1, 0)
    assert desk.id("B1", "YARD")
    with pytest.raises(Refused, match="doesn't say at which site"):
        take(desk, other, choices=IntakeChoices())


def test_a_dry_run_remembers_nothing_and_reading_afresh_forgets(desk: Desk, file: Path) -> None:
    take(desk, file, SAID, dry_run=True)
    assert take(desk, file, dry_run=True).reading.remembered == ""
    take(desk, file, SAID)
    assert take(desk, file, dry_run=True).reading.remembered == "Harbour list"
    take(desk, workbook(file.with_name("other.xlsx"), [["Tag", "Kind"], ["X1", "Cord set"]]))
    assert take(desk, file, dry_run=True).reading.remembered == "Harbour list"
    take(desk, file, Mapping())
    assert take(desk, file, dry_run=True).reading.remembered == ""


def test_taking_in_and_remembering_are_undone_as_one(desk: Desk, file: Path) -> None:
    steps = Steps()
    desk.register.watch(steps)
    take(desk, file, SAID)
    with changing(desk.register) as change:
        assert "list.csv" in steps.undo(change)
    assert take(desk, file, dry_run=True).reading.remembered == ""
    with pytest.raises(Refused):
        desk.id("A1")


def test_every_use_of_a_column_that_is_offered_is_offered_once() -> None:
    offered = list(uses())
    assert len({words for words, _ in offered}) == len(offered)
    assert len({use for _, use in offered}) == len(offered)
    assert {use.field for _, use in offered} == set(Field)


def test_tests_on_a_sheet_of_their_own_follow_their_items_to_the_site_that_these_name(
    desk: Desk, tmp_path: Path
) -> None:
    """The list says of each item where it is; that another site was chosen for the file takes no test from them."""
    items = [["Tag", "Site", "Kind"], ["B1", "MILL", "Cord set"], ["B2", "MILL", "Cord set"]]
    tests = [["Tag", "Test date", "Result"], ["B1", "13/10/2026", "pass"], ["B2", "14/10/2026", "fail"]]
    file = workbook(tmp_path / "both.xlsx", items, title="Items", more={"Tests": tests})

    done = take(desk, file)

    assert (done.taken.new_items, done.taken.new_records, done.taken.refused) == (2, 2, 0)
    assert done.sites == ("MILL",)
    assert desk.answer("B1").site == "MILL"
