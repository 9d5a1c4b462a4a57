"""Writes one described sheet: one heading row, one table, nothing merged, nothing blank in between."""

from typing import Any, Final

from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook
from openpyxl.worksheet.table import Table, TableStyleInfo
from openpyxl.worksheet.worksheet import Worksheet

from register.exchange.workbook.answers import guard_answers
from register.exchange.workbook.cells import Value, cell_at, put
from register.exchange.workbook.columns import Column, Sheet
from register.exchange.workbook.heights import MOST_LINES, line_count, row_height
from register.exchange.workbook.looks import (
    ANSWERS,
    HEADING,
    HEADING_RIGHT,
    NOTICE,
    RIGHT,
    WRAPPED,
    CellKind,
    cell_style,
    row_rule,
    word_rules,
)
from register.exchange.workbook.paper import PageText, set_up_page

HELD_COLUMNS: Final = 2
INDENT: Final = 1.3
"""What a heading at the right is set in further, in characters, so that the filter's button doesn't hide its end."""


def write_sheet(book: Workbook, sheet: Sheet[Any], page: PageText) -> None:
    """Add a described sheet to the book. A sheet without rows holds one sentence and no table."""
    target = book.create_sheet(sheet.title)
    target.sheet_properties.tabColor = sheet.colour
    target.sheet_view.showGridLines = False
    set_up_page(target, page)
    if not sheet.rows:
        put(cell_at(target, 1, 1), sheet.empty, NOTICE)
        target.column_dimensions["A"].width = 100
        return
    _write_heads(target, sheet)
    for number, row in enumerate(sheet.rows, start=2):
        _write_row(target, number, sheet, row)
    _hold(target)
    _mark(target, sheet)
    guard_answers(target, sheet)
    target.add_table(_table(sheet))


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


def _write_row(target: Worksheet, number: int, sheet: Sheet[Any], row: object) -> None:
    cells = [(column, column.value(row)) for column in sheet.columns]
    marked = any(column.title == sheet.marked and value == sheet.mark for column, value in cells)
    most = 1
    for index, (column, value) in enumerate(cells, start=1):
        lines = _lines(column, value, bold=marked)
        style = cell_style(CellKind.LONG if lines == MOST_LINES else column.kind)
        put(cell_at(target, number, index), value, style)
        most = max(most, lines)
    target.row_dimensions[number].height = row_height(most)


def _lines(column: Column[Any], value: Value, *, bold: bool) -> int:
    if not isinstance(value, str) or column.kind not in WRAPPED:
        return 1
    return line_count(value, column.width, bold=bold and column.kind is not CellKind.PROSE)


def _hold(target: Worksheet) -> None:
    target.freeze_panes = f"{get_column_letter(HELD_COLUMNS + 1)}2"


def _mark(target: Worksheet, sheet: Sheet[Any]) -> None:
    """Give the words that say where something stands their tone, and mark the rows that must not be missed."""
    last = len(sheet.rows) + 1
    letters = {get_column_letter(index): column for index, column in enumerate(sheet.columns, start=1)}
    place = next(letter for letter, column in letters.items() if column.title == sheet.marked)
    rules = target.conditional_formatting
    for letter, column in letters.items():
        if column.kind is CellKind.STANDING:
            for rule in word_rules(f"{letter}2", sheet.mark):
                rules.add(f"{letter}2:{letter}{last}", rule)
    for bold in (True, False):
        cells = " ".join(
            f"{letter}2:{letter}{last}"
            for letter, column in letters.items()
            if column.kind not in {CellKind.STANDING, *ANSWERS} and (column.kind is not CellKind.PROSE) is bold
        )
        rules.add(cells, row_rule(f'${place}2="{sheet.mark}"', bold=bold))


def _table(sheet: Sheet[Any]) -> Table:
    last = f"{get_column_letter(len(sheet.columns))}{len(sheet.rows) + 1}"
    table = Table(displayName=sheet.table, ref=f"A1:{last}")
    table.tableStyleInfo = TableStyleInfo(name=None, showRowStripes=False)
    return table
