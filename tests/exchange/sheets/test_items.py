"""Items as rows describe them: taken whole, or refused with column, value and reason."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from register.domain.items import SafetySwitch
from register.domain.words import Condition, Delay, Kind, SwitchType, Waveform
from register.exchange.sheets.corrected import for_next_file, with_kind
from register.exchange.sheets.mapping import Mapping
from register.exchange.sheets.mapping_file import mapping_text, parse_mapping
from tests.exchange.sheets.made_files import notes, read, refusals, workbook

HEADS = ["Tag", "Site", "Kind"]
DAY = datetime(2026, 4, 3)  # noqa: DTZ001 - as spreadsheets have it


def one(folder: Path, more: dict[str, Any], *, kind: Any = "Cord set", tag: Any = "a1") -> Any:  # noqa: ANN401
    """Return what a sheet with one row says."""
    return read(workbook(folder / "made.xlsx", [[*HEADS, *more], [tag, "YARD", kind, *more.values()]]))


def test_an_item_is_taken_with_everything_that_its_row_says(tmp_path: Path) -> None:
    said = {
        "Area": "Hall",
        "Area class": "benign",
        "Item class": "Cleaning equipment",
        "Description": " Four  way ",
        "Serial no.": "12-3",
        "Outlets": 4,
        "Rated residual current (mA)": "30 mA",
        "Switch type": "Type II",
        "Waveform": "A",
        "Delay": "S",
        "Rated current (A)": "10A",
        "In service since": DAY,
        "Status": "New",
        "Old tag": "x1; X2, a1",
        "Moved in use": "Y",
        "On a safety switch": "n",
        "Risk factor": None,
        "Notes": "behind the door",
        "Owner": "Ada Quill",
        "Site name": "The Yard",
    }
    (item,) = one(tmp_path, said, kind="4 way board + RCD").rows.items
    assert (item.tag, item.site, item.site_name, item.owner) == ("A1", "YARD", "The Yard", "Ada Quill")
    assert (item.area, item.area_environment, item.environment) == ("Hall", "benign", "cleaning")
    assert (item.kind, item.outlets, item.description) == (Kind.PORTABLE_OUTLET_DEVICE, 4, "Four way")
    assert item.safety_switch == SafetySwitch(Decimal(30), SwitchType.II, Delay.SELECTIVE, Waveform.A)
    assert (item.serial, item.rated_current_a, item.earlier_tags) == ("12-3", Decimal(10), ("X1", "X2"))
    assert (item.condition, item.since) == (Condition.NEW, date(2026, 4, 3))
    assert (item.moved_in_use, item.protected_by_switch, item.risk_factor) == (True, False, None)
    assert item.remarks == "behind the door"


@pytest.mark.parametrize(
    ("standing", "found"),
    [
        ("in use", (Condition.IN_USE, date(2026, 4, 3), False, False)),
        ("Spare", (Condition.STORED, None, False, False)),
        ("missing", (Condition.IN_USE, date(2026, 4, 3), True, False)),
        ("OOS", (Condition.IN_USE, date(2026, 4, 3), False, True)),
        ("out of scope", (Condition.OUT_OF_SCOPE, None, False, False)),
    ],
)
def test_the_state_of_an_item_is_read(standing: str, found: tuple[object, ...], tmp_path: Path) -> None:
    (item,) = one(tmp_path, {"In service since": DAY, "Item status": standing}).rows.items
    assert (item.condition, item.since, item.not_found, item.out_of_service) == found


def test_an_item_out_of_service_without_a_failed_test_is_pointed_out(tmp_path: Path) -> None:
    assert any("no failed test" in note for note in notes(one(tmp_path, {"Item status": "OOS"})))
    failed = one(tmp_path, {"Item status": "OOS", "Test date": DAY, "Result": "Fail"})
    assert not notes(failed)


def test_a_removed_item_needs_the_day_of_its_removal(tmp_path: Path) -> None:
    given = one(tmp_path, {"Item status": "Removed", "Removed on": DAY})
    assert given.rows.items[0].removed_on == date(2026, 4, 3)
    by_test = one(tmp_path, {"Item status": "Removed", "Test date": DAY, "Result": "Fail"})
    assert by_test.rows.items[0].removed_on == date(2026, 4, 3)
    assert any("the day of the last test was taken" in note for note in notes(by_test))
    nowhere = one(tmp_path, {"Item status": "Removed"})
    assert not nowhere.rows.items
    assert refusals(nowhere) == [(2, "Item status", "Removed")]


@pytest.mark.parametrize("kind", ["Fixed RCD", "PRCD"])
def test_a_safety_switch_with_an_unread_plate_is_one_all_the_same(kind: str, tmp_path: Path) -> None:
    assert one(tmp_path, {"Description": "in the hall"}, kind=kind).rows.items[0].safety_switch == SafetySwitch()


def test_a_kind_without_outlets_has_no_safety_switch(tmp_path: Path) -> None:
    (item,) = one(tmp_path, {"Description": "drill"}, kind="Class II").rows.items
    assert (item.safety_switch, item.outlets) == (None, None)


def test_a_plain_appliance_is_told_by_the_column_of_its_class(tmp_path: Path) -> None:
    reading = read(
        workbook(
            tmp_path / "made.xlsx",
            [
                [*HEADS, "Class"],
                ["A1", "YARD", "Appliance", "I"],
                ["A2", "YARD", None, 2],
                ["A3", "YARD", "Ext lead", None],
                ["A4", "YARD", "Appliance", None],
            ],
        )
    )
    assert [item.kind for item in reading.rows.items] == [
        Kind.APPLIANCE_CLASS_1,
        Kind.APPLIANCE_CLASS_2,
        Kind.EXTENSION_LEAD,
    ]
    assert refusals(reading) == [(5, "Kind", "Appliance")]


@pytest.mark.parametrize(
    ("heading", "value", "why"),
    [
        ("Kind", "misc", "“misc” is not known here."),
        ("Kind", "Extention lead", "Did you mean extension-lead?"),
        ("Environment", "offices", "It can be: benign, cleaning, construction"),
        ("Environment", "workshp", "Did you mean workshop?"),
        ("Item status", "on holiday", "“on holiday” is not known here"),
        ("Outlets", "two", "“two” is not a number from 1 to 48"),
        ("Outlets", 49, "is not a number from 1 to 48"),
        ("Outlets", 0, "is not a number from 1 to 48"),
        ("Rated residual current (mA)", "30 ms", "“30 ms” is not a number above 0 and up to 10,000 mA."),
        ("Rated residual current (mA)", "30 A", "“30 A” is not a number above 0 and up to 10,000 mA. Correct"),
        ("Rated current (A)", "-10", "is not a number above 0 and up to 1,000 A. Correct"),
        ("Moved in use", "sometimes", "It can be: yes, no"),
        ("In service since", "31/4/2026", "April 2026 has 30 days"),
        ("In service since", datetime(2027, 1, 8), "lies in the future"),  # noqa: DTZ001 - as spreadsheets have it
        ("Removed on", "4", "is not a date"),
        ("Tag", None, "The row has no tag."),
        ("Tag", "x" * 65, "has 65 characters"),
        ("Old tag", "y" * 65, "has 65 characters"),
        ("Site", None, "does not say at which site"),
    ],
)
def test_a_wrong_cell_keeps_its_item_out_with_the_reason(heading: str, value: Any, why: str, tmp_path: Path) -> None:  # noqa: ANN401
    good = {"Tag": "A1", "Site": "YARD", "Kind": "Cord set", "Description": "cord"}
    rows = [good | {heading: None}, good | {"Tag": "A2"} | {heading: value}]
    if heading in good:
        rows[0] = good
    heads = list(rows[1])
    path = workbook(tmp_path / "made.xlsx", [heads, *([row.get(head) for head in heads] for row in rows)])
    reading = read(path)
    assert len(reading.rows.items) == 1
    (problem,) = [each for each in reading.rows.problems if each.refused]
    assert (problem.place.row, problem.column) == (3, heading)
    assert why in problem.reason


def test_a_mapping_may_say_what_unknown_words_mean(tmp_path: Path) -> None:
    path = workbook(
        tmp_path / "made.xlsx",
        [
            [*HEADS, "Environment", "Area"],
            ["A1", "YARD", "misc", "Shed", "H1"],
            ["A2", "YARD", "Cord set", "Attic", "H2"],
        ],
    )
    values = {
        "kind": {"Misc": "cord-set"},
        "environment": {"Shed": "workshop", "Attic": "loft"},
        "area": {"h1": "Hall 1"},
    }
    reading = read(path, Mapping(values=values))
    (item,) = reading.rows.items
    assert (item.kind, item.environment, item.area) == (Kind.CORD_SET, "workshop", "Hall 1")
    assert "The mapping takes “Attic” for “loft”, which is none of benign" in reading.rows.problems[0].reason


def test_unknown_words_become_suggestions_that_are_never_taken(tmp_path: Path) -> None:
    rows = [HEADS, *([f"A{number}", "YARD", "Extention lead"] for number in range(5)), ["B1", "YARD", "misc"]]
    reading = read(workbook(tmp_path / "made.xlsx", rows))
    found = {(each.value, each.proposal, each.taken) for each in reading.suggestions if each.value}
    assert found == {("Extention lead", "extension-lead", False), ("misc", "", False)}
    assert not reading.rows.items


def _tags(folder: Path, rows: Sequence[Sequence[Any]]) -> Any:  # noqa: ANN401 - a reading
    return read(workbook(folder / "made.xlsx", [[*HEADS, "Description"], *rows]))


def test_the_second_item_with_a_tag_is_refused_with_the_row_of_the_first(tmp_path: Path) -> None:
    reading = _tags(
        tmp_path, [["A1", "YARD", "Cord set", "x"], ["a1 ", "YARD", "Ext lead", "y"], ["A2", "YARD", "Cord set", ""]]
    )
    assert [(item.tag, item.description) for item in reading.rows.items] == [("A1", "x"), ("A2", "")]
    assert refusals(reading) == [(3, "Tag", "A1")]
    assert any("The tag stands in row 2 already" in each.reason for each in reading.rows.problems)
    assert any("row 3 as well" in note for note in notes(reading))


def test_the_same_row_twice_is_one_item_and_a_note(tmp_path: Path) -> None:
    reading = _tags(tmp_path, [["A1", "YARD", "Cord set", "x"], ["A1", "YARD", "Cord set", "x"]])
    assert len(reading.rows.items) == 1
    assert not refusals(reading)
    assert notes(reading) == ["This row says the same as row 2; it was taken once."]


def test_a_tag_on_two_sheets_is_refused_with_the_other_sheet(tmp_path: Path) -> None:
    more = {"Shed": [HEADS, ["A1", "SHED", "Ext lead"]]}
    reading = read(workbook(tmp_path / "made.xlsx", [HEADS, ["A1", "YARD", "Cord set"]], more=more))
    assert any("row 2 of sheet “Register”" in each.reason for each in reading.rows.problems if each.refused)


def test_titles_totals_and_repeated_headings_are_no_items(tmp_path: Path) -> None:
    heads = [*HEADS, "Description", "Serial no.", "Outlets"]
    rows = [
        heads,
        ["Kitchen"],
        ["A1", "YARD", "Cord set", "kettle", "1", 1],
        [],
        heads,
        ["A2", "YARD", "Cord set", "urn", "2", 1],
        ["A3"],
        [None, "Total items", 2],
        [None, "Failed", 0],
        ["Signed: R. Quillan"],
    ]
    reading = read(workbook(tmp_path / "made.xlsx", rows))
    assert [item.tag for item in reading.rows.items] == ["A1", "A2"]
    assert refusals(reading) == [(7, "Site", "")]
    assert [each.place.row for each in reading.rows.problems if not each.refused] == [2, 8, 9, 10]
    assert reading.rows.rows_read == 3


def test_repeated_headings_of_a_small_table_are_no_items(tmp_path: Path) -> None:
    rows = [HEADS, ["A1", "YARD", "Cord set"], HEADS, ["A2", "YARD", "Cord set"]]
    assert len(read(workbook(tmp_path / "made.xlsx", rows)).rows.items) == 2


def test_a_thousand_rows_with_37_wrong_ones_lists_all_37(tmp_path: Path) -> None:
    wrong: list[dict[str, Any]] = [
        {"Tag": None},
        {"Kind": "misc"},
        {"Environment": "tbc"},
        {"Test date": "31/4/2026"},
        {"Test date": "4"},
        {"Test date": "May"},
        {"Test date": "29/2/2027"},
        {"Earth (Ω)": "0.3 MΩ"},
        {"Earth (Ω)": "-1"},
        {"Result": "maybe"},
    ]
    heads = ["Tag", "Site", "Kind", "Environment", "Test date", "Result", "Earth (Ω)"]
    rows, expected = [], []
    for number in range(1_000):
        row: dict[str, Any] = {
            "Tag": f"A{number:04}", "Site": "YARD", "Kind": "Ext lead", "Environment": "benign", "Test date": DAY,
            "Result": "Pass", "Earth (Ω)": 0.2,
        }  # fmt: skip
        if number % 27 == 3:
            change = wrong[len(expected) % len(wrong)]
            row |= change
            ((column, value),) = change.items()
            expected.append((number + 2, column, value or ""))
        rows.append([row[head] for head in heads])
    reading = read(workbook(tmp_path / "made.xlsx", [heads, *rows]))
    assert len(expected) == 37
    assert refusals(reading) == expected
    assert all(each.reason.endswith((".", '"…".')) for each in reading.rows.problems)
    assert len(reading.rows.records) == 963


CLASSED = [
    ["Tag", "Site", "Description", "Appliance class"],
    ["A1", "YARD", "Kettle", "I"],
    ["A2", "YARD", "Ext lead 10m", "I"],
    ["A3", "YARD", "RCD adapter", "I"],
    ["A4", "YARD", "Double insulated", "I"],
]


def test_what_a_class_alone_would_make_an_appliance_is_what_its_description_says(tmp_path: Path) -> None:
    reading = read(workbook(tmp_path / "made.xlsx", CLASSED))
    kinds = [item.kind for item in reading.rows.items]
    assert kinds == [Kind.APPLIANCE_CLASS_1, Kind.EXTENSION_LEAD, Kind.APPLIANCE_CLASS_1, Kind.APPLIANCE_CLASS_1]
    assert notes(reading) == [
        "What it is was taken from here (extension lead), not from its class.",
        "By its class it was taken for an appliance, though this speaks of a safety switch. Say what it is.",
    ]
    (asked,) = [each for each in reading.suggestions if each.value]
    assert (asked.value, asked.table) == ("RCD adapter", "kind")


def test_all_items_of_a_sheet_may_be_of_one_kind(tmp_path: Path) -> None:
    rows = [["Tag", "Site", "Description"], ["A1", "YARD", "Bench 1"], ["A2", "YARD", "Bench 2"]]
    path = workbook(
        tmp_path / "made.xlsx", rows, title="Switches", more={"Rest": [[*rows[0], "Kind"], [*rows[1], "x"]]}
    )
    (about,) = [each for each in read(path).suggestions if each.heading == "(all rows)"]
    assert (about.sheet, about.examples, about.taken) == ("Switches", ("A1", "A2"), False)

    mapping = with_kind(Mapping(), "Switches", Kind.PORTABLE_SAFETY_SWITCH)
    reading = read(path, mapping)
    assert [item.kind for item in reading.rows.items] == [Kind.PORTABLE_SAFETY_SWITCH] * 2
    again, problems = parse_mapping(mapping_text(reading.mapping_used), "used")
    assert (again, problems) == (reading.mapping_used, [])
    kept = for_next_file(mapping, ["Switches"])
    assert [item.kind for item in read(path, kept).rows.items] == [Kind.PORTABLE_SAFETY_SWITCH] * 2


def test_a_kind_for_all_items_must_be_one() -> None:
    assert parse_mapping('[constants]\nkind = "lamp"\n', "made")[0] is None


def test_what_speaks_of_a_safety_switch_is_what_the_user_says(tmp_path: Path) -> None:
    said = Mapping(values={"kind": {"RCD adapter": Kind.PORTABLE_SAFETY_SWITCH}})
    reading = read(workbook(tmp_path / "made.xlsx", CLASSED), said)
    assert reading.rows.items[2].kind is Kind.PORTABLE_SAFETY_SWITCH
    assert reading.rows.items[2].safety_switch is not None
