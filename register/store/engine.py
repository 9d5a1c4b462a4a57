"""Opening a register: the file's identity, the connection's settings, and the two ways to use it.

`read` gives a connection that sees one state; `change` gives a transaction that is wholly kept or wholly dropped.
"""

import os
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Protocol

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine
from sqlalchemy.orm import Session

from register.errors import Damaged, Earlier, Refused, Unavailable
from register.stopping import go_on, stopped_by
from register.store.address import file_of
from register.store.faults import DAMAGED, NOT_OURS, heed_in_statements, told
from register.store.letting_go import LettingGo
from register.store.sqlite_needs import check_sqlite

if TYPE_CHECKING:
    from register.store.sealing import Sealing, ServerSealing

APPLICATION_ID: Final = 0x52745267
"""Marks a SQLite file as a register of this program."""

READER: Final = 1
"""The least reader version: raised only when an older program would do harm to the file."""

SETTINGS: Final = {
    "busy_timeout": 5000,  # milliseconds; first, because the others wait for locks too
    "journal_mode": "delete",
    "synchronous": 3,
    "foreign_keys": 1,
    "recursive_triggers": 1,
    "trusted_schema": 0,
    "mmap_size": 0,
    "cell_size_check": 1,
    "cache_size": -131_072,  # in KiB, taken as needed: a large sheet comes in without a detour over the disk
}
"""What every connection asks of SQLite and reads back: an acknowledged commit survives a power cut."""


@dataclass(frozen=True, slots=True)
class Change:
    """A transaction: the session, who makes the change, when, and what day it is for him."""

    session: Session
    actor: str
    at: datetime
    today: date


class Watcher(Protocol):
    """What is told of every change that is made through a register, so that it can be taken back."""

    def begin(self, connection: Connection) -> None:
        """A change begins on a connection."""
        ...

    def end(self, connection: Connection) -> None:
        """The change is whole, and about to be kept."""
        ...

    def kept(self) -> None:
        """The change was kept."""
        ...


CAN_NOT_WRITE: Final = (
    "{name} can't be changed here: the file, its folder or the medium can only be read. Copy it to a folder that you"
    " can write to, and open the copy."
)
UNKNOWN_LAYOUT: Final = (
    "{name} has the layout {layout}, which this version of the program does not know; it was left as it is. Update the"
    " program to open it."
)
NEWER: Final = (
    "{name} was made by a newer version of this program, which knows more than this one could keep. Update the program"
    " to change anything."
)
NOT_UNDERSTOOD: Final = (
    "{name} was made by a newer version of this program, whose way of keeping things this one can't read; it was left"
    " as it is. Update the program to open it."
)


class Register:
    """An open register. Make it with one of the functions below, and `close` it.

    `only_looking` says why nothing in it can be changed; empty where it can.
    """

    def __init__(self, engine: Engine, name: str, only_looking: str = "") -> None:
        self.engine = engine
        self.name = name
        self.only_looking = only_looking
        self._watcher: Watcher | None = None
        sa.event.listen(engine, "before_cursor_execute", _before_statement)

    @property
    def path(self) -> Path | None:
        """The file that it is in; None where it is on a server."""
        return file_of(self.engine)

    def watch(self, watcher: Watcher) -> None:
        """Tell a watcher of every change from here on that is kept."""
        self._watcher = watcher

    @contextmanager
    def read(self, *, patient: bool = False) -> Iterator[Connection]:
        """Give a connection that sees one state of the register throughout; a `patient` one for all rows of it."""
        with (
            told(self.name, self.path),
            _understood(self),
            self.engine.connect().execution_options(patient=patient) as connection,
            connection.begin(),
        ):
            yield connection

    @contextmanager
    def change(self, *, actor: str, at: datetime, today: date, keep: bool = True) -> Iterator[Change]:
        """Give a transaction that is kept when the block ends and dropped whole when it raises.

        Without `keep` it is dropped in any case: a rehearsal that tells exactly what the change would do.
        """
        if self.only_looking:
            raise Refused(self.only_looking)
        watcher = self._watcher if keep else None
        with (
            told(self.name, self.path),
            _understood(self),
            self.engine.connect().execution_options(writes=True) as connection,
            connection.begin() as transaction,
        ):
            sealing = _sealing(connection) if keep else None
            if watcher is not None:
                watcher.begin(connection)
            session = Session(bind=connection, autoflush=True, expire_on_commit=False)
            yield Change(session, actor, at, today)
            with stopped_by(threading.Event()):  # what was done outside the file by now could not be taken back
                session.flush()
                if sealing is not None:
                    sealing.end()
                if watcher is not None:
                    watcher.end(connection)
            if not keep:
                transaction.rollback()
        if watcher is not None:
            watcher.kept()

    def close(self) -> None:
        """Let go of the file."""
        self.engine.dispose()


def open_register(path: Path) -> Register:
    """Open an existing register; refused, with the file untouched, if it is not one or was made by a newer program."""
    register, found = open_known(path)
    _refuse_earlier(register, found)
    return register


def open_known(path: Path) -> tuple[Register, str]:
    """Open a register of this layout or of an earlier one, and return which it has; refused where it has neither."""
    from register.store.upgrade import EARLIER, HEAD

    path = _existing(path)
    with told(path.name, path):
        if _marked_reader(path) > READER:
            raise Refused(
                f"{path.name} was written by a newer version of this program; it was left as it is. Update the program"
                " to open it."
            )
        register = Register(_engine(path, "rw"), path.name)
        found = _layout(register, path)
    if found != HEAD and found not in EARLIER:
        raise Refused(UNKNOWN_LAYOUT.format(name=register.name, layout=found))
    return register, found


def open_to_work_or_look(path: Path, only_looking: str = "") -> Register:
    """Open an existing register to work in, or to look at only where it can't or shall not be changed.

    That is so for a reason that is given, on what can only be read, and for one of a newer program as far as it is
    understood here; refused where it isn't.
    """
    from register.store.upgrade import HEAD

    path = _existing(path)
    with told(path.name, path):
        reader = _marked_reader(path)
        why = only_looking or ("" if _can_be_written(path) else CAN_NOT_WRITE.format(name=path.name))
        only = "ro" if why or reader > READER else "rw"
        register = Register(_engine(path, only), path.name, why)
        found = _layout(register, path)
        if found == HEAD and reader <= READER:
            return register
        _refuse_earlier(register, found)
        newer = Register(_engine(path, "ro"), path.name, why or NEWER.format(name=path.name))
        _check_understood(newer)
        return newer


def _check_understood(register: Register) -> None:
    """Refuse a newer program's register that lacks what this one would read."""
    from register.store.moving import models

    try:
        with register.engine.connect() as connection:
            for model in models():
                connection.execute(sa.select(model.__table__).limit(0)).close()
    except sa.exc.OperationalError as error:
        if getattr(error.orig, "sqlite_errorcode", None) != sqlite3.SQLITE_ERROR:  # something else than its columns
            raise
        raise Refused(NOT_UNDERSTOOD.format(name=register.name)) from error


def _refuse_earlier(register: Register, found: str) -> None:
    from register.store.upgrade import EARLIER

    if found in EARLIER:
        raise Earlier(
            f"{register.name} was made by an earlier version of this program. Bring it up to date first, here or with"
            " the command upgrade: a copy of it as it is will be kept."
        )


def _existing(path: Path) -> Path:
    """Return the real path of what may be a register; refused where there is none."""
    path = _real(path)
    if path.is_dir():
        raise Refused(f"{path.name} is a folder, not a register. Choose the register file in it.")
    if not path.exists():
        raise Refused(f"There is no register at {path}. Check the name, or take in a spreadsheet to start one there.")
    return path


def _can_be_written(path: Path) -> bool:
    """Whether a change could be kept: SQLite writes to the file, and beside it while a change is under way."""
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def create_register(path: Path, layout: str = "head") -> Register:
    """Make an empty register, of the newest layout unless told otherwise; refused where a file is there already."""
    from register.store.upgrade import build

    path = _real(path)
    if path.exists():
        raise Refused(f"{path} exists already; it was left as it is. Choose another name.")
    if not path.parent.is_dir():
        raise Refused(f"The folder {path.parent} does not exist. Make it first, or choose another.")
    with told(path.name, path):
        engine = _engine(path, "rwc")
        try:
            with engine.connect().execution_options(writes=True) as connection, connection.begin():
                connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")
                connection.exec_driver_sql(f"PRAGMA user_version={READER}")
                build(connection, layout)
        except BaseException:
            engine.dispose()
            if path.exists():  # not so on a drive that can't be written
                path.unlink()
            raise
    return Register(engine, path.name)


def _real(path: Path) -> Path:
    """Return the path without links: under two names a register would have two journals."""
    try:
        real = path.resolve()
        real.exists()
    except RuntimeError as wrong:
        raise Unavailable(
            f"The register {path.name[:40]!r} can't be reached: links lead in a circle. Check the name."
        ) from wrong
    except (OSError, ValueError) as wrong:
        why = getattr(wrong, "strerror", None) or "it holds a character that no name can have"
        raise Unavailable(f"The register {path.name[:40]!r} can't be reached: {why}. Check the name.") from wrong
    return real


def _marked_reader(path: Path) -> int:
    """Return the least reader that a register asks for, read without any chance of writing to it. Refused for others.

    They are read past the locks and the journal (`immutable`): neither changes them, and a register that was cut off
    in the middle of a change is put right only by a connection that may write.
    """
    if path.stat().st_size == 0:
        raise Refused(f"{path.name} is an empty file, not a register. Choose another file.")
    with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro&immutable=1", uri=True)) as connection:
        application = connection.execute("PRAGMA application_id").fetchone()[0]
        reader = connection.execute("PRAGMA user_version").fetchone()[0]
    if application != APPLICATION_ID:
        raise Refused(NOT_OURS.format(name=path.name))
    return int(reader)


def is_register(path: Path) -> bool:
    """Whether a file bears the mark of a register of this program."""
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro&immutable=1", uri=True)) as connection:
            return bool(connection.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID)
    except (sqlite3.Error, OSError, ValueError, RuntimeError):  # nothing is there, or something else
        return False


def _layout(register: Register, path: Path) -> str:
    """Return which layout a register has; refused for one with none, and for one that ends in the middle of a page."""
    from register.store.upgrade import revision

    with register.engine.connect() as connection:
        found = revision(connection)
        page_size = connection.exec_driver_sql("PRAGMA page_size").scalar_one()
    if path.stat().st_size % page_size:
        raise Damaged(DAMAGED.format(name=register.name))
    if found is None:
        raise Refused(NOT_OURS.format(name=register.name))
    return found


def _engine(path: Path, mode: str) -> Engine:
    """Return the engine of a file; in mode `rw` one that was moved away is missed instead of made anew, empty."""
    check_sqlite()
    url = sa.URL.create("sqlite", database=str(path))  # not as text, which a name with a question mark would end
    engine = sa.create_engine(url, poolclass=sa.pool.NullPool, creator=partial(_connect, path, mode))
    sa.event.listen(engine, "connect", _settle)
    sa.event.listen(engine, "begin", _begin)
    return engine


def _connect(path: Path, mode: str) -> Any:  # noqa: ANN401 - SQLAlchemy's word for a driver's connection
    return sqlite3.connect(f"{path.as_uri()}?mode={mode}", uri=True, check_same_thread=False, factory=LettingGo)


def _sealing(connection: Connection) -> "Sealing | ServerSealing":
    """Begin to note what a change writes, to be sealed at its end."""
    from register.store.sealing import sealing

    return sealing(connection)


def _understood(register: Register) -> AbstractContextManager[None]:
    """Turn what reading a spoilt file raises into Damaged."""
    from register.store.whole import understood

    return understood(register.engine, register.name, register.path)


def _before_statement(*_statement: object) -> None:
    """Let every statement be a step of longer work."""
    go_on()


def _settle(connection: sqlite3.Connection, _record: object) -> None:
    """Set up one connection and read every setting back."""
    connection.isolation_level = None  # transactions are begun by `_begin`, DDL included
    heed_in_statements(connection)
    for name, wanted in SETTINGS.items():
        connection.execute(f"PRAGMA {name}={wanted}")
        found = connection.execute(f"PRAGMA {name}").fetchone()[0]
        if found != wanted:
            raise Unavailable(
                f"This computer's SQLite keeps {name} at {found} where the register needs {wanted}, so the register"
                " was not opened. Install a current Python or SQLite."
            )


def _begin(connection: Connection) -> None:
    """Begin at once as a writer, so that two writers queue instead of failing half-way."""
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
