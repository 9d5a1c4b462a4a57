"""Puts a finished file in its place in one step: whole and checked, or not at all."""

import errno
import os
import shutil
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import IO, Final
from uuid import uuid4

from register.errors import Refused, Unavailable
from register.exchange.files import full, spare_register
from register.store.room import is_full

SUFFIX: Final = ".xlsx"
_AT_A_TIME: Final = 1 << 18


def swap_in(content: IO[bytes], path: Path, check: Callable[[Path], None]) -> None:
    """Write `content` beside `path`, let `check` look at it there, then put it in the place of any earlier file.

    Whatever goes wrong before the last step, the earlier file keeps its bytes and nothing is left beside it.
    Refused where `path` is no place for a workbook, Unavailable where disk or another program stands in the way.
    """
    try:
        target = workbook_place(path)
        temporary = target.with_name(f".{uuid4().hex}.tmp")
        try:
            _write(temporary, content)
            check(temporary)
            if target.exists():
                shutil.copymode(target, temporary)
            temporary.replace(target)
        finally:
            with suppress(OSError):
                temporary.unlink(missing_ok=True)
        _sync_folder(target.parent)
    except OSError as trouble:
        raise _unavailable(trouble, path, content.seek(0, os.SEEK_END)) from trouble


def workbook_place(path: Path) -> Path:
    """Return where a workbook really goes, links followed.

    Refused where `path` is no place for one, Unavailable where it may not be written.
    """
    if path.suffix.casefold() != SUFFIX:
        raise Refused(f"“{path.name}” does not end in {SUFFIX}, as a workbook must. Give its name that ending.")
    try:
        target = path.resolve()
    except (RuntimeError, ValueError):
        raise Refused(f"“{path}” is not a place where a file can be. Choose another name.") from None
    if not target.parent.is_dir():
        raise Refused(f"The folder “{target.parent}” does not exist. Make it first, or choose another one.")
    if target.is_dir():
        raise Refused(f"“{path}” is a folder. Give the workbook a name of its own inside it.")
    spare_register(target)
    if target.exists() and not os.access(target, os.W_OK):
        raise Unavailable(f"“{path}” may not be written over. Choose another name, or allow writing to it.")
    for lock in (f".~lock.{target.name}#", f"~${target.name}"):
        if target.with_name(lock).exists():
            raise Unavailable(
                f"“{path}” is open in a spreadsheet program. Close it there and write the workbook again, or choose "
                f"another name. If nobody has it open, delete the file “{lock}” beside it."
            )
    return target


def _write(temporary: Path, content: IO[bytes]) -> None:
    content.seek(0)
    with temporary.open("xb") as file:
        shutil.copyfileobj(content, file, _AT_A_TIME)
        file.flush()
        os.fsync(file.fileno())
    content.seek(0)
    with temporary.open("rb") as file:
        while meant := content.read(_AT_A_TIME):
            if file.read(_AT_A_TIME) != meant:
                raise OSError(errno.EIO, "what was read back is not what was written")


def _sync_folder(folder: Path) -> None:
    """Make the new name last through a power cut. Windows has no such call, and needs none."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _unavailable(trouble: OSError, path: Path, size: int) -> Unavailable:
    kept = "Nothing was changed."
    if is_full(trouble):
        return full(path.resolve(), size)
    if isinstance(trouble, PermissionError):
        return Unavailable(
            f"“{path}” can't be written: another program holds it open, or you may not write there. {kept} "
            "Close it and try again, or choose another folder."
        )
    reason = trouble.strerror or str(trouble)
    return Unavailable(f"“{path}” can't be written ({reason}). {kept} Choose another folder or name.")
