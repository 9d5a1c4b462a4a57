"""A workbook while it is written: openpyxl keeps all but the rows, which wait outside until the file is made."""

import re
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import date, datetime, time
from io import BytesIO
from pathlib import Path
from tempfile import SpooledTemporaryFile, gettempdir
from types import TracebackType
from typing import IO, Final
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.writer.excel import ExcelWriter

from register.errors import Unavailable
from register.exchange.workbook.cells import clean
from register.exchange.workbook.looks import register_styles
from register.exchange.workbook.row_xml import Styles
from register.stopping import go_on
from register.store.room import drive_of, is_full

_IN_MEMORY: Final = 1_000_000
"""What takes more bytes waits on disk until the file is put together."""

_AT_A_TIME: Final = 1 << 18
_END: Final = b"</sheetData>"
_DIMENSION: Final = re.compile(rb'<dimension ref="[^"]*"\s*/>')
_PRESSED: Final = 6
"""How hard rows are compressed: harder takes longer and saves next to nothing."""


@dataclass(frozen=True, slots=True)
class Written:
    """The rows of one sheet below its heading, as they will stand in the file; how many, and of how many columns."""

    rows: IO[bytes]
    count: int
    columns: int


class BookWriter(ExitStack):
    """A workbook to which described sheets are added one after the other, and which becomes a file once.

    The rows wait in temporary files, which go when the block is left in which the book is used. Unavailable where the
    drive that holds those is full.
    """

    def __init__(self) -> None:
        super().__init__()
        self.book = Workbook()
        self._first = self.book.worksheets[0]
        register_styles(self.book)
        self.styles = Styles(self.book)
        self._written: dict[str, Written] = {}

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None, /
    ) -> bool | None:
        try:
            left = super().__exit__(kind, error, trace)
        except OSError as trouble:  # as a temporary file is closed
            error, left = trouble, False
            if not is_full(trouble):
                raise
        if isinstance(error, OSError) and is_full(error):
            raise _no_room() from error
        return left

    @property
    def rows(self) -> dict[str, int]:
        """How many rows each described sheet has, by its title."""
        return {title: written.count for title, written in self._written.items()}

    def new_file(self) -> IO[bytes]:
        """Return an empty temporary file, which lasts as long as the book."""
        return self.enter_context(SpooledTemporaryFile(_IN_MEMORY))

    def new_sheet(self, title: str, written: Written | None = None, place: int | None = None) -> Worksheet:
        """Return a new sheet, with rows that come into it when the file is put together."""
        target: Worksheet = self.book.create_sheet(title, place)
        if written is not None:
            self._written[title] = written
        return target

    def name(self, title: str, firm: str, as_at: date) -> None:
        """Write into the file's properties what it is, whose, and of which day."""
        about = self.book.properties
        about.title = clean(title)
        about.subject = f"As at {as_at.isoformat()}"
        about.creator = about.lastModifiedBy = clean(firm)
        about.created = about.modified = datetime.combine(as_at, time())

    def finished(self) -> IO[bytes]:
        """Return the finished file, open. Its parts carry no time of writing, so equal content is equal bytes."""
        self.book.remove(self._first)
        frame = BytesIO()
        # not Workbook.save, which sets the time of the last change to now
        ExcelWriter(self.book, ZipFile(frame, "w", ZIP_DEFLATED)).save()
        rows = {sheet.path[1:]: self._written.get(sheet.title) for sheet in self.book.worksheets}
        whole = self.new_file()
        with ZipFile(frame) as old, ZipFile(whole, "w", ZIP_DEFLATED, compresslevel=_PRESSED) as new:
            for name in old.namelist():
                with new.open(_timeless(name), "w", force_zip64=True) as part:
                    for piece in _filled(old.read(name), rows.get(name)):
                        go_on()
                        part.write(piece)
        return whole

    def check(self, path: Path) -> None:
        """Go through the file that was written and see that its parts are whole and every row in them."""
        with ZipFile(path) as archive:
            for title, written in self._written.items():
                found = _row_count(archive, self.book[title].path[1:]) - 1
                if found != written.count:
                    raise RuntimeError(f"“{title}” was written with {found} rows instead of {written.count}")


def _no_room() -> Unavailable:
    folder = Path(gettempdir())
    return Unavailable(
        f"The drive {drive_of(folder)} is full, so no workbook could be put together in {folder}; an earlier one is as"
        " it was. Free some room there and write it again."
    )


def _timeless(name: str) -> ZipInfo:
    part = ZipInfo(name)
    part.compress_type = ZIP_DEFLATED
    return part


def _filled(frame: bytes, written: Written | None) -> Iterator[bytes]:
    """Yield a part of the file with the rows that belong into it."""
    if written is None or not written.count:
        yield frame
        return
    place = f"A1:{get_column_letter(written.columns)}{written.count + 1}"
    top, end, rest = frame.partition(_END)
    yield _DIMENSION.sub(f'<dimension ref="{place}"/>'.encode(), top, count=1)
    written.rows.seek(0)
    while piece := written.rows.read(_AT_A_TIME):
        yield piece
    yield end + rest


def _row_count(archive: ZipFile, name: str) -> int:
    """Return how many rows a sheet has; the archive tells where its bytes are not those that were written."""
    count, kept = 0, b""
    with archive.open(name) as part:
        while piece := part.read(_AT_A_TIME):
            go_on()
            count += (kept + piece).count(b"<row ")
            kept = piece[-4:]
    return count
