"""A copy of a register on a server, of whatever layout, in a file of the same layout: the register as it was.

The program of that layout opens the file, and moves it back to a server.
"""

import hashlib
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import Any, Final

from sqlalchemy.engine import Connection, CursorResult

from register.errors import Unavailable
from register.stopping import step_by_step
from register.store import chain
from register.store.bulk import CHUNK
from register.store.copies import NOT_THE_SAME, Copy, Source, keep_copy
from register.store.engine import create_register
from register.store.faults import heed_in_statements
from register.store.kept_copies import BEFORE_UPGRADE
from register.store.layout import TableLayout, tables
from register.store.types import instant_text

Row = tuple[Any, ...]

_LAID_DOWN: Final = "alembic_version"
"""What making the layout fills itself."""

_WORDS: Final = "item_search"
_FIND_WORDS: Final = f"INSERT INTO {_WORDS}({_WORDS}) VALUES ('rebuild')"  # noqa: S608 - our own names


def copy_into_file(connection: Connection, layout: str, folder: Path, stem: str, at: datetime) -> Copy:
    """Copy the register that a connection sees, which has this layout, into a checked file in a folder."""
    size = connection.exec_driver_sql("SELECT pg_database_size(current_database())").scalar_one()
    return keep_copy(Source(stem, size, partial(_write, connection, layout)), folder, at, BEFORE_UPGRADE)


def _write(connection: Connection, layout: str, target: Path) -> tuple[dict[str, int], str]:
    """Write every row into a file, read the file back, and return how many rows each table has, and the last hash."""
    create_register(target, layout).close()
    kept = [table for table in tables(connection) if table.name != _LAID_DOWN]
    counts: dict[str, int] = {}
    with closing(sqlite3.connect(target, isolation_level=None)) as file:
        heed_in_statements(file)
        for setting in ("synchronous=0", "journal_mode=off"):  # what is cut off here has no copy's name yet
            file.execute(f"PRAGMA {setting}")
        file.execute("BEGIN")
        for table in kept:
            counts[table.name] = _copy(connection, file, table)
        if file.execute("SELECT 1 FROM sqlite_schema WHERE name = ?", (_WORDS,)).fetchone():
            file.execute(_FIND_WORDS)
        file.execute("COMMIT")
    return counts, chain.head(connection).hash


def _copy(connection: Connection, file: sqlite3.Connection, table: TableLayout) -> int:
    """Copy the rows of a table and return how many; Unavailable where the file does not hold the same then."""
    columns, keys = (", ".join(f'"{name}"' for name in names) for names in (table.columns, table.key))
    ordered = f'SELECT {columns} FROM "{table.name}" ORDER BY {keys}'  # noqa: S608 - the layout's own names
    marks = ", ".join("?" * len(table.columns))
    sent, there = _Digest(), _Digest()
    insert = f'INSERT INTO "{table.name}" ({columns}) VALUES ({marks})'  # noqa: S608 - the same
    with connection.exec_driver_sql(ordered, execution_options={"stream_results": True}) as found:
        file.executemany(insert, sent.through(map(_as_in_a_file, _one_by_one(found))))
    for _row in there.through(step_by_step(file.execute(ordered))):
        pass
    if (sent.rows, sent.found.digest()) != (there.rows, there.found.digest()):
        raise Unavailable(NOT_THE_SAME)
    return sent.rows


def _one_by_one(found: CursorResult[Any]) -> Iterator[Row]:
    for some in found.partitions(CHUNK):
        yield from step_by_step(map(tuple, some))


def _as_in_a_file(row: Row) -> Row:
    return tuple(_PLAIN.get(type(value), _same)(value) for value in row)


def _same(value: Any) -> Any:  # noqa: ANN401 - values of many kinds
    return value


_PLAIN: Final[dict[type, Any]] = {bool: int, datetime: instant_text, date: date.isoformat}


class _Digest:
    """How many rows went through, and a digest of them all."""

    def __init__(self) -> None:
        self.rows, self.found = 0, hashlib.sha256()

    def through(self, rows: Iterable[Row]) -> Iterator[Row]:
        for row in rows:
            self.rows += 1
            self.found.update(repr(row).encode(errors="surrogatepass"))
            yield row
