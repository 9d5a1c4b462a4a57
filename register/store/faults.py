"""What a database error means to the user, in one sentence that says what to do."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

import sqlalchemy as sa
from sqlalchemy.orm.exc import StaleDataError

from register.errors import Damaged, Refused, Unavailable
from register.stopping import Stopped, is_stopped
from register.store.room import drive_of, room_for, room_for_change
from register.store.server_faults import told_by_server

_IN_USE: Final = "The register {name} is in use by another program. Close that one, or try again in a moment."
_NOT_TEXT: Final = "Could not decode to UTF-8"
"""What the driver says, without a code, of text that was overwritten."""

DAMAGED: Final = (
    "The register {name} is damaged; nothing was changed. Keep the file as it is and open your last good copy."
)
NOT_OURS: Final = "{name} is not a register of this program; it was left as it is. Choose another file."

_CUT_OFF: Final = (
    "The register {name} was cut off in the middle of a change, which has to be taken back before it is read, and here"
    " nothing can be written. Copy it with the file {name}-journal to a folder that you can write to and open it there."
)

_FULL: Final = (
    "The drive {drive} that holds {name} is full; nothing of this change was kept. Free {room} there and do it again."
)

_BY_CODE: Final = {
    sqlite3.SQLITE_BUSY: _IN_USE,
    sqlite3.SQLITE_LOCKED: _IN_USE,
    sqlite3.SQLITE_READONLY: (
        "The register {name} can't be written: it, or the medium it is on, is read-only. Copy it to a folder you can"
        " write to and open the copy."
    ),
    sqlite3.SQLITE_FULL: _FULL,
    sqlite3.SQLITE_CANTOPEN: (
        "The register {name} can't be opened. Check that the folder exists, that you may write to it, and that the"
        " drive is connected."
    ),
    sqlite3.SQLITE_IOERR: (
        "The drive that holds {name} reported an error; nothing of this change was kept. Check the drive, then try"
        " again."
    ),
    sqlite3.SQLITE_CORRUPT: DAMAGED,
    sqlite3.SQLITE_NOTADB: NOT_OURS,
}


_STEP: Final = 50_000
"""So many operations of SQLite's own machine are a step of longer work: some milliseconds."""


def heed_in_statements(connection: sqlite3.Connection) -> None:
    """Let even a single long statement on a connection end when the work of its thread is told to stop."""
    connection.set_progress_handler(is_stopped, _STEP)


@contextmanager
def told(name: str, path: Path | None = None) -> Iterator[None]:
    """Turn what the database reports into the sentence for the user; anything unknown stays our fault and is raised.

    `path` is the file of a register that is in one.
    """
    try:
        yield
    except StaleDataError as error:
        raise Refused(
            "Somebody else changed this entry in the meantime, so your change was not kept. Look at it again and"
            " repeat the change."
        ) from error
    except sa.exc.DBAPIError as error:
        _tell(name, path, error.orig)
        raise
    except sqlite3.Error as error:
        _tell(name, path, error)
        raise
    except UnicodeDecodeError as error:  # the driver can't even read what SQLite reports of overwritten names
        raise Damaged(DAMAGED.format(name=name)) from error


def _tell(name: str, path: Path | None, error: BaseException | None) -> None:
    """Raise the sentence for what the database reports; do nothing where there is none."""
    if hasattr(error, "sqlstate"):
        said = told_by_server(name, error)
        if said is not None:
            raise said from error
        return
    code = getattr(error, "sqlite_errorcode", None)
    if code == sqlite3.SQLITE_INTERRUPT:
        raise Stopped from error
    sentence = _BY_CODE.get(code & 0xFF) if code is not None else None
    if code == sqlite3.SQLITE_READONLY_ROLLBACK:
        sentence = _CUT_OFF
    if sentence is None and str(error).startswith(_NOT_TEXT):
        sentence = DAMAGED
    if sentence is not None:
        known = _room(path) if path is not None else {}
        raise (Damaged if sentence is DAMAGED else Unavailable)(sentence.format(name=name, **known)) from error


def _room(path: Path) -> dict[str, str]:
    """Return what drive a register lies on, and what room there is enough for any change."""
    return {"drive": str(drive_of(path)), "room": room_for(room_for_change(path))}
