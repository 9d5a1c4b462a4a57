"""What one change did to each row, gathered by triggers of the connection's own, so that no way of writing is missed.

Of every row touched the values before and after are kept, records excepted, whose rows never change: their ids are
enough. Columns and tables that follow from others are left aside, as is the history.
"""

import json
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from sqlalchemy.engine import Connection

from register.store.layout import DERIVED, HISTORY, PROJECTED, VERSION, TableLayout, tables

RECORD: Final = "record"
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
    return [table for table in tables(connection) if table.name not in _ASIDE]


def columns_of(table: TableLayout) -> list[str]:
    """Return the columns of a table that are compared and written back."""
    if table.name == RECORD:
        return list(table.key)
    left_out = {VERSION, *PROJECTED.get(table.name, ())}
    return [name for name in table.columns if name not in left_out]


def image(table: TableLayout, row: str) -> str:
    """Return the expression of a row's values as JSON; bytes stand as hexadecimal text."""
    pairs = ", ".join(f"'{name}', {_value(table, name, row)}" for name in columns_of(table))
    return f"json_object({pairs})"


def key_of(table: TableLayout, row: str) -> str:
    """Return the expression of a row's key as JSON."""
    listed = ", ".join(f'{row}."{name}"' for name in table.key)
    return f"json_array({listed})"


def _value(table: TableLayout, name: str, row: str) -> str:
    column = f'{row}."{name}"'
    return f"CASE WHEN {column} IS NULL THEN NULL ELSE hex({column}) END" if name in table.binary else column


def watching(kept: Sequence[TableLayout]) -> list[str]:
    """Return the statements that make a connection note every row it touches from then on."""
    statements = [_GATHER]
    for table in kept:
        fresh, gone = (f"'{table.name}', {key_of(table, row)}" for row in ("new", "old"))
        before, after = image(table, "old"), image(table, "new")
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
    found: dict[tuple[str, str], Touched] = {}
    rows = connection.exec_driver_sql("SELECT name, key, before, after FROM temp.step_row ORDER BY number")
    for name, key, before, after in rows:
        first = found.get((name, key))
        found[name, key] = Touched(name, key, before if first is None else first.before, after)
    return [row for row in found.values() if row.before != row.after]


def packed(rows: Sequence[Touched]) -> bytes:
    """Return rows in little room: a step may be a whole file that was taken in."""
    return zlib.compress(json.dumps(rows, ensure_ascii=False).encode(), 1)
