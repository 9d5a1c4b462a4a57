"""Mapping files: read with every mistake named by table and key, and written so that they read back the same."""

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from register.domain.records import MULTIPLES
from register.domain.words import Check, TestCurrent
from register.errors import Refused, Unavailable
from register.exchange.sheets.fields import DATES, OF_TESTS, ColumnUse, DateStyle, Field, ReadingHead
from register.exchange.sheets.mapping import Constants, Mapping, SheetMapping
from register.exchange.sheets.mapping_file import mapping_text, parse_mapping, read_mapping, write_mapping

WHOLE = """
source = "Harbour list"
decimal = ","
allow_old_dates = true

[constants]
site = "HARB"
rulebook = "au-in-service"
environment = "benign"

[values.kind]
"Lead" = "extension-lead"
[values.environment]
"Shed" = "workshop"
[values.tester]
"AP" = "Asha Pell"

[sheets."*"]
heading_row = 3
[sheets."*".columns]
"Nr" = "tag"

[sheets."Old list"]
skip = true

[sheets.Tests]
rows_are = "tests"
[sheets.Tests.constants]
tester = "Ruth Quillan"
[sheets.Tests.columns]
"Day" = { field = "tested-on", date_style = "d/m/y" }
"Day before" = { field = "tested-on", test = 2, date_style = ["d/m/y", "serial"] }
"t1" = { reading = "trip-time", outlet = 1, half_cycle = 0, unit = "ms" }
"t2" = { reading = "trip-time", half_cycle = "0/180", multiple = "5" }
"R" = { reading = "earth-resistance", unit = "mΩ" }
"""


def parsed(text: str) -> Mapping:
    mapping, problems = parse_mapping(text, "made.toml")
    assert mapping is not None, problems
    return mapping


def test_a_mapping_says_how_the_sheets_of_one_source_are_read() -> None:
    mapping = parsed(WHOLE)
    assert (mapping.source, mapping.decimal, mapping.allow_old_dates) == ("Harbour list", ",", True)
    assert mapping.constants == Constants(site="HARB", rulebook="au-in-service", environment="benign")
    assert mapping.values["kind"] == {"Lead": "extension-lead"}
    assert mapping.sheets["*"].heading_row == 3
    assert mapping.sheets["Old list"].skip
    tests = mapping.sheets["Tests"]
    assert tests.columns["Day"] == ColumnUse(Field.TESTED_ON, date_styles=(DateStyle.DAY_MONTH_YEAR,))
    assert tests.columns["Day before"].test == 2
    assert tests.columns["Day before"].date_styles == (DateStyle.DAY_MONTH_YEAR, DateStyle.SERIAL)
    head = ReadingHead(Check.TRIP_TIME, 1, 0, multiple=Decimal(1), unit="ms")
    assert tests.columns["t1"] == ColumnUse(Field.READING, reading=head)
    head = ReadingHead(Check.TRIP_TIME, both_halves=True, multiple=Decimal(5))
    assert tests.columns["t2"] == ColumnUse(Field.READING, reading=head)


def test_what_is_said_of_one_sheet_goes_before_what_holds_for_all() -> None:
    sheet = parsed(WHOLE).for_sheet("tests")
    assert sheet.heading_row == 3
    assert set(sheet.columns) == {"Nr", "Day", "Day before", "t1", "t2", "R"}
    assert (sheet.constants.site, sheet.constants.tester) == ("HARB", "Ruth Quillan")
    assert parsed(WHOLE).for_sheet("Items").rows_are == ""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("source = ", "made.toml, line 1: The text can't be read as TOML"),
        ("sauce = 'x'", "made.toml, sauce, line 1: “sauce” is not a key of this table. Did you mean “source”?"),
        ("decimal = ';'", "made.toml, decimal, line 1: “;” is none of ., ,."),
        ("allow_old_dates = 'yes'", "allow_old_dates, line 1: Write allow_old_dates = true"),
        ("[constants]\nsite = 4", "[constants], site, line 2: Write “4” in quotes"),
        ("[constants]\nresult = 'ok'", "[constants], result, line 2: “ok” is none of pass, fail, incomplete"),
        ("[constants]\nplace = 'x'", "[constants], place, line 2: “place” is not a key of this table"),
        ("[values.kinds]\na = 'b'", "made.toml, values, line 1: There is no table of values “kinds”"),
        ("[values.kind]\n'Lead' = 'lead'", "[values.kind], Lead, line 2: “lead” is none of portable-safety-switch"),
        ("[values.result]\n'x' = 'maybe'", "[values.result], x, line 2: “maybe” is none of pass, fail"),
        ("[sheets.A]\nheading_row = 0", "[sheets.A], heading_row, line 2: Rows are counted from 1"),
        ("[sheets.A]\nrows_are = 'both'", "[sheets.A], rows_are, line 2: “both” is none of items, tests"),
        ("[sheets.A.columns]\n'Tag' = 'tagg'", "Tag, line 2: “tagg” is not known here. Did you mean “tag”?"),
        ("[sheets.A.columns]\n'D' = { field = 'tested-on', date_style = 'dmy' }", "date_style, line 2: “dmy” is not"),
        (
            "[sheets.A.columns]\n'D' = { field = 'tested-on', date_style = ['d/m/y', 'm/d/y'] }",
            "can't hold for one column: 3/4/2026 would be two days",
        ),
        ("[sheets.A.columns]\n'S' = { field = 'serial', test = 2 }", "Only what is said of a test has a number"),
        ("[sheets.A.columns]\n'D' = { field = 'result', test = 21 }", "“21” is not from 1 to 20"),
        ("[sheets.A.columns]\n'T' = { reading = 'trip time' }", "reading, line 2: “trip time” is not known here."),
        ("[sheets.A.columns]\n'T' = { reading = 'look' }", "The look is no reading"),
        ("[sheets.A.columns]\n'T' = { reading = 'trip-time', half_cycle = 90 }", "“90” is not 0 or 180"),
        ("[sheets.A.columns]\n'T' = { reading = 'trip-time', half_cycle = 'both' }", "“0/180” where a cell holds both"),
        ("[sheets.A.columns]\n'T' = { reading = 'trip-time', multiple = 3 }", "A multiple is one of 0.5, 1, 2, 5"),
        ("[sheets.A.columns]\n'T' = { reading = 'trip-time', outlet = 99 }", "“99” is not from 1 to 48"),
        ("[sheets.A.columns]\n'T' = { reading = 'trip-time', angle = 0 }", "“angle” is not a key of this table"),
        ("[sheets.A.columns]\n'T' = {}", "The key “field” is missing. Say what the column is taken for."),
        ("sheets = 3", "made.toml, sheets, line 1: Write this as a table"),
        ("[sheets]\nA = 3", "Write this as a table"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_with_its_table_and_key(text: str, said: str) -> None:
    mapping, problems = parse_mapping(text, "made.toml")
    assert mapping is None
    assert any(said in str(problem) for problem in problems), [str(problem) for problem in problems]


def test_a_file_with_mistakes_is_refused_with_the_first_and_the_number_of_others(tmp_path: Path) -> None:
    path = tmp_path / "made.toml"
    path.write_text("decimal = ';'\nsauce = 'x'\n", encoding="utf-8")
    with pytest.raises(Refused, match=r"made\.toml, decimal, line 1: .* \(1 more like this\)"):
        read_mapping(path)


def test_files_that_are_no_mapping_are_told_apart(tmp_path: Path) -> None:
    with pytest.raises(Unavailable, match=r"The mapping “gone\.toml” can't be read"):
        read_mapping(tmp_path / "gone.toml")
    (tmp_path / "latin.toml").write_bytes(b"source = '\xe9'")
    with pytest.raises(Refused, match="is not UTF-8 text"):
        read_mapping(tmp_path / "latin.toml")
    (tmp_path / "big.toml").write_bytes(b"#" * 1_000_001)
    with pytest.raises(Refused, match="choose a mapping"):
        read_mapping(tmp_path / "big.toml")


def test_a_mapping_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    mapping = parsed(WHOLE)
    write_mapping(mapping, tmp_path / "kept.toml")
    assert read_mapping(tmp_path / "kept.toml") == mapping
    assert [path.name for path in tmp_path.iterdir()] == ["kept.toml"]
    with pytest.raises(Unavailable, match="can't be written"):
        write_mapping(mapping, tmp_path / "gone" / "kept.toml")


TEXT = st.text(st.characters(exclude_categories=["C", "Zl", "Zp"]), min_size=1, max_size=12).filter(
    lambda text: text == " ".join(text.split())
)
HEADS = st.builds(
    ReadingHead,
    st.sampled_from([check for check in Check if check is not Check.LOOK]),
    outlet=st.none() | st.integers(1, 48),
    half_cycle=st.none() | st.sampled_from([0, 180]),
    multiple=st.sampled_from(MULTIPLES),
    test_current=st.none() | st.sampled_from(TestCurrent),
    unit=st.none() | st.sampled_from(["ms", "MΩ"]),
)
USES = st.one_of(
    st.builds(ColumnUse, st.sampled_from(sorted(set(Field) - {Field.READING}))),
    st.builds(ColumnUse, st.sampled_from(sorted(OF_TESTS - {Field.READING})), st.integers(1, 20)),
    st.builds(ColumnUse, st.just(Field.READING), st.integers(1, 3), HEADS),
    st.builds(
        ColumnUse, st.sampled_from(sorted(DATES)), date_styles=st.sampled_from([(style,) for style in DateStyle])
    ),
)
CONSTANTS = st.builds(
    Constants, site=st.just("") | TEXT, tester=st.just("") | TEXT, result=st.sampled_from(["", "pass"])
)
SHEETS = st.builds(
    SheetMapping,
    heading_row=st.none() | st.integers(1, 9),
    skip=st.booleans(),
    rows_are=st.sampled_from(["", "items", "tests"]),
    columns=st.dictionaries(TEXT, USES, max_size=5),
    constants=CONSTANTS,
)


@given(
    st.builds(
        Mapping,
        source=st.just("") | TEXT,
        sheets=st.dictionaries(TEXT, SHEETS, max_size=3),
        values=st.fixed_dictionaries({}, optional={"kind": st.dictionaries(TEXT, st.just("cord-set"), max_size=3)}),
        constants=CONSTANTS,
        decimal=st.sampled_from(["", ".", ","]),
        allow_old_dates=st.booleans(),
    )
)
def test_every_mapping_written_down_reads_back_the_same(mapping: Mapping) -> None:
    assert parsed(mapping_text(mapping)) == mapping
