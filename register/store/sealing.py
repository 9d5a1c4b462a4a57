"""Sealing what a change wrote: a digest of every row that it touched, as a link in the chain of the history.

The rows are noted by triggers of the connection's own, so that no way of writing is missed. A seal holds them packed:
`[whole, {table: {key: digest}}]`, the parts of a key with a space between. No digest stands for a row that is gone, and
`whole` says that the seal tells of all rows there are. A digest is the first half of SHA-256 over the values of a row,
each quoted as a statement would quote it, commas between, columns in the order of their names. What follows from other
tables is left out: it is worked out anew when it is checked.

On a server the server's own triggers note the rows (`server_sealing`); a seal is the same on both.
"""

# ruff: noqa: S608 - statements over our own names

import re
import sqlite3
import zlib
from collections import defaultdict
from collections.abc import Iterator, Sequence
from enum import StrEnum
from functools import partial
from itertools import islice
from typing import Any, Final, NamedTuple

import orjson
import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store import chain, server_sealing
from register.store.sealed_tables import Sealed, digest, sealed_tables
from register.store.seals import Seal
from register.store.server_sealing import Noted
from register.store.types import SQLITE

Row = tuple[Any, ...]
States = dict[str, dict[str, str | None]]
"""By table and key what each row holds, as a digest; None where it is gone."""

_WRITES: Final = re.compile(r'\s*(INSERT|UPDATE|DELETE)(?:\s+INTO|\s+FROM)?\s+(?:main\.)?"?(\w+)', re.IGNORECASE)
_MORE: Final = re.compile(r"\b(?:OR\s+REPLACE|ON\s+CONFLICT)\b", re.IGNORECASE)
"""What makes a statement do more to rows than it is called by."""

_READS: Final = re.compile(r"\s*(?:SELECT|PRAGMA|SAVEPOINT|RELEASE|ROLLBACK|BEGIN|COMMIT|CREATE|DROP)\b", re.IGNORECASE)


class How(StrEnum):
    """In what a row differs from the last seal that tells of it."""

    CHANGED = "changed"
    UNKNOWN = "unknown"
    GONE = "gone"


class Differing(NamedTuple):
    """One row that is not what the history says: its table and key, in what it differs, and what it holds now."""

    table: str
    key: dict[str, str]
    how: How
    values: dict[str, Any]


class Sealing:
    """What one change on a connection writes, noted from now on and sealed at its end.

    New rows are told by their numbers, or by those of the rows they are part of, and read at the end in one question,
    which many at once are quickest with. Whatever else is written is noted by triggers as it is.
    """

    def __init__(self, connection: Connection) -> None:
        driver = connection.connection.driver_connection
        assert isinstance(driver, sqlite3.Connection)
        self._connection, self._driver = connection, driver
        self._states: States = defaultdict(dict)
        self._watched: set[tuple[str, str]] = set()
        self._last: dict[str, int] = {}  # by table, the number of its last row before this change wrote to it
        self._new: dict[str, str] = {}  # by table, the condition of rows that are read at the end
        self._numbers_given_on: set[str] = set()
        self._turned_back = False
        driver.create_function("seal_row", 3, self._note)
        driver.create_function("seal_gone", 2, self._note_gone)
        sa.event.listen(connection, "before_cursor_execute", self._before)
        sa.event.listen(connection, "rollback_savepoint", self._turn_back)

    def _note(self, name: str, key: str, held: bytes) -> None:
        self._states[name][key] = digest(held)

    def _note_gone(self, name: str, key: str) -> None:
        self._states[name][key] = None

    def _turn_back(self, *_event: object) -> None:
        self._turned_back = True
        self._watched.clear()  # triggers that were made since the savepoint are gone with it

    def _before(self, _connection: object, _cursor: object, statement: str, *_event: object) -> None:
        """Watch the table that a statement writes to; all, where it is no kind of statement that is known here."""
        found = _WRITES.match(statement)
        if found is not None and not _MORE.search(statement):
            self._watch(found[2], found[1].upper())
        elif found is not None or not _READS.match(statement):
            for name in sealed_tables():
                for deed in ("INSERT", "UPDATE", "DELETE"):
                    self._watch(name, deed)

    def _watch(self, name: str, deed: str) -> None:
        table = sealed_tables().get(name)
        if table is None or (name, deed) in self._watched:
            return
        self._watched.add((name, deed))
        if table.numbered:
            self._watch_numbered(table, deed)
        elif table.part_of and deed == "INSERT":
            last = self._last_of(table.part_of)
            self._new[name] = f'"{table.whole}" IN (SELECT id FROM main."{table.part_of}" WHERE rowid > {last})'
            number = f'(SELECT rowid FROM main."{table.part_of}" WHERE id = new."{table.whole}")'
            self._trigger(table, deed, f"WHEN {number} <= {last}")
        else:
            self._trigger(table, deed)

    def _watch_numbered(self, table: Sealed, deed: str) -> None:
        """Note what happens to the rows that were there; a number that one of them leaves could be given again."""
        last = self._last_of(table.name)
        self._new[table.name] = f"rowid > {last}"
        if deed == "DELETE":
            self._numbers_given_on.add(table.name)
            self._trigger(table, "INSERT", f"WHEN new.rowid <= {last}")
        if deed != "INSERT" or table.name in self._numbers_given_on:
            self._trigger(table, deed, f"WHEN {'new' if deed == 'INSERT' else 'old'}.rowid <= {last}")

    def _last_of(self, name: str) -> int:
        """Return the number of the last row that a table had before this change wrote to it."""
        if name not in self._last:
            statement = f'SELECT coalesce(max(rowid), 0) FROM main."{name}"'
            self._last[name] = self._driver.execute(statement).fetchone()[0]
        return self._last[name]

    def _trigger(self, table: Sealed, deed: str, when: str = "") -> None:
        """Have the rows noted that statements of a kind write to a table."""
        name = table.name
        fresh = f"SELECT seal_row('{name}', {table.key_of('new.')}, {table.held('new.')});"
        gone = f"SELECT seal_gone('{name}', {table.key_of('old.')});"
        body = {"INSERT": fresh, "UPDATE": gone + fresh, "DELETE": gone}[deed]
        what = f"UPDATE OF {table.listed()}" if deed == "UPDATE" else deed
        self._driver.execute(
            f'CREATE TEMP TRIGGER IF NOT EXISTS "seal_{name}_{deed}" AFTER {what} ON main."{name}" {when}'
            f" BEGIN {body} END"
        )

    def end(self) -> None:
        """Seal what was written."""
        if self._turned_back:
            self._read_again()
        for name, condition in self._new.items():
            self._read_new(name, condition)
        if self._states:
            _seal(self._connection, self._states, whole=False)

    def _read_new(self, name: str, condition: str) -> None:
        """Note the rows that were put into a table, if any."""
        table = sealed_tables()[name]
        statement = f'SELECT {table.key_of()}, {table.held()} FROM main."{name}" WHERE {condition}'
        found = {key: digest(held) for key, held in self._driver.execute(statement)}
        if found:
            self._states[name].update(found)

    def _read_again(self) -> None:
        """Note the rows as they stand: some of what was noted was turned back."""
        for name, noted in self._states.items():
            table = sealed_tables()[name]
            statement = f'SELECT {table.held()} FROM main."{name}" WHERE {table.is_one()}'
            for key in noted:
                found = self._driver.execute(statement, table.parts(key)).fetchone()
                noted[key] = None if found is None else digest(*found)


class ServerSealing:
    """What one change on a connection to a server writes, noted from now on and sealed at its end."""

    def __init__(self, connection: Connection) -> None:
        self._connection, self._noted = connection, Noted(connection)

    def end(self) -> None:
        """Seal what was written."""
        states: States = defaultdict(dict)
        for name, key, said in self._noted.rows():
            states[name][key] = said
        if states:
            _seal(self._connection, states, whole=False)


def sealing(connection: Connection) -> Sealing | ServerSealing:
    """Begin to note what a change on a connection writes, to be sealed at its end."""
    return Sealing(connection) if connection.dialect.name == SQLITE else ServerSealing(connection)


def seal_all(connection: Connection) -> None:
    """Seal all rows as they stand: where what they were before can't be told, as after an upgrade."""
    states: States = {}
    for name, table in sealed_tables().items():
        states[name] = {key: digest(held) for key, held in _rows(connection, table)}
    _seal(connection, states, whole=True)


def _seal(connection: Connection, states: States, *, whole: bool) -> None:
    packed = zlib.compress(orjson.dumps([whole, states]), 1)
    end = chain.head(connection)
    part = chain.last_part(connection, end) + 1
    link = chain.seal_hash(end.hash, end.count, part, packed)
    connection.execute(sa.insert(Seal), {"seq": end.count, "part": part, "rows": packed, "hash": link})


def differing(connection: Connection) -> Iterator[Differing]:
    """Yield every row that is not what the history says. ValueError where the history can't be understood."""
    states = _replayed(connection)
    for name, table in sealed_tables().items():
        told = states[name]
        for key, held in _rows(connection, table):
            state = told.pop(key, None)
            if state != digest(held):
                how = How.UNKNOWN if state is None else How.CHANGED
                yield Differing(name, table.named(key), how, _values(connection, table, key))
        for key, state in told.items():
            if state is not None:
                yield Differing(name, table.named(key), How.GONE, {})


def _replayed(connection: Connection) -> States:
    """Return what each row holds by what the history says, the latest word on it."""
    states: States = defaultdict(dict)
    for (packed,) in connection.execute(sa.select(Seal.rows).order_by(Seal.seq, Seal.part)):
        try:
            whole, said = orjson.loads(zlib.decompress(packed))
        except zlib.error as error:
            raise ValueError("a seal of the history is no more what it was") from error
        if whole:
            states.clear()
        for name, rows in said.items():
            states[name].update(rows)
    return states


def _rows(connection: Connection, table: Sealed) -> Iterator[Row]:
    """Yield the key of each row of a table and what it holds, text that is none included."""
    if connection.dialect.name != SQLITE:
        yield from server_sealing.rows_held(connection, table)
        return
    driver = connection.connection.driver_connection
    assert isinstance(driver, sqlite3.Connection)
    statement, count = f'SELECT {table.key_of()}, {table.held()} FROM main."{table.name}"', 0
    try:
        for row in driver.execute(statement):
            count += 1
            yield row
    except sqlite3.OperationalError as error:
        if "UTF-8" not in str(error):
            raise
        yield from islice(_read_as_bytes(driver, statement), count, None)


def _values(connection: Connection, table: Sealed, key: str) -> dict[str, Any]:
    """Return the values of one row, by the names of its columns."""
    if connection.dialect.name != SQLITE:
        return server_sealing.values_of(connection, table, key)
    driver = connection.connection.driver_connection
    assert isinstance(driver, sqlite3.Connection)
    statement = f'SELECT {table.listed()} FROM main."{table.name}" WHERE {table.is_one()}'
    parts = [part.encode(errors="surrogateescape") for part in table.parts(key)]
    return next((dict(zip(table.columns, row, strict=True)) for row in _read_as_bytes(driver, statement, parts)), {})


def _read_as_bytes(driver: sqlite3.Connection, statement: str, bound: Sequence[bytes] = ()) -> Iterator[Row]:
    """Yield rows in which bytes may be no text, as damage may leave them."""
    before, driver.text_factory = driver.text_factory, partial(bytes.decode, errors="surrogateescape")
    try:
        rows = driver.execute(statement, bound).fetchall()
    finally:
        driver.text_factory = before
    yield from rows
