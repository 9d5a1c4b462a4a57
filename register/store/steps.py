"""What one change did to each row, gathered so that no way of writing is missed.

In a file, triggers of the connection's own gather it, and new rows are told by their numbers. On a server, the rows are
those that were noted to be sealed, and what they were is what everybody else still sees until the change is kept. Of
every row touched the values before and after are kept, records excepted, whose rows never change: their ids and their
items are enough. Columns and tables that follow from others are left aside, as is the history.
"""

# ruff: noqa: S608 - statements over the layout's own names

import json
import sqlite3
import zlib
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final, NamedTuple, Protocol

import orjson
from sqlalchemy.engine import Connection

from register.store.images import columns_of, images, part_on_server
from register.store.layout import DERIVED, HISTORY, TableLayout, tables
from register.store.moving import models
from register.store.rows import table_of
from register.store.sealed_tables import sealed_tables
from register.store.types import SQLITE

OF_RECORDS: Final = ("record_duty", "reading")
"""The tables whose rows belong to a record and go and come with it."""

_ASIDE: Final = HISTORY | DERIVED | {"held_limit", "photo", *OF_RECORDS}
_GATHER: Final = (
    "CREATE TEMP TABLE step_row"
    " (row INTEGER PRIMARY KEY, name TEXT, key TEXT, number INTEGER, top INTEGER, before TEXT, after TEXT)"
)


class Touched(NamedTuple):
    """One row that a change touched: table, key, and its values before and after as JSON; None where it was not."""

    name: str
    key: str
    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True)
class Step:
    """One change: between which events it lies (the first is the last one before it), and the rows it touched."""

    first: int
    last: int
    packed: bytes

    @property
    def rows(self) -> list[Touched]:
        """The rows that it touched, each once."""
        return [Touched(*row) for row in orjson.loads(zlib.decompress(self.packed))]


def kept_tables(connection: Connection) -> list[TableLayout]:
    """Return the tables whose rows a change is taken back in, each after those that its rows point to."""
    return [table for table in known_tables(connection) if table.name not in _ASIDE]


def known_tables(connection: Connection) -> Sequence[TableLayout]:
    """Return all tables: those of a file as it has them; as the program has them on a server, which is slow to tell."""
    return tables(connection) if connection.dialect.name == SQLITE else _of_the_program()


@cache
def _of_the_program() -> tuple[TableLayout, ...]:
    made = map(table_of, models())
    return tuple(
        TableLayout(each.name, (*each.columns.keys(),), (*each.primary_key.columns.keys(),), frozenset())
        for each in made
    )


class Gathering(Protocol):
    """How a database tells what changes on it touch, each from its beginning to its end."""

    def begin(self, connection: Connection) -> None:
        """A change begins on a connection."""
        ...

    def rows(self, connection: Connection) -> list[Touched]:
        """Return the rows that the change touched, as they were and are."""
        ...


def gathering(connection: Connection) -> Gathering:
    """Return how the database of a connection tells it."""
    return _InFile(connection) if connection.dialect.name == SQLITE else _OnServer()


class _InFile:
    """Rows that were there are noted by triggers as they are touched; new ones are read at the end, in one question.

    A table that numbers its rows gives a new one the number above all there are. So those above the lowest top that it
    had within the change are new, and of these only what they are in the end is of account.
    """

    def __init__(self, connection: Connection) -> None:
        self._said, kept = images(connection), kept_tables(connection)
        self._numbered = [table for table in kept if sealed_tables()[table.name].numbered]
        self._triggers = [(table.name, each) for table in kept for each in self._noting(table)]
        self._tops: dict[str, int] = {}

    def begin(self, connection: Connection) -> None:
        self._tops = self._numbers(connection)
        connection.exec_driver_sql(_GATHER)
        for name, trigger in self._triggers:
            connection.exec_driver_sql(trigger.format(top=self._tops.get(name)))

    def rows(self, connection: Connection) -> list[Touched]:
        found: dict[tuple[str, str], Touched] = {}
        tops = dict(self._tops)
        noted = connection.exec_driver_sql(
            "SELECT name, key, number, top, before, after FROM temp.step_row ORDER BY row"
        )
        for name, key, number, top, before, after in noted:
            if number is None or number <= tops[name]:
                first = found.get((name, key))
                found[name, key] = Touched(name, key, before if first is None else first.before, after)
            if top is not None:
                tops[name] = min(tops[name], top)
        numbers = self._numbers(connection)
        for table in self._numbered:
            if numbers[table.name] > tops[table.name]:
                for key, now in self._above(connection, table, tops[table.name]):
                    went = found.get((table.name, key))
                    found[table.name, key] = Touched(table.name, key, None if went is None else went.before, now)
        return [row for row in found.values() if row.before != row.after]

    def _numbers(self, connection: Connection) -> dict[str, int]:
        """Return the number of the last row of each table."""
        listed = ", ".join(map(_top, self._numbered))
        (numbers,) = connection.exec_driver_sql(f"SELECT {listed}")
        return dict(zip((table.name for table in self._numbered), numbers, strict=True))

    def _above(self, connection: Connection, table: TableLayout, top: int) -> Iterator[tuple[str, str]]:
        """Yield the key and the values of each row of a table above a number."""
        driver = connection.connection.driver_connection
        assert isinstance(driver, sqlite3.Connection)
        told = f"{_key_of(table, 'present')}, {self._said.image(table, 'present')}"
        yield from driver.execute(f'SELECT {told} FROM main."{table.name}" AS present WHERE present.rowid > ?', (top,))

    def _noting(self, table: TableLayout) -> Iterator[str]:
        """Yield what has rows of a table noted, but for new ones of a table that numbers them."""
        fresh, gone = (f"'{table.name}', {_key_of(table, row)}" for row in ("new", "old"))
        before, after = self._said.image(table, "old"), self._said.image(table, "new")
        listed = ", ".join(f'"{name}"' for name in columns_of(table))
        changed = f"UPDATE OF {listed}"
        if table in self._numbered:
            old = " WHEN old.rowid <= {top}"
            yield _trigger(table, "changed", changed, f"{fresh}, old.rowid, NULL, {before}, {after}", old)
            yield _trigger(table, "gone", "DELETE", f"{gone}, old.rowid, {_top(table)}, {before}, NULL")
        else:
            yield _trigger(table, "added", "INSERT", f"{fresh}, NULL, NULL, NULL, {after}")
            yield _trigger(table, "changed", changed, f"{fresh}, NULL, NULL, {before}, {after}")
            yield _trigger(table, "gone", "DELETE", f"{gone}, NULL, NULL, {before}, NULL")


def _trigger(table: TableLayout, how: str, deed: str, values: str, when: str = "") -> str:
    note = f"INSERT INTO step_row(name, key, number, top, before, after) VALUES ({values})"
    return f'CREATE TEMP TRIGGER "step_{table.name}_{how}" AFTER {deed} ON main."{table.name}"{when} BEGIN {note}; END'


def _top(table: TableLayout) -> str:
    """Return the expression of the number of the last row of a table, in a file."""
    return f'(SELECT coalesce(max(rowid), 0) FROM main."{table.name}")'


def _key_of(table: TableLayout, row: str) -> str:
    """Return the expression of a row's key as JSON, in a file."""
    listed = ", ".join(f'{row}."{name}"' for name in table.key)
    return f"json_array({listed})"


class _OnServer:
    """The rows that were noted to be sealed, as others still see them and as they are."""

    def begin(self, connection: Connection) -> None:
        """Nothing is to be done: the server notes them."""

    def rows(self, connection: Connection) -> list[Touched]:
        kept = {table.name: table for table in kept_tables(connection)}
        noted: dict[str, list[list[str]]] = defaultdict(list)
        for name, key in connection.exec_driver_sql("SELECT name, key FROM pg_temp.written").all():
            if name in kept:
                noted[name].append(sealed_tables()[name].parts(key))
        found: list[Touched] = []
        with connection.engine.connect() as another:  # to it, nothing of this change has happened yet
            for name, keys in noted.items():
                listed = [json.dumps(key) for key in keys]
                was, now = (_images_of(each, kept[name], listed) for each in (another, connection))
                found += (
                    Touched(name, key, was.get(key), now.get(key)) for key in listed if was.get(key) != now.get(key)
                )
        return found


def _images_of(connection: Connection, table: TableLayout, keys: list[str]) -> dict[str, str]:
    """Return what rows of a table on a server hold, by their keys; those that are not there are left out."""
    is_one = " AND ".join(
        f'present."{name}" = {part_on_server(table, place, "wanted.key::jsonb")}'
        for place, name in enumerate(table.key)
    )
    statement = (
        f"SELECT wanted.key, ({images(connection).image(table, 'present')})::text"
        f' FROM unnest(%s::text[]) AS wanted (key) JOIN public."{table.name}" AS present ON {is_one}'
    )
    return dict(map(tuple, connection.exec_driver_sql(statement, (keys,))))


def packed(rows: Sequence[Touched]) -> bytes:
    """Return rows in little room: a step may be a whole file that was taken in."""
    return zlib.compress(orjson.dumps(list(map(tuple, rows))), 1)
