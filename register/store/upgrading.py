"""Bringing a register's file of an earlier layout up to date, in one transaction, held against a copy of the file.

A script in `migrations/versions` that means to rewrite or drop something says so in `REWRITTEN`, columns by table, and
in `DROPPED`, names of tables and triggers. Whatever else is not there afterwards as it was before stops the upgrade.
"""

import sqlite3
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from alembic import command
from alembic.script import ScriptDirectory
from sqlalchemy.engine import Connection

from register.errors import Unavailable
from register.store.engine import READER, Register
from register.store.faults import told
from register.store.sealing import seal_all
from register.store.upgrade import config, revision

_ASIDE: Final = ("sqlite_", "alembic_version", "item_search")
"""What tables begin with that hold nothing of the register's own: their content follows from the others."""

LOST: Final = (
    "{name} was not brought up to date, because {what} would not be afterwards as it was before; nothing was changed."
    " Go on with the version of the program that you had, and send its maker this sentence."
)


@dataclass(slots=True)
class Meant:
    """What the scripts of an upgrade mean to change of what is kept already."""

    rewritten: dict[str, set[str]] = field(default_factory=dict)
    dropped: set[str] = field(default_factory=set)


Tell = Callable[[Connection, str], None]
"""Writes into the history that a register was brought up to date; it is given the layout there was."""


def bring_up_to_date(
    register: Register, copy: Path, tell: Tell, step: Callable[[int], None] = lambda _step: None
) -> None:
    """Bring the file of a register, opened as one of an earlier layout, up to date; `copy` is a copy of it as it is.

    Unavailable, with every byte of the file as it was, where something would be lost, or the disk says no.
    """
    with told(register.name, register.path), register.engine.connect().execution_options(writes=True) as connection:
        driver = connection.connection.driver_connection
        assert isinstance(driver, sqlite3.Connection)
        driver.execute("PRAGMA foreign_keys=0")  # before the transaction: a table that is made anew would empty others
        driver.execute("ATTACH ? AS earlier", (f"{copy.resolve().as_uri()}?mode=ro",))
        with connection.begin():
            found, meant = str(revision(connection)), meant_by(connection)
            stop_at(register.name, _faults_of_the_copy(connection))
            step(1)
            command.upgrade(config(connection), "head")
            driver.execute(f"PRAGMA user_version={READER}")
            step(2)
            stop_at(register.name, _losses(connection, meant))
            tell(connection, found)
            seal_all(connection)


def stop_at(name: str, faults: Iterator[str]) -> None:
    """Stop an upgrade at the first thing that would not be as it was: Unavailable."""
    first = next(faults, None)
    if first is not None:
        raise Unavailable(LOST.format(name=name, what=first))


def meant_by(connection: Connection) -> Meant:
    """Return what the scripts that a register has yet to go through mean to change of what it keeps."""
    scripts, found = ScriptDirectory.from_config(config(connection)), revision(connection)
    meant = Meant()
    for script in scripts.iterate_revisions("head", found):
        rewritten: Mapping[str, frozenset[str]] = getattr(script.module, "REWRITTEN", {})
        for table, columns in rewritten.items():
            meant.rewritten.setdefault(table, set()).update(columns)
        meant.dropped |= getattr(script.module, "DROPPED", frozenset())
    return meant


def _faults_of_the_copy(connection: Connection) -> Iterator[str]:
    """Yield what the copy does not hold, so that nothing is held against less than there is."""
    if connection.exec_driver_sql("PRAGMA earlier.integrity_check(1)").scalar() != "ok":
        yield "the copy that was made"
    for table in sorted(_names(connection, "main", "table")):
        if _count(connection, "main", table) != _count(connection, "earlier", table):
            yield f"the copy of {table}"


def _losses(connection: Connection, meant: Meant) -> Iterator[str]:
    for kind in ("table", "trigger"):
        gone = _names(connection, "earlier", kind) - _names(connection, "main", kind) - meant.dropped
        yield from (f"the {kind} {name}" for name in sorted(gone))
    for table in sorted(_names(connection, "earlier", "table") - meant.dropped):
        yield from _losses_of(connection, table, meant.rewritten.get(table, set()))
    if _strays(connection, "main") > _strays(connection, "earlier"):
        yield "what rows point to"
    if connection.exec_driver_sql("PRAGMA main.integrity_check(1)").scalar() != "ok":
        yield "the file"


def _losses_of(connection: Connection, table: str, rewritten: set[str]) -> Iterator[str]:
    before, after = _count(connection, "earlier", table), _count(connection, "main", table)
    if before != after:
        yield f"the number of rows of {table}, {before:,}, but {after:,},"
    gone = _columns(connection, "earlier", table) - _columns(connection, "main", table) - rewritten
    yield from (f"the column {name} of {table}" for name in sorted(gone))
    same = sorted(_columns(connection, "earlier", table) - rewritten - gone)
    columns = ", ".join(f'"{name}"' for name in same)
    rows = f'SELECT {columns} FROM earlier."{table}" EXCEPT SELECT {columns} FROM main."{table}" LIMIT 1'  # noqa: S608 - our own names
    if same and connection.exec_driver_sql(rows).first() is not None:
        yield f"what is kept in {table}"


def _names(connection: Connection, where: str, kind: str) -> set[str]:
    found = connection.exec_driver_sql(f"SELECT name FROM {where}.sqlite_schema WHERE type = ?", (kind,)).scalars()  # noqa: S608 - our own names
    return {name for name in found.all() if not name.startswith(_ASIDE)}


def _columns(connection: Connection, where: str, table: str) -> set[str]:
    return {row[1] for row in connection.exec_driver_sql(f'PRAGMA {where}.table_info("{table}")').all()}


def _count(connection: Connection, where: str, table: str) -> int:
    return int(connection.exec_driver_sql(f'SELECT count(*) FROM {where}."{table}"').scalar_one())  # noqa: S608 - our own names


def _strays(connection: Connection, where: str) -> int:
    return len(connection.exec_driver_sql(f"PRAGMA {where}.foreign_key_check").all())
