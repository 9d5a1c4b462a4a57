"""Rows of a sheet as they stand in the file, made one by one: what is written is never held in memory as a whole.

openpyxl writes everything else of the file; its own way with rows takes several times as long and keeps each cell.
The form of rows and cells: ECMA-376 part 1, 18.3.1.73 (row) and 18.3.1.4 (c).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final
from xml.sax.saxutils import escape

from openpyxl.cell.cell import Cell
from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook

from register.exchange.workbook.cells import Value, as_printed, clean, guarded, is_risky
from register.exchange.workbook.columns import Column
from register.exchange.workbook.heights import MOST_LINES, line_count, row_height
from register.exchange.workbook.looks import WRAPPED, CellKind, cell_style

_DAY_ZERO: Final = date(1899, 12, 30).toordinal()
"""The day from which programs count the days of a date, in the calendar that begins in 1900."""


@dataclass(slots=True)
class Styles:
    """The numbers under which the file keeps the looks of cells, each asked of openpyxl once."""

    book: Workbook
    _known: dict[tuple[str, str, bool], str] = field(default_factory=dict)

    def of(self, style: str, number_format: str = "", *, typed: bool = False) -> str:
        """Return the number of a named style, perhaps with another number format, or for text marked as typed."""
        key = (style, number_format, typed)
        if key not in self._known:
            cell = Cell(self.book.worksheets[0], row=1, column=1)
            cell.style = style
            if number_format and cell.number_format == "General":
                cell.number_format = number_format
            if typed:
                cell.quotePrefix = True
            self._known[key] = str(cell.style_id)
        return self._known[key]


class _Cells:
    """Makes the cells of one column: each as short a text as it can be, joined from parts that are made once."""

    def __init__(self, place: int, column: Column[Any], styles: Styles) -> None:
        style = cell_style(column.kind)
        self._start = f'<c r="{get_column_letter(place)}'
        self._style, self._styles = style, styles
        self._plain, self._typed = f'" s="{styles.of(style)}"', f'" s="{styles.of(style, typed=True)}"'
        self._long = f'" s="{styles.of(cell_style(CellKind.LONG))}"'
        self._long_typed = f'" s="{styles.of(cell_style(CellKind.LONG), typed=True)}"'

    def text(self, row: int, value: str, *, long: bool) -> str:
        """Return the cell of a text."""
        said, typed = _said(value)
        if not said:
            return f"{self._start}{row}{self._plain}/>"
        style = (self._long_typed if typed else self._long) if long else self._typed if typed else self._plain
        return f'{self._start}{row}{style} t="inlineStr">{said}</c>'

    def other(self, row: int, value: int | Decimal | date | None) -> str:
        """Return the cell of a number, a day or nothing."""
        if value is None:
            return f"{self._start}{row}{self._plain}/>"
        if isinstance(value, date):
            return f"{self._start}{row}{self._plain}><v>{value.toordinal() - _DAY_ZERO}</v></c>"
        if isinstance(value, Decimal):
            style = self._styles.of(self._style, as_printed(value))
            return f'{self._start}{row}" s="{style}"><v>{value:f}</v></c>'
        return f"{self._start}{row}{self._plain}><v>{value}</v></c>"


class RowWriter:
    """Makes the rows of one sheet of such columns. A row is bold where it is marked, which can take more lines."""

    def __init__(self, columns: Sequence[Column[Any]], styles: Styles) -> None:
        self._columns = [
            (_Cells(place, column, styles), column.width, column.kind in WRAPPED, column.kind is not CellKind.PROSE)
            for place, column in enumerate(columns, start=1)
        ]

    def row(self, number: int, values: Sequence[Value], *, marked: bool) -> str:
        """Return one row with its number in the sheet."""
        made, most = [], 1
        for (cells, width, wrapped, weighs), value in zip(self._columns, values, strict=True):
            if not isinstance(value, str):
                made.append(cells.other(number, value))
                continue
            lines = line_count(value, width, bold=marked and weighs) if wrapped else 1
            most = max(most, lines)
            made.append(cells.text(number, value, long=lines == MOST_LINES))
        return f'<row r="{number}" ht="{row_height(most):g}" customHeight="1">{"".join(made)}</row>'


@lru_cache(maxsize=2_048)
def _said(text: str) -> tuple[str, bool]:
    """Return a text as it stands in a cell, empty where nothing is to be seen, and whether it is marked as typed."""
    kept = clean(text)
    if not kept.strip():
        return "", False
    return f'<is><t xml:space="preserve">{escape(guarded(kept))}</t></is>', is_risky(kept)
