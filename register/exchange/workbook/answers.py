"""What the owner fills in: the columns for it, the lists behind them, and the hidden marks by which it comes back."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any, Final

from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from register.domain.text import clean_text
from register.exchange.sheets.cells import exact, text_of
from register.exchange.workbook.cells import Value, cell_at, clean, put
from register.exchange.workbook.columns import Column, HasItem, Sheet
from register.exchange.workbook.looks import ANSWERS, CellKind, cell_style
from register.exchange.workbook.paper import PageText, set_up_page
from register.services.report_rows import OwnerReport
from register.services.review import Word

ANSWER: Final = "Your answer"
MOVED_TO: Final = "Moved to which area"
COMMENT: Final = "Your comment"
PRESSED_ON: Final = "Test button pressed on"
ROW_MARK: Final = "Row mark"

AS_SENT: Final = "As sent"
"""The hidden sheet that says which state of the register the book shows, and how its cells read when it was sent."""

FORMAT: Final = "1"
_ASK_WORD: Final = "Choose one of: {}. Anything else goes into the column for your comment."
_ASK_DAY: Final = "Give the day as a date, such as 24/11/2026, or leave the cell empty."


def answer_columns() -> tuple[Column[HasItem], ...]:
    """Return the columns that the owner fills in, and the hidden one that says which item a row is."""
    return (
        _asked(ANSWER, 14, choices=tuple(Word)),
        _asked(MOVED_TO, 17),
        _asked(PRESSED_ON, 13, kind=CellKind.ANSWER_DAY),
        _asked(COMMENT, 30),
        Column(ROW_MARK, 5, CellKind.MARK, lambda row: row.item.id),
    )


def _asked(
    title: str, width: float, *, kind: CellKind = CellKind.ANSWER, choices: tuple[str, ...] = ()
) -> Column[HasItem]:
    return Column(title, width, kind, lambda _row: None, choices)


def guard_answers(target: Worksheet, sheet: Sheet[Any]) -> None:
    """Give the columns of answers their lists and checks, and hide the marks."""
    last = len(sheet.rows) + 1
    if sheet.answered and not sheet.prints_answers:
        kept = sum(column.kind not in ANSWERS | {CellKind.MARK} for column in sheet.columns)
        target.print_area = f"A1:{get_column_letter(kept)}{last}"
    for index, column in enumerate(sheet.columns, start=1):
        letter = get_column_letter(index)
        if column.kind is CellKind.MARK:
            target.column_dimensions[letter].hidden = True
        check = _check(column)
        if check is not None:
            check.showErrorMessage = check.showInputMessage = True
            check.add(f"{letter}2:{letter}{last}")
            target.add_data_validation(check)


def _check(column: Column[Any]) -> DataValidation | None:
    if column.choices:
        told = _ASK_WORD.format(", ".join(column.choices))
        return DataValidation(
            type="list", formula1=f'"{",".join(column.choices)}"', allow_blank=True, errorTitle=column.title,
            error=told, promptTitle=column.title, prompt="Choose from the list, or leave it empty.",
        )  # fmt: skip
    if column.kind is CellKind.ANSWER_DAY:
        return DataValidation(
            type="date", operator="greaterThan", formula1="DATE(2000,1,1)", allow_blank=True, errorTitle=column.title,
            error=_ASK_DAY,
        )  # fmt: skip
    return None


def write_as_sent(book: Workbook, report: OwnerReport, sheets: tuple[Sheet[Any], ...], page: PageText) -> None:
    """Write the hidden sheet: what the book was written from, and the texts of its rows."""
    target = book.create_sheet(AS_SENT)
    target.sheet_state = "veryHidden"
    set_up_page(target, page)
    for number, line in enumerate(_lines(report, sheets), start=1):
        for column, text in enumerate(line, start=1):
            put(cell_at(target, number, column), text, cell_style(CellKind.MARK))


def _lines(report: OwnerReport, sheets: tuple[Sheet[Any], ...]) -> Iterator[tuple[str, ...]]:
    yield ("format", FORMAT)
    yield ("events", str(report.events))
    yield ("head", report.chain_head)
    yield ("owner", report.owner)
    yield ("site", *(report.sites or (report.site.code,)))
    yield ("as at", report.as_at.isoformat())
    for sheet in sheets:
        if not (sheet.answered and sheet.rows):
            continue
        told = [column for column in sheet.columns if column.kind not in ANSWERS | {CellKind.MARK}]
        yield ("heads", sheet.title, "", *(column.title for column in told))
        for row in sheet.rows:
            yield ("row", sheet.title, row.item.id, *(as_read(column.value(row)) for column in told))


def as_read(value: Value) -> str:
    """Return the text that a cell with this value has when the file is read again."""
    if isinstance(value, str):
        return clean_text(text_of(clean(value)))
    if value is None or isinstance(value, int):
        return "" if value is None else str(value)
    return f"{exact(float(value)):f}" if isinstance(value, Decimal) else text_of(value)
