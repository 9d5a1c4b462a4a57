"""Spreadsheets made for one test: rows in, a file out, whole ones and hostile ones."""

import csv
import io
import zipfile
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from register.exchange.sheets.book import open_book
from register.exchange.sheets.file_reading import FileReading
from register.exchange.sheets.mapping import Constants, Mapping
from register.exchange.sheets.read_book import Progress, read_book

TODAY = date(2026, 11, 20)
ENVIRONMENTS = frozenset({"workshop", "flexed-or-hostile", "benign", "residential", "cleaning", "hire", "construction"})

SHEET = "xl/worksheets/sheet1.xml"
TEXTS = "xl/sharedStrings.xml"
NAMESPACE = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"

Rows = Iterable[Sequence[Any]]


def workbook(path: Path, rows: Rows, *, title: str = "Register", more: dict[str, Rows] | None = None) -> Path:
    """Write a workbook with the rows on one sheet, and more sheets by their names."""
    book = Workbook()
    sheets = {title: rows, **(more or {})}
    for place, (name, content) in enumerate(sheets.items()):
        sheet = book.worksheets[0] if place == 0 else book.create_sheet(name)
        sheet.title = name
        for row in content:
            sheet.append(list(row))
    book.save(path)
    return path


def text_table(path: Path, rows: Rows, *, separator: str = ",", encoding: str = "utf-8", ends: str = "\r\n") -> Path:
    """Write a CSV file."""
    held = io.StringIO(newline="")
    csv.writer(held, delimiter=separator, lineterminator=ends).writerows(rows)
    path.write_bytes(held.getvalue().encode(encoding))
    return path


def changed(
    source: Path, changes: dict[str, Callable[[bytes], bytes] | bytes | None], path: Path, *, packed: bool = True
) -> Path:
    """Write a copy of a workbook with some of its parts changed, added, or (None) left out."""
    packing = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
    with zipfile.ZipFile(source) as whole, zipfile.ZipFile(path, "w", packing) as copy:
        for name in [*whole.namelist(), *(name for name in changes if name not in whole.namelist())]:
            change = changes.get(name, whole.read(name) if name in whole.namelist() else b"")
            if change is not None:
                copy.writestr(name, change(whole.read(name)) if callable(change) else change)
    return path


def sheet_xml(rows: str, *, before: str = "", after: str = "") -> bytes:
    """Return the XML of a worksheet around its rows."""
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="{NAMESPACE}">{before}<sheetData>{rows}</sheetData>'
        f"{after}</worksheet>"
    ).encode()


def cell(text: str, place: str = "") -> str:
    """Return the XML of a text cell."""
    at = f' r="{place}"' if place else ""
    return f'<c{at} t="inlineStr"><is><t>{text}</t></is></c>'


def with_sheet(folder: Path, xml: bytes, *, packed: bool = True) -> Path:
    """Write a workbook whose only sheet has this XML."""
    return changed(workbook(folder / "whole.xlsx", [["x"]]), {SHEET: xml}, folder / "made.xlsx", packed=packed)


def with_texts(folder: Path, texts: Iterable[str], xml: bytes) -> Path:
    """Write a workbook whose texts stand in a part of their own, as most programs write it; cells name their place."""
    part = f'<sst xmlns="{NAMESPACE}">{"".join(f"<si><t>{text}</t></si>" for text in texts)}</sst>'.encode()
    override = (
        b'<Override PartName="/xl/sharedStrings.xml" ContentType='
        b'"application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/></Types>'
    )
    return changed(
        workbook(folder / "whole.xlsx", [["x"]], title="Register"),
        {TEXTS: part, SHEET: xml, "[Content_Types].xml": lambda types: types.replace(b"</Types>", override)},
        folder / "made.xlsx",
    )


def second_hidden(xml: bytes) -> bytes:
    """Return the XML of a workbook with its second sheet hidden."""
    return xml.replace(b'sheetId="2" state="visible"', b'sheetId="2" state="hidden"')


def read(
    path: Path,
    mapping: Mapping | None = None,
    *,
    today: date = TODAY,
    environments: frozenset[str] = ENVIRONMENTS,
    constants: Constants | None = None,
    progress: Progress | None = None,
) -> FileReading:
    """Read a file, as on the day of the tests where no other is given."""
    with open_book(path) as book:
        return read_book(
            path.name, book, mapping=mapping, today=today, environments=environments, constants=constants,
            progress=progress,
        )  # fmt: skip


def refusals(reading: FileReading) -> list[tuple[int, str, str]]:
    """Return row, column and value of each refused row."""
    return [(each.place.row, each.column, each.value) for each in reading.rows.problems if each.refused]


def notes(reading: FileReading) -> list[str]:
    """Return the reasons of what is only to be known."""
    return [each.reason for each in reading.rows.problems if not each.refused]


ROWS = [["Tag", "Site", "Kind"], ["A1", "YARD", "Extension lead"], ["A2", "YARD", "Cord set"]]
HEADS = '<row r="1">' + cell("Tag", "A1") + cell("Site", "B1") + cell("Kind", "C1") + "</row>"
ITEM = '<row r="2">' + cell("A1", "A2") + cell("YARD", "B2") + cell("Cord set", "C2") + "</row>"


def whole(folder: Path) -> Path:
    """Write a workbook with nothing wrong in it."""
    return workbook(folder / "whole.xlsx", ROWS)
