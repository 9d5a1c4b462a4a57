"""Whether the file itself is whole: its structure, its references between tables, its chain of events."""

from collections.abc import Iterator

from sqlalchemy.engine import Connection

from register.store import audit
from register.store.types import SQLITE

_MOST = 20


def faults(connection: Connection) -> Iterator[str]:
    """Yield a sentence for each fault of the file; none where it is whole."""
    if connection.dialect.name == SQLITE:
        for (message,) in connection.exec_driver_sql(f"PRAGMA integrity_check({_MOST})"):
            if message != "ok":
                yield f"The file is damaged: {message}."
        for table, row, parent, _key in connection.exec_driver_sql("PRAGMA foreign_key_check"):
            yield f"Row {row} of {table} points to a row of {parent} that does not exist."
    broken = audit.broken_at(connection)
    if broken is not None:
        yield f"The history was changed from outside at event {broken}: it does not follow from the one before it."
