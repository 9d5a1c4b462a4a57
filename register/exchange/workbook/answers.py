"""What the owner fills in: the columns for it, the lists behind them, and the hidden marks by which it comes back."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from register.domain.text import clean_text
from register.exchange.sheets.cells import exact, text_of
from register.exchange.workbook.book import BookWriter
from register.exchange.workbook.cells import LONGEST, Value, cell_at, clean, put
from register.exchange.workbook.columns import Column, HasItem, Row, Sheet
from register.exchange.workbook.looks import ANSWERS, CellKind, cell_style
from register.exchange.workbook.paper import PageText, set_up_page
from register.services.owners.review import Word
from register.services.owners.rows import OwnerReport

ANSWER: Final = "Your answer"
MOVED_TO: Final = "Moved to which area"
COMMENT: Final = "Your comment"
PRESSED_ON: Final = "Test button pressed on"
ANSWER_TITLES: Final = (ANSWER, MOVED_TO, PRESSED_ON, COMMENT)
ROW_MARK: Final = "Row mark"
ROW_SENT: Final = "Row as sent"
BETWEEN: Final = "␟"
"""Stands between the texts of a row's cells."""

AS_SENT: Final = "As sent"
"""The hidden sheet that says which state of the register the book shows, and what its sheets are."""

FORMAT: Final = "2"
_ASK_WORD: Final = "Choose one of: {}. Anything else goes into the column for your comment."
_ASK_DAY: Final = "Give the day as a date, such as 2026-11-24, or leave the cell empty."


def answer_columns() -> tuple[Column[HasItem], ...]:
    """Return the columns that the owner fills in, and the hidden one that says which item a row is."""
    return (
        _asked(ANSWER, 14, choices=tuple(Word)),
        _asked(MOVED_TO, 15),
        _asked(PRESSED_ON, 13, kind=CellKind.ANSWER_DAY),
        _asked(COMMENT, 28),
        mark_column(),
    )


def mark_column() -> Column[HasItem]:
    """Return the hidden column that says which item a row is about."""
    return Column(ROW_MARK, 5, CellKind.MARK, lambda row: row.item.id)


def _asked(
    title: str, width: float, *, kind: CellKind = CellKind.ANSWER, choices: tuple[str, ...] = ()
) -> Column[HasItem]:
    return Column(title, width, kind, lambda _row: None, choices)


def marked(sheet: Sheet[Row]) -> Sheet[Row]:
    """Return the sheet with a second hidden column, which keeps how each row reads when it is sent."""
    told = told_columns(sheet)
    sent: Column[Row] = Column(ROW_SENT, 5, CellKind.MARK, lambda row: _sent([column.value(row) for column in told]))
    return replace(sheet, columns=(*sheet.columns, sent))


def told_columns(sheet: Sheet[Row]) -> list[Column[Row]]:
    """Return the columns that tell something: neither the owner's answers nor hidden."""
    return [column for column in sheet.columns if column.kind not in ANSWERS | {CellKind.MARK}]


def _sent(values: list[Value]) -> str:
    """Return how the cells of a row read, in one text; empty where no cell has room for it."""
    text = BETWEEN.join(apart(as_read(value)) for value in values)
    return text if len(text) < LONGEST // 2 else ""


def apart(text: str) -> str:
    """Return a text as it is kept among others, without what stands between them."""
    return clean_text(text.replace(BETWEEN, " "))


def guard_answers(target: Worksheet, sheet: Sheet[Any], last: int) -> None:
    """Give the columns of answers their lists and checks, and hide the marks."""
    if sheet.answered and not sheet.prints_answers:
        target.print_area = f"A1:{get_column_letter(len(told_columns(sheet)))}{last}"
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


def write_as_sent(book: BookWriter, report: OwnerReport, sheets: Iterable[Sheet[Any]], page: PageText) -> None:
    """Write the hidden sheet: what the book was written from, and the headings and number of rows of its sheets."""
    target = book.new_sheet(AS_SENT)
    target.sheet_state = "veryHidden"
    set_up_page(target, page)
    for number, line in enumerate(_lines(report, sheets, book.rows), start=1):
        for column, text in enumerate(line, start=1):
            put(cell_at(target, number, column), text, cell_style(CellKind.MARK))


def _lines(report: OwnerReport, sheets: Iterable[Sheet[Any]], rows: Mapping[str, int]) -> Iterator[tuple[str, ...]]:
    yield ("format", FORMAT)
    yield ("events", str(report.events))
    yield ("head", report.chain_head)
    yield ("owner", report.owner)
    yield ("site", *(report.sites or (report.site.code,)))
    yield ("as at", report.as_at.isoformat())
    for sheet in sheets:
        if rows[sheet.title] and sheet.compared:
            titles = (column.title for column in told_columns(sheet))
            yield ("sheet", sheet.title, str(rows[sheet.title]), "answers" if sheet.answered else "", *titles)


@lru_cache(maxsize=2_048)
def as_read(value: Value) -> str:
    """Return the text that a cell with this value has when the file is read again."""
    if isinstance(value, str):
        return clean_text(text_of(clean(value)))
    if value is None or isinstance(value, int):
        return "" if value is None else str(value)
    return f"{exact(float(value)):f}" if isinstance(value, Decimal) else text_of(value)
