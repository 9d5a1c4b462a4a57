"""The gate before any spreadsheet library: what a file really is, and whether it is safe to unpack.

The limits are far above a contractor's registers and far below what would fill the memory or hold up the program.
"""

import stat
import zipfile
import zlib
from enum import Enum
from pathlib import Path
from typing import Final
from xml.etree import ElementTree as ET

from defusedxml.common import DefusedXmlException

from register.errors import Refused, Unavailable

LARGEST_FILE: Final = 25_000_000
LARGEST_UNPACKED: Final = 200_000_000
MOST_ENTRIES: Final = 1_000
LARGEST_RATIO: Final = 100
SMALL_ENOUGH: Final = 5_000_000
"""Up to this size unpacked, the ratio is not looked at: small parts full of blanks pack very well."""

LONGEST_START: Final = 64

_ZIP: Final = b"PK\x03\x04"
_EMPTY_ZIP: Final = b"PK\x05\x06"
_LISTED: Final = b"PK\x01\x02"
_OLE: Final = b"\xd0\xcf\x11\xe0"
_ENCRYPTED: Final = 0x1
_PACKINGS: Final = frozenset({zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED})
_OTHER_PROGRAMS: Final = (
    ("xl/workbook.bin", "a binary workbook (.xlsb)"),
    ("word/", "a text document"),
    ("ppt/", "a presentation"),
)
_OTHER_FORMS: Final = (
    (b"%pdf-", "a PDF"),
    (b"{\\rtf", "a text document"),
    (b"\x89png", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"gif8", "a picture"),
    (b"\x1f\x8b", "a packed file"),
    (b"7z\xbc\xaf", "a packed file"),
    (b"rar!", "a packed file"),
    (b"<!doctype html", "a page of the web"),
    (b"<html", "a page of the web"),
    (b"<table", "a page of the web"),
    (b"<?xml", "XML"),
)
"""How files begin that people give for lists, in small letters: programs save tables of theirs under a list's name."""

BAD_INSIDE: Final = (
    zipfile.BadZipFile, zlib.error, ET.ParseError, DefusedXmlException, ArithmeticError, AttributeError,
    EOFError, LookupError, NotImplementedError, OSError, RecursionError, RuntimeError, TypeError, ValueError,
)  # fmt: skip
"""What a damaged workbook makes the libraries raise: openpyxl raises whatever it stumbles over."""


class FileForm(Enum):
    """The two forms of spreadsheet that are read."""

    WORKBOOK = "xlsx"
    TEXT = "csv"


def check_file(path: Path) -> FileForm:
    """Return which form of spreadsheet a file is, by its first bytes and not by its name.

    Unavailable when there is no such file or it can't be read; Refused, naming the cause, when it is not a
    spreadsheet or goes beyond a limit. Nothing is unpacked.
    """
    try:
        if path.is_dir():
            raise Refused(f"“{path.name}” is a folder, not a spreadsheet. Choose the file inside it.")
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            raise Refused(f"“{path.name}” is no file of a spreadsheet but a device or a pipe. Choose another file.")
        size = about.st_size
        with path.open("rb") as file:
            start = file.read(LONGEST_START)
    except FileNotFoundError:
        raise Unavailable(f"There is no file “{path.name}” in “{path.parent}”. Check the name and the drive.") from None
    except (OSError, ValueError) as problem:
        why = getattr(problem, "strerror", None) or str(problem)
        raise Unavailable(f"“{path.name}” can't be read: {why}. Close it in other programs and try again.") from None
    if size == 0:
        raise Refused(
            f"“{path.name}” is empty: it has no bytes in it. Save the spreadsheet again and choose that file."
        )
    if size > LARGEST_FILE:
        raise Refused(
            f"“{path.name}” has {size / 1e6:,.0f} MB; a spreadsheet may have at most {LARGEST_FILE / 1e6:,.0f} MB. "
            "Split it, or save a copy without pictures."
        )
    if start.startswith(_OLE):
        raise Refused(
            f"“{path.name}” is protected by a password or in the old .xls form. "
            "Open it, take the password off, and save it as .xlsx."
        )
    if start.startswith((_ZIP, _EMPTY_ZIP)):
        _check_zip(path, size)
        return FileForm.WORKBOOK
    _check_start(path.name, start)
    if path.suffix.casefold() in {".xlsx", ".xlsm", ".xltx", ".xltm"}:
        raise Refused(
            f"“{path.name}” is named like a workbook but is not one: it is damaged, or a text file under another name. "
            "Open it in a spreadsheet program and save it as .xlsx, or give it the ending .csv."
        )
    return FileForm.TEXT


def _check_start(name: str, start: bytes) -> None:
    plain = start.removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    for beginning, words in _OTHER_FORMS:
        if plain.startswith(beginning):
            raise Refused(
                f"“{name}” is {words}, whatever its name says, and not a list that is read. Open it where its table "
                "can be copied, and save that as .xlsx or .csv."
            )


def damaged(name: str, detail: str = "") -> Refused:
    """Return the refusal of a file whose inside is not as it must be. `detail` says where, after a colon."""
    more = f": {detail}" if detail else ""
    return Refused(
        f"“{name}” is damaged and can't be read{more}. Open it in a spreadsheet program and save it again as .xlsx."
    )


def _check_zip(path: Path, size: int) -> None:
    # counted in the raw bytes first: a directory of half a million names would fill the memory by being listed
    listed = path.read_bytes().count(_LISTED)
    if listed > MOST_ENTRIES:
        raise Refused(
            f"“{path.name}” holds {listed:,} parts; a workbook may have at most {MOST_ENTRIES:,}. "
            "Save a copy with only the sheets of the register."
        )
    try:
        with zipfile.ZipFile(path) as archive:
            entries = archive.infolist()
            _check_entries(path.name, entries)
            _check_weight(path.name, entries, size)
            names = {entry.filename for entry in entries}
            kind = b""
            if "mimetype" in names:
                with archive.open("mimetype") as part:
                    kind = part.read(100)
    except BAD_INSIDE:
        raise damaged(path.name) from None
    _check_contents(path.name, names, kind)


def _check_entries(name: str, entries: list[zipfile.ZipInfo]) -> None:
    for entry in entries:
        inner = entry.filename.replace("\\", "/")
        if inner.startswith("/") or ":" in inner or ".." in inner.split("/"):
            raise Refused(
                f"“{name}” holds a part named “{inner[:60]}”, which points outside the file. It was not opened."
            )
        if entry.flag_bits & _ENCRYPTED:
            raise Refused(f"“{name}” is protected by a password. Take the password off and save it as .xlsx.")
        if entry.compress_type not in _PACKINGS:
            raise damaged(name, "a part is packed in a way that workbooks don't use")


def _check_weight(name: str, entries: list[zipfile.ZipInfo], size: int) -> None:
    unpacked = sum(entry.file_size for entry in entries)
    if unpacked > LARGEST_UNPACKED:
        raise Refused(
            f"“{name}” unpacks to {unpacked / 1e6:,.0f} MB; a workbook may unpack to at most "
            f"{LARGEST_UNPACKED / 1e6:,.0f} MB. Save a copy with only the sheets of the register."
        )
    if unpacked > SMALL_ENOUGH and unpacked > LARGEST_RATIO * size:
        raise Refused(
            f"“{name}” unpacks to {unpacked // size:,} times its size; a real workbook stays below {LARGEST_RATIO}. "
            "It was not opened."
        )


def _check_contents(name: str, inside: set[str], kind: bytes) -> None:
    if kind.startswith(b"application/vnd.oasis.opendocument"):
        raise Refused(f"“{name}” is an OpenDocument file. Open it and save it as .xlsx or .csv.")
    for start, words in _OTHER_PROGRAMS:
        if any(part.startswith(start) for part in inside):
            raise Refused(f"“{name}” is {words}, which is not read. Open it and save its table as .xlsx.")
    if "[Content_Types].xml" not in inside:
        raise Refused(f"“{name}” is a packed file but not a workbook. Choose a file saved as .xlsx or .csv.")
