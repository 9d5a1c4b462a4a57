"""Whether the file itself is whole: its structure, its references between tables, its chain of events."""

import sqlite3
from collections.abc import Iterator

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store import chain
from register.store.tables import Table
from register.store.types import SQLITE

_MOST = 20


def damage(connection: Connection) -> list[str]:
    """Return a sentence for each place where the file's structure is broken, so that what is read can't be trusted."""
    return pages_damaged(connection) or ([] if connection.dialect.name != SQLITE else list(_tables_spoilt(connection)))


def pages_damaged(connection: Connection) -> list[str]:
    """Return a sentence for each place where the file is not what SQLite wrote, whatever its layout is."""
    if connection.dialect.name != SQLITE:
        return []
    messages = connection.exec_driver_sql(f"PRAGMA integrity_check({_MOST})").scalars()
    return [f"The file is damaged: {' '.join(message.split())}." for message in messages if message != "ok"]


def _tables_spoilt(connection: Connection) -> Iterator[str]:
    """Yield a sentence for each table that its file no longer describes as it was made."""
    for table in Table.metadata.sorted_tables:
        try:
            connection.execute(sa.select(table).limit(0)).close()
            connection.exec_driver_sql(f'PRAGMA foreign_key_check("{table.name}")').close()
        except sa.exc.OperationalError as error:
            if getattr(error.orig, "sqlite_errorcode", None) != sqlite3.SQLITE_ERROR:
                raise
            yield f"The file is damaged: what it says of its table {table.name} makes no sense ({error.orig})."


def faults(connection: Connection) -> Iterator[str]:
    """Yield a sentence for each reference that leads nowhere, and for a history that was changed from outside."""
    if connection.dialect.name == SQLITE:
        for table, _row, parent, _key in connection.exec_driver_sql("PRAGMA foreign_key_check"):
            yield f"A row of {table} points to a row of {parent} that does not exist."
    broken = chain.broken_at(connection)
    if broken is not None:
        yield f"The history was changed from outside at event {broken}: it does not follow from the one before it."
