"""Opening a spreadsheet file of either form, through the gate."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from register.exchange.sheets.cells import Book
from register.exchange.sheets.gate import FileForm, check_file


@contextmanager
def open_book(path: Path) -> Iterator[Book]:
    """Open a workbook or text table for as long as the block lasts; its rows are read as they are asked for.

    Unavailable when the file can't be read at all; Refused, with the cause, when it is damaged, no spreadsheet,
    or beyond a limit.
    """
    if check_file(path) is FileForm.WORKBOOK:
        from register.exchange.sheets.workbook import open_workbook

        with open_workbook(path) as book:
            yield book
    else:
        from register.exchange.sheets.plain_text import open_text

        with open_text(path) as book:
            yield book
