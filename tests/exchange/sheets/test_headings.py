"""Headings: sure ones are taken, those with several meanings by what stands under them, the rest only suggested."""

from collections.abc import Sequence
from decimal import Decimal

import pytest

from register.domain.words import Check
from register.exchange.sheets.cells import Value
from register.exchange.sheets.fields import ColumnUse, Field, ReadingHead
from register.exchange.sheets.heading_words import OPEN, SURE, plain
from register.exchange.sheets.headings import Matched, known_use, letters, match_columns, names_of
from register.exchange.sheets.values import tables
from tests.exchange.sheets.made_files import ENVIRONMENTS

TABLES = tables(ENVIRONMENTS, {})


def match(
    headings: Sequence[str],
    values: dict[int, list[Value]] | None = None,
    own: dict[str, ColumnUse] | None = None,
    *,
    site_known: bool = False,
) -> Matched:
    return match_columns("Items", headings, values or {}, own or {}, TABLES, site_known=site_known)


def uses(matched: Matched) -> dict[str, str | None]:
    return {column.heading: str(column.use) if column.use else None for column in matched.columns}


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Tag no.", Field.TAG),
        ("TAG #", Field.TAG),
        ("Bar-code", Field.TAG),
        ("Site", Field.SITE),
        ("S/N", Field.SERIAL),
        ("Serial No.", Field.SERIAL),
        ("Env.", Field.ENVIRONMENT),
        ("Item class", Field.ENVIRONMENT),
        ("No. of outlets", Field.OUTLETS),
        ("Rated residual current (mA)", Field.RATED_RESIDUAL),
        ("IΔn", Field.RATED_RESIDUAL),
        ("Amps", Field.RATED_CURRENT),
        ("Rated current [A]", Field.RATED_CURRENT),
        ("IΔn [mA]", Field.RATED_RESIDUAL),
        ("RCD sensitivity [mA]", Field.RATED_RESIDUAL),
        ("Date tested", Field.TESTED_ON),
        ("Last tested", Field.TESTED_ON),
        ("Tested by", Field.TESTER),
        ("P/F", Field.RESULT),
        ("Pass / Fail", Field.RESULT),
        ("Visual", Field.LOOK),
        ("Work done", Field.WORK_DONE),
        ("Comments", Field.REMARKS),
        ("Next due", Field.IGNORE),
        ("In service since", Field.SINCE),
        ("AC/A", Field.WAVEFORM),
        ("Moved in use?", Field.MOVED_IN_USE),
    ],
)
def test_a_heading_that_means_one_thing_is_taken_for_it(heading: str, field: Field) -> None:
    assert known_use(heading) == ColumnUse(field)


@pytest.mark.parametrize(
    "heading",
    ["", "Item", "No.", "ID", "Location", "Type", "Class", "Date", "Status", "Name", "mA", "Rated current (mA)", "Zzz"],
)
def test_a_heading_that_means_nothing_or_several_things_is_not(heading: str) -> None:
    assert known_use(heading) is None


def test_no_word_stands_for_two_fields_and_none_is_both_sure_and_open() -> None:
    words = [word for of_field in SURE.values() for word in of_field]
    assert len(words) == len(set(words))
    assert not set(words) & set(OPEN)
    assert all(word == plain(word) for word in [*words, *OPEN])


@pytest.mark.parametrize(
    ("heading", "use"),
    [
        ("Previous test", ColumnUse(Field.TESTED_ON, 2)),
        ("Previous test date", ColumnUse(Field.TESTED_ON, 2)),
        ("Prev. result", ColumnUse(Field.RESULT, 2)),
        ("Previous tag", ColumnUse(Field.EARLIER_TAGS)),
        ("Previous owner", None),
    ],
)
def test_previous_means_the_test_before_the_latest(heading: str, use: ColumnUse | None) -> None:
    assert known_use(heading) == use


@pytest.mark.parametrize(
    ("heading", "values", "field"),
    [
        ("Type", ["Ext lead 10m", "Class II", "PRCD 2 way"], Field.KIND),
        ("Type", ["II", "I", "iec"], Field.SWITCH_TYPE),
        ("RCD type", ["A", "AC", "A"], Field.WAVEFORM),
        ("Class", ["I", "II", "2"], Field.APPLIANCE_CLASS),
        ("Class", ["benign", "Hostile"], Field.ENVIRONMENT),
        ("State", ["in use", "disposed", "OOS"], Field.STANDING),
        ("State", ["QLD", "NSW"], None),
        ("Status", ["Pass", "Fail"], Field.RESULT),
        ("Status", ["ok", "ok"], None),
        ("mA", ["30mA", "10", 30], Field.RATED_RESIDUAL),
        ("mA", ["0.4", "0.12"], None),
        ("S", ["S"], Field.DELAY),
        ("Scrapped", ["07-Nov-25"], Field.REMOVED_ON),
        ("Time", ["14:05"], Field.TESTED_AT),
        ("Time", ["24.1"], None),
        ("Type", [], None),
        ("Type", ["II", "Ext lead"], None),
        ("No.", [1, 2, 3], None),
    ],
)
def test_a_heading_with_several_meanings_is_settled_by_its_values(
    heading: str, values: list[Value], field: Field | None
) -> None:
    found = match(["Tag", heading], {1: values})
    assert uses(found)[heading] == (field.value if field else None)


def test_a_place_is_an_area_only_where_the_site_is_known() -> None:
    assert uses(match(["Tag", "Location"]))["Location"] is None
    assert uses(match(["Tag", "Site", "Location"]))["Location"] == "area"
    assert uses(match(["Tag", "Where"], site_known=True))["Where"] == "area"


def test_a_date_is_the_day_of_the_test_only_beside_a_test() -> None:
    day: dict[int, list[Value]] = {1: ["25/4/2026"]}
    assert uses(match(["Tag", "Date"], day))["Date"] is None
    assert uses(match(["Tag", "Date", "Result"], day))["Date"] == "tested-on"
    assert uses(match(["Tag", "Date", "Result", "Test date"], day))["Date"] is None


def test_what_is_only_similar_is_suggested_and_left_alone() -> None:
    found = match(["Tag", "Serial numbr", "Colour of lead", "Item"])
    assert uses(found) == {"Tag": "tag", "Serial numbr": None, "Colour of lead": None, "Item": None}
    suggested = {each.heading: (each.proposal, each.taken) for each in found.suggestions}
    assert suggested["Tag"] == ("tag", True)
    assert suggested["Serial numbr"] == ("serial", False)
    assert suggested["Colour of lead"] == ("", False)
    assert suggested["Item"] == ("description", False)
    assert all(0 <= each.certainty <= 1 for each in found.suggestions)


def test_two_columns_for_one_thing_are_asked_about_and_neither_is_taken() -> None:
    found = match(["Tag", "Result", "Outcome"])
    assert uses(found) == {"Tag": "tag", "Result": None, "Outcome": None}
    (question,) = found.questions
    assert question == (
        "Sheet “Items” has 2 columns for the result: “Result” and “Outcome”. Say in the mapping which to leave out: "
        '[sheets."Items".columns] "Outcome" = "ignore".'
    )


def test_a_mapping_goes_before_what_is_sure_and_settles_two_columns() -> None:
    own = {"outcome": ColumnUse(Field.IGNORE), "Serial": ColumnUse(Field.DESCRIPTION)}
    found = match(["Tag", "Result", "Outcome", "Serial"], own=own)
    assert uses(found) == {"Tag": "tag", "Result": "result", "Outcome": "ignore", "Serial": "description"}
    assert not found.questions
    own = {"Overall": ColumnUse(Field.RESULT)}
    assert uses(match(["Tag", "Result", "Overall"], own=own)) == {"Tag": "tag", "Result": None, "Overall": "result"}


def test_headings_that_come_twice_have_names_of_their_own() -> None:
    assert names_of(["Result", "Date", "result", "", "Result"]) == [
        "Result",
        "Date",
        "result [2]",
        "column D",
        "Result [3]",
    ]
    own = {"Result [2]": ColumnUse(Field.RESULT, 2), "Test date [2]": ColumnUse(Field.TESTED_ON, 2)}
    found = match(["Test date", "Result", "Test date", "Result"], own=own)
    assert uses(found) == {
        "Test date": "tested-on",
        "Result": "result",
        "Test date [2]": "tested-on, test 2",
        "Result [2]": "result, test 2",
    }
    assert not found.questions


def test_a_column_without_a_heading_is_listed_where_it_holds_something() -> None:
    assert "column B" not in uses(match(["Tag", "", "Site"]))
    assert uses(match(["Tag", "", "Site"], {1: ["x"]}))["column B"] is None
    own = {"column B": ColumnUse(Field.REMARKS)}
    assert uses(match(["Tag", "", "Site"], {1: ["x"]}, own))["column B"] == "remarks"


def test_two_open_headings_for_one_thing_are_left_alone() -> None:
    found = match(["Tag", "State", "Condition"], {1: ["OOS"], 2: ["scrapped"]})
    assert uses(found) == {"Tag": "tag", "State": None, "Condition": None}


def test_columns_of_readings_are_told_by_their_heads() -> None:
    found = match(["Tag", "Outlet 1 0° (ms)"])
    head = ReadingHead(Check.TRIP_TIME, 1, 0, multiple=Decimal(1), unit="ms")
    assert found.columns[1].use == ColumnUse(Field.READING, reading=head)


@pytest.mark.parametrize(("place", "shown"), [(0, "A"), (25, "Z"), (26, "AA"), (199, "GR"), (701, "ZZ"), (702, "AAA")])
def test_columns_have_the_letters_of_a_spreadsheet(place: int, shown: str) -> None:
    assert letters(place) == shown
