"""Writing the tables as the files that people have: workbooks and CSV, the same bytes for the same content."""

import csv
import io
import re
import zipfile
from datetime import date, datetime
from pathlib import Path
from typing import Final

from openpyxl import Workbook
from openpyxl.cell import Cell as SheetCell
from openpyxl.cell import MergedCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from sample_sites.making.table import Cell, Row, Table

FIXED: Final = (2020, 1, 1, 0, 0, 0)
"""When every workbook says it was made, so that making it again changes nothing."""

TIDY_FILL: Final = PatternFill("solid", start_color="DDE6ED")
LIST_FILL: Final = PatternFill("solid", start_color="FFF2B3")
FAIL_FILL: Final = PatternFill("solid", start_color="F6B7A9")
THIN: Final = Side(style="thin", color="888888")
BOX: Final = Border(left=THIN, right=THIN, top=THIN, bottom=THIN)
NARROWEST: Final = 10
WIDEST: Final = 44
HEAD_HEIGHT: Final = 44
"""Heights in points, widths in characters."""

MANY_COLUMNS: Final = 20


def write_csv(path: Path, table: Table, *, semicolons: bool) -> None:
    """Write a CSV file as spreadsheet programs save it: UTF-8 with a mark and commas, or Windows-1252, semicolons."""
    with path.open("w", newline="", encoding="cp1252" if semicolons else "utf-8-sig") as file:
        writer = csv.writer(file, delimiter=";" if semicolons else ",", lineterminator="\r\n")
        writer.writerow(table.head)
        writer.writerows(["" if cell is None else cell for cell in row] for row in table.rows)


def write_tidy(path: Path, tables: list[Table]) -> None:
    """Write a workbook as a careful person keeps it: one table a sheet, frozen bold heads, a filter."""
    book = Workbook()
    for place, table in enumerate(tables):
        sheet = _sheet(book, table.sheet, first=place == 0)
        _fill(sheet, table, wrapped=True)
        for cell in sheet[1]:
            cell.font, cell.fill = Font(bold=True), TIDY_FILL
            cell.alignment = Alignment(wrap_text=True, vertical="top")
        sheet.row_dimensions[1].height = HEAD_HEIGHT
        sheet.freeze_panes = "B2"
        sheet.auto_filter.ref = f"A1:{get_column_letter(len(table.head))}{len(table.rows) + 1}"
        _print_wide(sheet, title_row=1)
    _save(book, path)


def write_list(path: Path, table: Table) -> None:
    """Write a workbook as it is hung on a wall: a big merged title, boxes, coloured heads and fails."""
    book = Workbook()
    sheet = _sheet(book, table.sheet, first=True)
    _fill(sheet, table, wrapped=False)
    sheet.merge_cells(start_row=1, start_column=1, end_row=1, end_column=len(table.head))
    sheet["A1"].font = Font(bold=True, size=16)
    for row in sheet.iter_rows(min_row=2, max_row=len(table.above)):
        row[0].font = Font(bold=True)
    heads = len(table.above) + 1
    for row in sheet.iter_rows(min_row=heads, max_row=heads + len(table.rows)):
        _dress(row, head=row[0].row == heads)
    for row in sheet.iter_rows(min_row=heads + len(table.rows) + 1, max_row=sheet.max_row):
        for cell in row:
            cell.font = Font(italic=True)
    _print_wide(sheet, title_row=heads)
    _save(book, path)


def _dress(row: tuple[SheetCell | MergedCell, ...], *, head: bool) -> None:
    if all(cell.value is None for cell in row):
        return
    failed = any(cell.value == "F" for cell in row)
    for cell in row:
        cell.border = BOX
        if head:
            cell.font, cell.fill = Font(bold=True), LIST_FILL
        elif failed:
            cell.fill = FAIL_FILL


def _sheet(book: Workbook, title: str, *, first: bool) -> Worksheet:
    if first:
        sheet = book.worksheets[0]
        sheet.title = title
        return sheet
    sheet = book.create_sheet(title)
    assert isinstance(sheet, Worksheet)
    return sheet


def _fill(sheet: Worksheet, table: Table, *, wrapped: bool) -> None:
    heads: Row = [*table.head]
    for row in (*table.above, heads, *table.rows, *table.below):
        sheet.append(row)
    for place, heading in enumerate(table.head):
        cells = [heading, *(row[place] for row in table.rows if row)]
        longest = max(len(_shown(cell)) for cell in cells[1:])
        room = len(heading) // 2 + 4 if wrapped else len(heading) + 3
        width = max(longest + 2, room, NARROWEST)
        sheet.column_dimensions[get_column_letter(place + 1)].width = min(width, WIDEST)
        if any(isinstance(cell, date) for cell in cells):
            _format_dates(sheet, place + 1)


def _format_dates(sheet: Worksheet, column: int) -> None:
    for (cell,) in sheet.iter_rows(min_col=column, max_col=column):
        if isinstance(cell.value, date):
            cell.number_format = "dd/mm/yyyy"


def _shown(cell: Cell) -> str:
    return "" if cell is None else f"{cell:%d/%m/%Y}" if isinstance(cell, date) else str(cell)


def _print_wide(sheet: Worksheet, *, title_row: int) -> None:
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = "8" if sheet.max_column > MANY_COLUMNS else "9"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.print_title_rows = f"{title_row}:{title_row}"


def _save(book: Workbook, path: Path) -> None:
    """Save with the times inside the file fixed: openpyxl writes the present into it."""
    held = io.BytesIO()
    book.save(held)
    stamp = datetime(*FIXED).isoformat().encode() + b"Z"  # noqa: DTZ001 - a constant, of no zone
    with zipfile.ZipFile(held) as made, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as kept:
        for name in made.namelist():
            content = made.read(name)
            if name == "docProps/core.xml":
                content = re.sub(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", stamp, content)
            kept.writestr(zipfile.ZipInfo(name, FIXED), content, zipfile.ZIP_DEFLATED)
