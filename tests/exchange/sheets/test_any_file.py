"""Whatever a file holds, reading it ends with rows or with a sentence, never with a fault of the program."""

import tempfile
import zipfile
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any, Final

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

from register.errors import Refused
from register.exchange.sheets.file_reading import FileReading
from register.exchange.sheets.heading_words import OPEN, SURE
from register.exchange.sheets.mapping import Constants
from register.exchange.sheets.mapping_file import mapping_text, parse_mapping
from register.services.intake.rows import RowPlace
from tests.exchange.sheets.made_files import TODAY, read, sheet_xml, text_table, with_sheet, workbook

SLOW: Final = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
HEADINGS: Final = [
    *(word for words in SURE.values() for word in words),
    *OPEN,
    "Outlet 1 0° (ms)",
    "Trip 0/180",
    "Trip time",
    "Earth (Ω)",
    "Insulation (MΩ)",
    "Polarity",
    "Previous test",
    "Previous result",
    "",
]
WORDS: Final = [
    "A1",
    "A2",
    "YARD",
    "PRCD",
    "Ext lead 5m",
    "misc",
    "pass",
    "F",
    "✓",
    "benign",
    "3/4/2026",
    "31/4/2026",
    "25/12/25",
    "2026-04-03",
    "4",
    "May",
    "28.4",
    "28,4",
    ">300",
    "no trip",
    "-1",
    "1e9",
    "30mA",
    "II",
    "S",
    "yes",
    "Total",
    "removed",
    "OOS",
    "T&T + RCD",
    "n/a",
    "-",
    "'=1",
    "=1",
    "x" * 70,
]
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=20).filter(
    lambda text: not ILLEGAL_CHARACTERS_RE.search(text)
)
CELLS = st.one_of(
    st.none(),
    st.sampled_from(WORDS),
    TEXT,
    st.integers(-(10**9), 10**9),
    st.floats(allow_nan=False, allow_infinity=False, width=32),
    st.booleans(),
    st.datetimes(datetime(1900, 3, 1), datetime(2100, 1, 1)),  # noqa: DTZ001 - as spreadsheets have it
    st.dates(date(1980, 1, 1), date(2030, 1, 1)),
    st.times(),
    st.timedeltas(timedelta(0), timedelta(days=3)),
)


def check(reading: FileReading) -> None:
    """Check what holds for every reading."""
    tags = [item.tag for item in reading.rows.items]
    assert len(tags) == len(set(tags))
    for place in [*(item.place for item in reading.rows.items), *(each.place for each in reading.rows.records)]:
        assert isinstance(place, RowPlace)
        assert place.row >= 1
    for record in reading.rows.records:
        assert date(1990, 1, 1) <= record.record.tested_on <= TODAY
        assert record.record.duties
    for problem in reading.rows.problems:
        assert problem.reason.endswith((".", '"…".', "= …"))
        assert problem.place.row >= 1
    assert all(question.strip() for question in reading.questions)
    mapping, problems = parse_mapping(mapping_text(reading.mapping_used), "used")
    assert mapping == reading.mapping_used, problems


@SLOW
@given(
    st.lists(st.sampled_from(HEADINGS), min_size=2, max_size=12), st.lists(st.lists(CELLS, max_size=13), max_size=12)
)
def test_any_rows_of_a_workbook_are_read_or_told(headings: list[str], rows: list[list[Any]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = workbook(Path(folder) / "made.xlsx", [["Tag", *headings], *rows])
        try:
            reading = read(path, constants=Constants(site="YARD"))
        except Refused:
            return
        check(reading)


@SLOW
@given(
    st.lists(st.sampled_from(HEADINGS), min_size=2, max_size=12),
    st.lists(st.lists(st.sampled_from(WORDS) | st.text(max_size=12), max_size=13), max_size=12),
    st.sampled_from([",", ";", "\t"]),
)
def test_any_rows_of_a_text_table_are_read_or_told(headings: list[str], rows: list[list[str]], separator: str) -> None:
    rows = [[cell.encode("utf-8", "replace").decode() for cell in row] for row in rows]
    with tempfile.TemporaryDirectory() as folder:
        path = text_table(Path(folder) / "made.csv", [["Tag", *headings], *rows], separator=separator)
        try:
            reading = read(path, constants=Constants(site="YARD"))
        except Refused:
            return
        check(reading)


@SLOW
@given(st.binary(max_size=400), st.sampled_from(["made.csv", "made.xlsx", "made.txt", "made"]))
def test_any_bytes_are_read_or_refused(content: bytes, name: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(content)
        try:
            check(read(path))
        except Refused as refused:
            told = str(refused)
        else:
            return
        assert name in told


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    rows = [["Tag", "Site", "Kind", "Test date", "Result"], ["A1", "YARD", "PRCD", date(2026, 4, 3), "Pass"]]
    return workbook(tmp_path_factory.mktemp("whole") / "made.xlsx", rows).read_bytes()


@SLOW
@given(
    changes=st.lists(st.tuples(st.integers(0, 10_000), st.integers(0, 255)), min_size=1, max_size=8),
    cut=st.integers(0, 10_000),
)
def test_a_workbook_with_any_bytes_changed_is_read_or_refused(
    whole: bytes, changes: Sequence[tuple[int, int]], cut: int
) -> None:
    data = bytearray(whole)
    for at, value in changes:
        data[at % len(data)] = value
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.xlsx"
        path.write_bytes(data if cut > len(data) else data[:cut] + data[cut + 7 :])
        try:
            check(read(path))
        except Refused as refused:
            told = str(refused)
        else:
            return
        assert "made.xlsx" in told


@SLOW
@given(data=st.data())
def test_a_workbook_with_any_part_garbled_is_read_or_refused(whole: bytes, data: st.DataObject) -> None:
    with tempfile.TemporaryDirectory() as folder:
        source, path = Path(folder) / "whole.xlsx", Path(folder) / "made.xlsx"
        source.write_bytes(whole)
        with zipfile.ZipFile(source) as archive, zipfile.ZipFile(path, "w") as copy:
            part = data.draw(st.sampled_from(archive.namelist()))
            for name in archive.namelist():
                content = archive.read(name)
                if name == part:
                    at = data.draw(st.integers(0, len(content)))
                    piece = data.draw(
                        st.sampled_from([b"", b"<", b">", b'"', b"&", b"9", b"-1", b"\xff", b"</row>", b"<v/>"])
                    )
                    content = content[:at] + piece + content[at + data.draw(st.integers(0, 40)) :]
                copy.writestr(name, content)
        try:
            check(read(path))
        except Refused as refused:
            told = str(refused)
        else:
            return
        assert "made.xlsx" in told


PLACES: Final = ["", ' r="A2"', ' r="B7"', ' r="XFD1"', ' r="A0"', ' r="1"', ' r=""', ' r="ZZZZ1"']
TYPES: Final = ["", *(f' t="{name}"' for name in ("s", "n", "b", "d", "e", "str", "inlineStr", "?"))]
STYLES: Final = ["", ' s="0"', ' s="99"', ' s="x"', ' s="-1"']
INSIDES: Final = [
    "",
    "<v/>",
    *(f"<v>{value}</v>" for value in ("1", "x", "-1", "1e400")),
    *("<f>1</f>", "<is/>", "<is><t>q</t></is>", "<is><r/></is>"),
]
CELL_XML = st.builds(
    lambda place, kind, style, inside: f"<c{place}{kind}{style}>{inside}</c>",
    st.sampled_from(PLACES),
    st.sampled_from(TYPES),
    st.sampled_from(STYLES),
    st.sampled_from(INSIDES),
)
ROW_XML = st.builds(
    lambda number, cells: f"<row{number}>{''.join(cells)}</row>",
    st.sampled_from(
        ["", ' r="1"', ' r="2"', ' r="0"', ' r="-4"', ' r="1.0"', ' r="1048577"', ' r="99999999999999999999"']
    ),
    st.lists(CELL_XML, max_size=4),
)


@SLOW
@given(st.lists(ROW_XML, max_size=5))
def test_any_cells_of_a_sheet_are_read_or_refused(rows: list[str]) -> None:
    heads = (
        "<row>" + "".join(f'<c t="inlineStr"><is><t>{head}</t></is></c>' for head in ("Tag", "Site", "Kind")) + "</row>"
    )
    with tempfile.TemporaryDirectory() as folder:
        path = with_sheet(Path(folder), sheet_xml(heads + "".join(rows)))
        try:
            check(read(path))
        except Refused as refused:
            told = str(refused)
        else:
            return
        assert "made.xlsx" in told


def test_reading_tells_how_far_it_is_and_can_be_stopped(tmp_path: Path) -> None:
    class Stopped(Exception):  # noqa: N818 - no error
        pass

    told: list[int] = []

    def stop(count: int) -> None:
        told.append(count)
        if count >= 400:
            raise Stopped

    rows = [["Tag", "Site", "Kind"], *([f"A{number}", "YARD", "Cord set"] for number in range(1_000))]
    path = workbook(tmp_path / "made.xlsx", rows)
    with pytest.raises(Stopped):
        read(path, progress=stop)
    assert max(told) == 400
