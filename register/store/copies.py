"""Copies of a register: a copy counts only once it was opened, checked whole and found to hold what the register holds.

Nothing that stands in the folder is ever overwritten, and an unfinished copy never has a copy's name.
"""

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Final

from sqlalchemy.engine import Connection

from register.errors import Refused, Unavailable
from register.stopping import Stopped, go_on
from register.store import chain
from register.store.address import file_of
from register.store.engine import Register
from register.store.faults import heed_in_statements
from register.store.kept_copies import ENDING, copies_in, copy_name, to_let_go
from register.store.read_whole import is_good, notes_in
from register.store.room import drive_of, is_full, room_for

NOT_THE_SAME: Final = "The copy was dropped, because it does not hold what the register holds. Make it again."

_PAGES: Final = 1_000
"""So many pages of the file are copied in one step."""


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy that was made and checked: where it is, how large, how many rows, and the end of its history."""

    path: Path
    size: int
    rows: int
    head: str


@dataclass(frozen=True, slots=True)
class Source:
    """What is copied: the name that its copies begin with, about how many bytes it has, and how it is written.

    `write` writes a file and returns what it must hold: how many rows by table, and the end of the history.
    """

    stem: str
    size: int
    write: Callable[[Path], tuple[dict[str, int], str]]


NOT_OF_A_SERVER: Final = (
    "A register on a database server is not copied by this program. Use the server's own tools, or move it into a file,"
    " which is a whole copy too."
)


def make_copy(register: Register, folder: Path, at: datetime, *, before: str = "") -> Copy:
    """Copy a register into a folder under a name with the time (UTC), and check the copy against the register.

    `before` says what the copy is made before, such as `before-merge`; it becomes part of the name. Copies that are
    not needed any more are let go once the new one is good.

    Unavailable, with the copies that are there untouched, where the folder can't be written, the drive is full, the
    copy is not what the register is, or the work was stopped.
    """
    file = _file_of(register)
    size = file.stat().st_size if file.exists() else 0
    return keep_copy(Source(file.stem, size, partial(_copied, register, size)), folder, at, before)


def keep_copy(source: Source, folder: Path, at: datetime, before: str) -> Copy:
    """Let a copy be written, check it, and only then give it its name, as `make_copy` does, which see."""
    if not folder.is_dir():
        raise Unavailable(
            f"The folder {folder} is not there, so no copy was made. Connect its drive or choose another."
        )
    path = _free(folder, copy_name(source.stem, at, before))
    temporary = path.with_name(f"{path.name}.tmp")
    try:
        temporary.unlink(missing_ok=True)
        rows, head = source.write(temporary)
        _check(temporary, rows, head)
        settle(temporary)
        go_on()
        temporary.replace(path)
        settle(folder)
    except (OSError, sqlite3.Error) as error:
        raise _told(folder, source.size, error) from error
    finally:
        _drop(temporary)
    _thin(folder, source.stem, at, path)
    return Copy(path, path.stat().st_size, sum(rows.values()), head)


def end_of(copy: Path) -> str | None:
    """Return the hash at the end of a copy's history; None where it can't be read."""
    try:
        with closing(sqlite3.connect(f"{copy.resolve().as_uri()}?mode=ro", uri=True)) as connection:
            return chain.end_in(connection)
    except (sqlite3.Error, UnicodeDecodeError):
        return None


def _thin(folder: Path, stem: str, now: datetime, newest: Path) -> None:
    """Let go of the copies that are not needed any more, now that there is a new one that is good.

    One that is spoilt stands for no day or week; it stays, for whoever has nothing better one day.
    """
    notes = notes_in(folder, stem)
    for old in to_let_go([each for each in copies_in(folder, stem) if is_good(each, notes)], now):
        if old.path != newest:
            _drop(old.path)


def _file_of(register: Register) -> Path:
    file = file_of(register.engine)
    if file is None:
        raise Refused(NOT_OF_A_SERVER)
    return file


def _free(folder: Path, stem: str) -> Path:
    """Return a name that nothing has yet."""
    path, number = folder / f"{stem}{ENDING}", 2
    while path.exists():
        path, number = folder / f"{stem}-{number}{ENDING}", number + 1
    return path


def _copied(register: Register, size: int, target: Path) -> tuple[dict[str, int], str]:
    """Copy every page, and count the rows of each table in the same transaction, so that both are of one state."""
    with register.read() as connection:
        driver = connection.connection.driver_connection
        assert isinstance(driver, sqlite3.Connection)
        found = _rows(driver), _head(connection)
        _write(driver, size, target)
        return found


def _write(source: sqlite3.Connection, size: int, target: Path) -> None:
    """Write every page; what goes wrong here is told of the copy's drive, not of the register's."""
    try:
        with closing(sqlite3.connect(target)) as copy:
            source.backup(copy, pages=_PAGES, progress=lambda *_pages: go_on())
    except sqlite3.Error as error:
        raise _told(target.parent, size, error) from error


def _head(connection: Connection) -> str:
    return chain.head(connection).hash


def _rows(connection: sqlite3.Connection) -> dict[str, int]:
    names = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name").fetchall()
    return {name: connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for (name,) in names}  # noqa: S608 - names of our own schema


def _check(copy: Path, rows: dict[str, int], head: str) -> None:
    """Open the copy as it will be opened one day, without writing, and hold it against what was counted."""
    with closing(sqlite3.connect(f"{copy.resolve().as_uri()}?mode=ro", uri=True)) as connection:
        heed_in_statements(connection)
        said = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
        same = rows.items() <= _rows(connection).items() and chain.end_in(connection) == head
    if said != "ok":
        raise Unavailable(
            f"The copy was dropped, because the register itself is damaged: {' '.join(said.split())}. Keep your older"
            " copies; they were left as they are."
        )
    if not same:
        raise Unavailable(NOT_THE_SAME)


def settle(path: Path) -> None:
    """Wait until a file, or a folder's list of names, is on the disk; not every system does the latter."""
    if path.is_dir() and os.name == "nt":
        return
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _drop(temporary: Path) -> None:
    """Take away what an unfinished copy left; a drive that is gone can't be tidied and keeps only a .tmp."""
    for path in (temporary, temporary.with_name(f"{temporary.name}-journal")):
        try:
            path.unlink(missing_ok=True)
        except OSError:
            continue


def _told(folder: Path, size: int, error: OSError | sqlite3.Error) -> Unavailable:
    """Return what stands in the way, for whoever asked for the copy."""
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    return Stopped() if code == sqlite3.SQLITE_INTERRUPT else Unavailable(_sentence(folder, size, error, code))


def _sentence(folder: Path, size: int, error: OSError | sqlite3.Error, code: int) -> str:
    kept = "Older copies were left as they are."
    if code == sqlite3.SQLITE_FULL or (isinstance(error, OSError) and is_full(error)):
        said = f"The drive {drive_of(folder)} is full, so no copy was made in {folder.name}. {kept}"
        return f"{said} Free {room_for(size)} there or choose another folder."
    if code in {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}:
        return f"No copy was made, because what was copied is damaged. {kept} Check the register."
    if code in {sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY} or isinstance(error, PermissionError):
        return f"Nothing can be written in {folder}, so no copy was made. {kept} Choose another folder."
    return f"The drive of {folder} reported an error, so no copy was made. {kept} Check the drive."
