"""What one change did to each row, gathered so that no way of writing is missed.

In a file, triggers of the connection's own gather it. On a server, the rows are those that were noted to be sealed, and
what they were is what everybody else still sees until the change is kept. Of every row touched the values before and
after are kept, records excepted, whose rows never change: their ids are enough. Columns and tables that follow from
others are left aside, as is the history.
"""

import json
import zlib
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final, NamedTuple

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
_GATHER: Final = "CREATE TEMP TABLE step_row (number INTEGER PRIMARY KEY, name TEXT, key TEXT, before TEXT, after TEXT)"


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
        return [Touched(*row) for row in json.loads(zlib.decompress(self.packed))]


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


def key_of(table: TableLayout, row: str) -> str:
    """Return the expression of a row's key as JSON, in a file."""
    listed = ", ".join(f'{row}."{name}"' for name in table.key)
    return f"json_array({listed})"


def watching(connection: Connection) -> list[str]:
    """Return the statements that make a connection note every row it touches from then on; none on a server."""
    if connection.dialect.name != SQLITE:
        return []
    statements, said = [_GATHER], images(connection)
    for table in kept_tables(connection):
        fresh, gone = (f"'{table.name}', {key_of(table, row)}" for row in ("new", "old"))
        before, after = said.image(table, "old"), said.image(table, "new")
        listed = ", ".join(f'"{name}"' for name in columns_of(table))
        statements += [
            _trigger(table, "added", "INSERT", f"{fresh}, NULL, {after}"),
            _trigger(table, "changed", f"UPDATE OF {listed}", f"{fresh}, {before}, {after}"),
            _trigger(table, "gone", "DELETE", f"{gone}, {before}, NULL"),
        ]
    return statements


def _trigger(table: TableLayout, how: str, when: str, values: str) -> str:
    note = f"INSERT INTO step_row(name, key, before, after) VALUES ({values})"  # noqa: S608 - the layout's own names
    return f'CREATE TEMP TRIGGER "step_{table.name}_{how}" AFTER {when} ON main."{table.name}" BEGIN {note}; END'


def gathered(connection: Connection) -> list[Touched]:
    """Return the rows that were touched since the connection began to note them, as they were and are."""
    return _gathered_in_file(connection) if connection.dialect.name == SQLITE else _gathered_on_server(connection)


def _gathered_in_file(connection: Connection) -> list[Touched]:
    found: dict[tuple[str, str], Touched] = {}
    rows = connection.exec_driver_sql("SELECT name, key, before, after FROM temp.step_row ORDER BY number")
    for name, key, before, after in rows:
        first = found.get((name, key))
        found[name, key] = Touched(name, key, before if first is None else first.before, after)
    return [row for row in found.values() if row.before != row.after]


def _gathered_on_server(connection: Connection) -> list[Touched]:
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
            found += (Touched(name, key, was.get(key), now.get(key)) for key in listed if was.get(key) != now.get(key))
    return found


def _images_of(connection: Connection, table: TableLayout, keys: list[str]) -> dict[str, str]:
    """Return what rows of a table on a server hold, by their keys; those that are not there are left out."""
    is_one = " AND ".join(
        f'present."{name}" = {part_on_server(table, place, "wanted.key::jsonb")}'
        for place, name in enumerate(table.key)
    )
    statement = (
        f"SELECT wanted.key, ({images(connection).image(table, 'present')})::text"  # noqa: S608 - the layout's own names
        f' FROM unnest(%s::text[]) AS wanted (key) JOIN public."{table.name}" AS present ON {is_one}'
    )
    return dict(map(tuple, connection.exec_driver_sql(statement, (keys,))))


def packed(rows: Sequence[Touched]) -> bytes:
    """Return rows in little room: a step may be a whole file that was taken in."""
    return zlib.compress(json.dumps(rows, ensure_ascii=False).encode(), 1)
