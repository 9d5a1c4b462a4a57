"""Writing an answer to a file, wholly or not at all, under a name that can be sent."""

import errno
import os
import re
import unicodedata
from contextlib import suppress
from pathlib import Path
from typing import Final

from register.errors import Refused, Unavailable
from register.store.engine import is_register
from register.store.room import drive_of, is_full, room_for

LONGEST_NAME: Final = 60


def file_word(name: str) -> str:
    """Return a name as it can stand in a file's name on any computer and in any mail."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub("[^a-z0-9]+", "-", plain)[:LONGEST_NAME].strip("-") or "register"


def write_out(path: Path, content: bytes) -> None:
    """Write a file in place of any earlier one there; Unavailable where that can't be, and nothing is changed then."""
    check_place(path)
    beside = path.with_name(f".{path.name}.new")
    try:
        with beside.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())  # before it takes the place of an earlier one
        beside.replace(path)
    except OSError as error:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
        raise full(path, len(content)) if is_full(error) else _unavailable(path, error.errno) from None


def check_place(path: Path) -> None:
    """Refuse a place where no file can be written, before anything is kept that the file was asked with."""
    try:
        is_folder, has_folder = path.is_dir(), path.parent.is_dir()
    except OSError as error:
        raise _unavailable(path, error.errno) from None
    if is_folder:
        raise _unavailable(path, errno.EISDIR)
    if not has_folder:
        raise _unavailable(path, errno.ENOENT)
    if not os.access(path.parent, os.W_OK):
        raise _unavailable(path, errno.EACCES)
    spare_register(path)


def spare_register(path: Path) -> None:
    """Refuse to write a file over a register, whatever its name is."""
    if is_register(path):
        raise Refused(f"“{path.name}” is a register, so nothing is written over it. Choose another name.")


def full(path: Path, size: int) -> Unavailable:
    """Return what is said where the drive has no room for a file of so many bytes."""
    return Unavailable(
        f"The drive {drive_of(path.parent)} is full, so {path.name} was not written; an earlier one is as it was. Free"
        f" {room_for(size)} there or choose another place."
    )


def _unavailable(path: Path, code: int | None) -> Unavailable:
    why = "No such folder" if code == errno.ENOENT else os.strerror(code or errno.EIO)
    return Unavailable(f"{path} can't be written: {why}. Choose another place.")
