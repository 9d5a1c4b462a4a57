"""The only ways in which a value gets into a cell. Text never becomes a formula.

Spreadsheet programs take text that begins with certain signs for a formula (CWE-1236; OWASP ASVS 5, item 1.2.10).
Here every text is stored as a string, and one that begins so is marked as typed text, so that it stays text even
when a reader opens the cell and presses Enter.
"""

import re
from datetime import date
from decimal import Decimal
from typing import Final, TypeAlias

from openpyxl.cell.cell import Cell
from openpyxl.worksheet.worksheet import Worksheet

Value: TypeAlias = str | int | Decimal | date | None

LONGEST: Final = 32_767
"""The most that a cell holds, counted in UTF-16 units (ECMA-376 part 1 and the programs that read it)."""

_RISKY: Final = frozenset("=+-@'\t\n＝＋－＠")  # noqa: RUF001 - the full-width forms are meant
_CONTROLS: Final = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
_LINE_ENDS: Final = re.compile("\r\n?|\x85|\u2028|\u2029")
_ESCAPE: Final = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
_ESCAPED: Final = re.compile(r"_x005F_(?=x[0-9A-Fa-f]{4}_)")


def clean(text: str) -> str:
    """Return the text without control characters, with plain line ends, and short enough for a cell."""
    if len(text) <= LONGEST and text.isascii() and text.isprintable():
        return text
    plain = _CONTROLS.sub("", _LINE_ENDS.sub("\n", text))
    if len(plain.encode("utf-16-le")) // 2 <= LONGEST:
        return plain
    cut = plain.encode("utf-16-le")[: (LONGEST - 1) * 2]
    return cut.decode("utf-16-le", errors="ignore") + "…"


def cell_at(sheet: Worksheet, row: int, column: int) -> Cell:
    """Return the cell at a row and column, counted from 1."""
    cell = sheet.cell(row, column)
    assert isinstance(cell, Cell), "sheets of the workbook have no merged cells"
    return cell


def put(cell: Cell, value: Value, style: str) -> None:
    """Write one value in a named style. None and blank text leave the cell empty."""
    cell.style = style
    if isinstance(value, str):
        _put_text(cell, clean(value))
        return
    cell.value = value
    if isinstance(value, Decimal) and cell.number_format == "General":
        cell.number_format = as_printed(value)


def _put_text(cell: Cell, text: str) -> None:
    if not text.strip():
        return
    cell.value = guarded(text)
    cell.data_type = "s"
    if is_risky(text):
        cell.quotePrefix = True


def guarded(text: str) -> str:
    """Return a text as it is stored: one that reads like an escaped character (_x0041_) would be shown as that one.

    ECMA-376 part 1, ST_Xstring.
    """
    return _ESCAPE.sub("_x005F_", text) if "_x" in text else text


def unguarded(text: str) -> str:
    """Return a text as it was before it was stored; openpyxl leaves the escape in where the text stands in its cell."""
    return _ESCAPED.sub("_", text) if "_x005F_" in text else text


def is_risky(text: str) -> bool:
    """Whether a text that is not blank begins with a sign by which programs take it for a formula."""
    return text[0] in _RISKY or text.lstrip()[0] in _RISKY


def as_printed(value: Decimal) -> str:
    """Return the number format that shows as many decimals as the instrument printed."""
    exponent = value.as_tuple().exponent
    decimals = -exponent if isinstance(exponent, int) else 0
    return f"0.{'0' * decimals}" if decimals > 0 else "0"
