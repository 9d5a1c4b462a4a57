"""Text tables (CSV): which encoding and separator a file has, and its rows."""

import csv
import re
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import Final

from register.errors import Refused
from register.exchange.sheets import cells
from register.exchange.sheets.cells import Book, Note, Row, Span, Value
from register.exchange.sheets.fixed_width import cut, starts_of

LONGEST_LINE: Final = 1_000_000
MOST_CELLS_A_ROW: Final = 16_384
SEPARATORS: Final = ("\t", ";", ",")
"""In the order in which they win a tie: a comma also stands inside texts and numbers."""

_SAMPLE_ROWS: Final = 50
_LEAST_WIDTH: Final = 3
_LINE: Final = re.compile(r"[^\r\n]*(?:\r\n?|\n)|[^\r\n]+")
_TOLD: Final = re.compile(r"sep=([\t;,])[^\S\r\n]*\r?\n", re.IGNORECASE)
_MARKS: Final = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))


@contextmanager
def open_text(path: Path) -> Iterator[Book]:
    """Open a text table that passed the gate, as a book of one sheet named after the file."""
    text, notes = _decode(path.name, path.read_bytes())
    yield Book([_TextSheet(path, text)], notes)


def _decode(name: str, data: bytes) -> tuple[str, list[str]]:
    """Return the file's text: as its mark says, else UTF-8, else Windows' western encoding (noted)."""
    encoding = next((encoding for mark, encoding in _MARKS if data.startswith(mark)), "utf-8")
    notes = []
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        if encoding != "utf-8":
            raise Refused(
                f"“{name}” begins like {encoding.removesuffix('-sig').upper()} text but is damaged further on. "
                "Save it again as CSV."
            ) from None
        text = data.decode("cp1252", errors="replace")
        notes.append("The file is not UTF-8; it was read as Windows western text (cp1252). Look at names with accents.")
    if "\x00" in text:
        raise Refused(
            f"“{name}” holds NUL bytes: it is not a text table, or it is damaged. "
            "Open it in a spreadsheet program and save it as .xlsx or as CSV UTF-8."
        )
    return text, notes


def _layout(name: str, text: str) -> tuple[str, int, str]:
    """Return the separator, how many cells most rows have, and the text to read.

    The separator that splits most of the first rows into equally many cells wins. A first line `sep=;`, as some
    programs write it, decides instead and is left out (its row is still counted).
    """
    told = _TOLD.match(text)
    if told:
        text = "\n" + text[told.end() :]
    best, width, most = told[1] if told else SEPARATORS[-1], 1, 0
    for mark in best if told else SEPARATORS:
        try:
            widths = Counter(
                map(len, islice(_split(name, csv.reader(_lines(name, text), delimiter=mark)), _SAMPLE_ROWS))
            )
        except csv.Error:
            continue
        agreed, wide = max((count * min(wide - 1, 10), wide) for wide, count in {1: 0, **widths}.items())
        if agreed > most:
            best, width, most = mark, wide, agreed
    return best, width, text


def _split(name: str, rows: Iterator[list[str]]) -> Iterator[list[str]]:
    """Yield rows. Refused at one with more cells, blank ones included, than any spreadsheet has columns."""
    for number, row in enumerate(rows, 1):
        if len(row) > MOST_CELLS_A_ROW:
            raise cells.too_many_columns(name, Path(name).stem, number, len(row))
        yield row


def _lines(name: str, text: str) -> Iterator[str]:
    """Yield the lines with their ends, whichever of the three kinds they are. Refused at one beyond all reason."""
    for number, match in enumerate(_LINE.finditer(text), 1):
        if match.end() - match.start() > LONGEST_LINE:
            raise Refused(
                f"Line {number:,} of “{name}” has {match.end() - match.start():,} characters; no row of a list is so "
                "long. Choose a file that holds a table."
            )
        yield match[0]


class _TextSheet:
    """The one sheet of a text table."""

    def __init__(self, path: Path, text: str) -> None:
        self.name = path.stem
        self.hidden = False
        self.notes: list[Note] = []
        self._file_name = path.name
        self._separator, self._width, self._text = _layout(path.name, text)
        self._starts = starts_of(_lines(path.name, self._text), self._separator)
        self.spans: tuple[Span, ...] = ()

    def rows(self) -> Iterator[Row]:
        """Yield the filled rows, top down. Refused at a limit or where a quotation mark is never closed."""
        number = blank = filled = stated = 0
        for number, row in enumerate(self._records(), 1):
            values: list[Value] = [self._value(cell) for cell in row]
            while values and values[-1] is None:
                values.pop()
            stated += len(values)
            if not values:
                blank += 1
                if blank > cells.MOST_BLANK_ROWS + cells.LOOK_ON:
                    return
                continue
            if blank >= cells.MOST_BLANK_ROWS:
                self.notes.append(cells.goes_on(number - blank - 1))
                return
            blank, filled = 0, filled + 1
            if len(values) > cells.MOST_COLUMNS:
                raise cells.too_many_columns(self._file_name, self.name, number, len(values))
            if filled > cells.MOST_ROWS or stated > cells.MOST_CELLS:
                raise cells.too_many_rows(self._file_name, self.name)
            yield number, tuple(values)

    def _records(self) -> Iterator[list[str]]:
        if self._starts:
            yield from (cut(line, self._starts) for line in _lines(self._file_name, self._text))
            return
        reader = csv.reader(_lines(self._file_name, self._text), delimiter=self._separator)
        rows = _split(self._file_name, reader)
        while True:
            line = reader.line_num + 1
            try:
                yield next(rows)
            except StopIteration:
                return
            except csv.Error:
                raise Refused(
                    f"“{self._file_name}” can't be read from line {line:,} on: a quotation mark is never closed, or a "
                    f"cell has far more than {cells.LONGEST_CELL:,} characters. Correct that line and save it again."
                ) from None

    def _value(self, cell: str) -> Value:
        if len(cell) > cells.LONGEST_CELL:
            return cells.too_long(cell)
        swallowed = self._width > _LEAST_WIDTH and cell.count(self._separator) >= self._width - 1
        if swallowed and ("\n" in cell or "\r" in cell):
            return cells.Broken(
                cell[:40] + "…", "a quotation mark is not closed, so that the next rows stand in this cell"
            )
        return cell if cell.strip() else None
