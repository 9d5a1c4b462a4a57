"""Writes one described sheet: one heading row, one table, nothing merged, nothing blank in between."""

from collections.abc import Iterator
from typing import IO, Any, Final

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.filters import AutoFilter
from openpyxl.worksheet.table import Table, TableColumn, TableStyleInfo
from openpyxl.worksheet.worksheet import Worksheet

from register.exchange.workbook.answers import guard_answers
from register.exchange.workbook.book import BookWriter, Written
from register.exchange.workbook.cells import cell_at, put
from register.exchange.workbook.columns import Sheet
from register.exchange.workbook.heights import line_count, row_height
from register.exchange.workbook.looks import (
    ANSWERS,
    HEADING,
    HEADING_RIGHT,
    NOTICE,
    RIGHT,
    CellKind,
    row_rule,
    word_rules,
)
from register.exchange.workbook.paper import PageText, set_up_page
from register.exchange.workbook.row_xml import RowWriter, Styles
from register.stopping import step_by_step

INDENT: Final = 1.3
"""What a heading at the right is set in further, in characters, so that the filter's button doesn't hide its end."""


def write_sheet(book: BookWriter, sheet: Sheet[Any], page: PageText) -> Worksheet:
    """Add a described sheet to the book. A sheet without rows holds one sentence and no table."""
    rows = book.new_file()
    count = _write_rows(rows, sheet, book.styles)
    target = book.new_sheet(sheet.title, Written(rows, count, len(sheet.columns)))
    target.sheet_properties.tabColor = sheet.colour
    target.sheet_view.showGridLines = False
    set_up_page(target, page, landscape=not sheet.portrait)
    if sheet.one_page:
        target.page_setup.fitToHeight = 1
    if not count:
        put(cell_at(target, 1, 1), sheet.empty, NOTICE)
        target.column_dimensions["A"].width = 100
        return target
    _write_heads(target, sheet)
    target.freeze_panes = f"{get_column_letter(sheet.held + 1)}2"
    _mark(target, sheet, count + 1)
    guard_answers(target, sheet, count + 1)
    target.add_table(_table(sheet, count + 1))
    return target


def _write_rows(target: IO[bytes], sheet: Sheet[Any], styles: Styles) -> int:
    """Write the rows below the heading, and return how many."""
    count = 0
    for count, row in enumerate(_rows(sheet, styles), start=1):  # noqa: B007 - the last number is the count
        target.write(row.encode())
    return count


def _rows(sheet: Sheet[Any], styles: Styles) -> Iterator[str]:
    writer = RowWriter(sheet.columns, styles)
    marked = next((place for place, column in enumerate(sheet.columns) if column.title == sheet.marked), None)
    for number, row in enumerate(step_by_step(sheet.rows), start=2):
        values = [column.value(row) for column in sheet.columns]
        yield writer.row(number, values, marked=marked is not None and values[marked] in sheet.marks)


def _write_heads(target: Worksheet, sheet: Sheet[Any]) -> None:
    lines = 1
    for index, column in enumerate(sheet.columns, start=1):
        put(cell_at(target, 1, index), column.title, HEADING_RIGHT if column.kind in RIGHT else HEADING)
        target.column_dimensions[get_column_letter(index)].width = column.width
        if column.kind is CellKind.MARK:
            continue  # hidden
        lines = max(lines, line_count(column.title, column.width - (INDENT if column.kind in RIGHT else 0), bold=True))
    target.row_dimensions[1].height = row_height(lines)
    target.print_title_rows = "1:1"


def _mark(target: Worksheet, sheet: Sheet[Any], last: int) -> None:
    """Give the words that say where something stands their tone, and mark the rows that must not be missed."""
    letters = {get_column_letter(index): column for index, column in enumerate(sheet.columns, start=1)}
    rules = target.conditional_formatting
    for letter, column in letters.items():
        if column.kind is CellKind.STANDING:
            for rule in word_rules(f"{letter}2", sheet.mark):
                rules.add(f"{letter}2:{letter}{last}", rule)
    if not sheet.marked:
        return
    place = next(letter for letter, column in letters.items() if column.title == sheet.marked)
    shaded = [letter for letter, column in letters.items() if column.kind not in {CellKind.STANDING, *ANSWERS}]
    for bold in (True, False):  # prose keeps its weight, by which the height of its rows is reckoned
        which = (letter for letter in shaded if bold is (letters[letter].kind is not CellKind.PROSE))
        cells = " ".join(f"{letter}2:{letter}{last}" for letter in which)
        if cells:
            for mark in sheet.marks:
                rules.add(cells, row_rule(f'${place}2="{mark}"', bold=bold))


def _table(sheet: Sheet[Any], last: int) -> Table:
    """Return the table. Its columns are named here: openpyxl would make a cell for every row to find their names."""
    place = f"A1:{get_column_letter(len(sheet.columns))}{last}"
    table = Table(displayName=sheet.table, ref=place)
    table.tableStyleInfo = TableStyleInfo(name=None, showRowStripes=False)
    table.tableColumns = [TableColumn(id=index, name=column.title) for index, column in enumerate(sheet.columns, 1)]
    table.autoFilter = AutoFilter(ref=place)
    return table
