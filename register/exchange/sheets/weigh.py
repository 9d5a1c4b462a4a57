"""Weighing the parts of a workbook before they are parsed: a small file can ask for a lot of memory and time.

A parser builds an object for each tag, so what counts is not how many bytes a part has but how many tags, cells
and rows, and how long one row or text is. Each part is streamed through once, byte by byte, when it is opened.
"""

import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import IO, Final, Literal

from openpyxl.utils.cell import column_index_from_string

from register.errors import Refused
from register.exchange.sheets.cells import MOST_CELLS, Span
from register.exchange.sheets.gate import damaged

MOST_TEXTS: Final = 500_000
MOST_ROWS_WRITTEN: Final = 1_048_576
MOST_CELLS_A_ROW: Final = 16_384
LARGEST_ROW: Final = 16_000_000
LARGEST_TEXT: Final = 512_000
"""Bytes between two tags. A cell's 32,767 characters need at most 200,000, even if each is written as a number."""
MOST_OTHER_TAGS: Final = 100_000
LARGEST_OTHER_PART: Final = 10_000_000
LARGEST_TEXTS: Final = 64_000_000

_CHUNK: Final = 262_144
_COUNTED: Final = re.compile(rb"<(?:[\w.-]+:)?(row|c|si|mergeCell)[\s/>]")
_SPAN: Final = re.compile(rb"""[^>]*?\bref\s*=\s*["']([A-Z]{1,3})([1-9][0-9]{0,6}):[A-Z]{1,3}([1-9][0-9]{0,6})["']""")
_LONG_FORMAT: Final = re.compile(rb"<(?:[\w.-]+:)?numFmt\b[^<]{2000}")
"""A number format has 255 characters at most; looking for dates in one without end takes for ever."""
_ENCODING: Final = re.compile(rb"""encoding\s*=\s*["']([^"']*)""")
_ENCODINGS: Final = frozenset({b"utf-8", b"utf8", b"us-ascii", b"ascii"})
_STRICT: Final = b"http://purl.oclc.org/ooxml/"
_BEGINNING: Final = 2_000
_TAGS_A_CELL: Final = 8
_TAGS_A_ROW: Final = 2
_TAGS_A_TEXT: Final = 12


@dataclass(slots=True)
class _Weight:
    size: int = 0
    tags: int = 0
    rows: int = 0
    cells: int = 0
    texts: int = 0
    cells_of_row: int = 0
    row_began: int = 0
    spans: list[Span] = field(default_factory=list)


class WeighedZip(zipfile.ZipFile):
    """A zip archive that weighs each part before handing it out, and refuses those that are too heavy."""

    def __init__(self, file: IO[bytes], name: str) -> None:
        super().__init__(file)
        self._called = name
        self.spans: dict[str, list[Span]] = {}
        """The cells of each part opened so far that are merged over several rows."""

    def open(
        self,
        name: str | zipfile.ZipInfo,
        mode: Literal["r", "w"] = "r",
        pwd: bytes | None = None,
        *,
        force_zip64: bool = False,
    ) -> IO[bytes]:
        """Open a part as `ZipFile.open` does. Refused when it is not plain XML or too heavy."""
        with super().open(name) as stream:
            self.spans[str(getattr(name, "filename", name))] = _weigh(self._called, stream)
        return super().open(name, mode, pwd, force_zip64=force_zip64)


def _weigh(name: str, stream: IO[bytes]) -> list[Span]:
    """Refuse a part that is too heavy; return the cells in it that are merged over several rows."""
    weight, held = _Weight(), b""
    while chunk := stream.read(_CHUNK):
        if not weight.size:
            _check_beginning(name, chunk)
        weight.size += len(chunk)
        weight.tags += chunk.count(b"<")
        data = held + chunk
        if b"<!DOCTYPE" in data or b"<!ENTITY" in data:
            raise Refused(f"“{name}” declares entities of its own, which no workbook needs. It was not read.")
        cut = data.rfind(b"<")  # a tag may go on in the next chunk
        began = weight.size - len(data)
        _count(name, weight, data[:cut] if cut > 0 else b"", began)
        held = data[max(cut, 0) :]
        if len(held) > LARGEST_TEXT:
            raise Refused(f"“{name}” has a cell with more than 32,767 characters. Shorten it and save the file again.")
        _check(name, weight)
    _count(name, weight, held, weight.size - len(held))
    _check(name, weight)
    return weight.spans


def _check_beginning(name: str, chunk: bytes) -> None:
    plain = chunk.removeprefix(b"\xef\xbb\xbf").lstrip()
    said = _ENCODING.search(plain[: plain.find(b">") + 1])
    if not plain.startswith(b"<") or (said and said[1].lower() not in _ENCODINGS):
        raise damaged(name, "a part is not XML in UTF-8")
    if _STRICT in chunk[:_BEGINNING]:
        raise Refused(f"“{name}” was saved in the strict form of .xlsx. Save it again as an ordinary .xlsx workbook.")


def _count(name: str, weight: _Weight, data: bytes, began: int) -> None:
    if b"numFmt" in data and _LONG_FORMAT.search(data):
        raise Refused(
            f"“{name}” has a number format of thousands of characters, which no workbook needs. Copy the list's values "
            "into a new workbook, save that and choose it."
        )
    for match in _COUNTED.finditer(data):
        tag = match[1]
        if tag == b"c":
            weight.cells += 1
            weight.cells_of_row += 1
            if weight.cells_of_row > MOST_CELLS_A_ROW:
                raise damaged(name, f"a row has more than {MOST_CELLS_A_ROW:,} cells")
        elif tag == b"row":
            weight.rows += 1
            weight.cells_of_row = 0
            weight.row_began = began + match.start()
        elif tag == b"si":
            weight.texts += 1
        else:
            weight.spans += _span(data, match.end() - 1)
    if weight.rows and began + len(data) - weight.row_began > LARGEST_ROW:
        raise Refused(
            f"“{name}” has a row of more than {LARGEST_ROW / 1e6:.0f} MB. Shorten it and save the file again."
        )


def _span(data: bytes, at: int) -> Iterator[Span]:
    """Yield what the tag of a merged cell says, where the cell reaches over several rows."""
    found = _SPAN.match(data, at)
    if found and int(found[3]) > int(found[2]):
        column = column_index_from_string(found[1].decode())
        yield Span(int(found[2]), int(found[3]), column - 1)


def _check(name: str, weight: _Weight) -> None:
    if weight.cells > MOST_CELLS or weight.rows > MOST_ROWS_WRITTEN:
        raise Refused(
            f"“{name}” has a sheet with more than {MOST_CELLS:,} cells or {MOST_ROWS_WRITTEN:,} rows, blank ones "
            "included. Delete the blank rows and columns around the list, or split it, and save it again."
        )
    if weight.texts > MOST_TEXTS or (weight.texts and weight.size > LARGEST_TEXTS):
        raise Refused(
            f"“{name}” holds more than {MOST_TEXTS:,} different texts or {LARGEST_TEXTS / 1e6:.0f} MB of them. "
            "Split the list and save each part as a file of its own."
        )
    known = _TAGS_A_CELL * weight.cells + _TAGS_A_ROW * weight.rows + _TAGS_A_TEXT * weight.texts
    plain = not (weight.rows or weight.texts)
    if weight.tags > known + MOST_OTHER_TAGS or (plain and weight.size > LARGEST_OTHER_PART):
        raise Refused(
            f"“{name}” holds far more formatting than a list needs. "
            "Copy the list's values into a new workbook, save that and choose it."
        )
