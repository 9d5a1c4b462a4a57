"""Reading a great deal once: little of it is kept in memory, since none of it is asked for again."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from sqlalchemy.engine import Connection

from register.store.types import SQLITE

_KEPT_KIB: Final = 8_192


@contextmanager
def sparing(connection: Connection) -> Iterator[None]:
    """Let the database keep few pages of its file in memory within the block. A server sees to that itself."""
    if connection.dialect.name != SQLITE:
        yield
        return
    before = int(connection.exec_driver_sql("PRAGMA cache_size").scalar_one())
    connection.exec_driver_sql(f"PRAGMA cache_size = {-_KEPT_KIB}")
    try:
        yield
    finally:
        connection.exec_driver_sql(f"PRAGMA cache_size = {before}")
