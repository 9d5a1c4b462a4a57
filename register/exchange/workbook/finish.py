"""Makes a finished file of a book, and sees that what was written is what was meant."""

from collections.abc import Collection, Mapping
from datetime import date, datetime, time
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from openpyxl import load_workbook
from openpyxl.workbook import Workbook
from openpyxl.writer.excel import ExcelWriter

from register.exchange.workbook.cells import clean


def name_book(book: Workbook, title: str, firm: str, as_at: date) -> None:
    """Write into the file's properties what it is, whose, and of which day."""
    about = book.properties
    about.title = clean(title)
    about.subject = f"As at {as_at.isoformat()}"
    about.creator = about.lastModifiedBy = clean(firm)
    about.created = about.modified = datetime.combine(as_at, time())


def finished(book: Workbook) -> bytes:
    """Return the finished file. Its parts carry no time of writing, so equal content is equal bytes."""
    written = BytesIO()
    # not Workbook.save, which sets the time of the last change to now
    ExcelWriter(book, ZipFile(written, "w", ZIP_DEFLATED)).save()
    timeless = BytesIO()
    with ZipFile(written) as old, ZipFile(timeless, "w", ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(ZipInfo(name), old.read(name), ZIP_DEFLATED)
    return timeless.getvalue()


def check_rows(path: Path, rows: Mapping[str, int], *, without: Collection[str] = ()) -> None:
    """Open the file that was written and see that every sheet and row is in it; `without` names sheets left out."""
    with path.open("rb") as file:
        book = load_workbook(file, read_only=True)
        found = {}
        for sheet in book.worksheets:
            sheet.reset_dimensions()
            found[sheet.title] = sum(1 for _ in sheet.iter_rows(values_only=True)) - 1
        book.close()
    if {title: count for title, count in found.items() if title not in without} != rows:
        raise RuntimeError(f"the workbook was written with {found} rows instead of {rows}")
