"""Sealing what a change wrote on a server, where triggers note every row that is written, whichever way.

They are the server's own and note into a table of the connection's, which the program makes where it means to seal; for
whoever writes past the program they note nothing, so that `check` finds it. The digests are those of a file.
"""

from collections.abc import Iterator, Sequence
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store.bulk import CHUNK
from register.store.moving import models
from register.store.rows import table_of
from register.store.sealed_tables import Sealed, sealed_tables
from register.store.types import Day, Flag, Instant

Row = tuple[Any, ...]

_WRITTEN: Final = (
    "CREATE TEMP TABLE IF NOT EXISTS written (name text, key text, digest text, PRIMARY KEY (name, key))"
    " ON COMMIT DELETE ROWS"
)
"""What was written: the table, the key, and a digest of what the row holds now; none where it is gone."""

_AGAIN: Final = "ON CONFLICT (name, key) DO UPDATE SET digest = excluded.digest"
_NOTED: Final = "INSERT INTO pg_temp.written SELECT"
_QUOTED: Final = (
    "CREATE OR REPLACE FUNCTION quoted(said text) RETURNS text LANGUAGE sql IMMUTABLE"
    " AS $$ SELECT coalesce('''' || replace(said, '''', '''''') || '''', 'NULL') $$"
)
_MOMENT: Final = """'YYYY-MM-DD"T"HH24:MI:SS.US"Z"'"""


def watch(connection: Connection) -> None:
    """Make the triggers that note what is written; done again, it leaves the same."""
    connection.exec_driver_sql(_QUOTED)
    for table in sealed_tables().values():
        for statement in _triggers(table):
            connection.exec_driver_sql(statement)


def _triggers(table: Sealed) -> Iterator[str]:
    name, changed = table.name, table.listed()
    before, after = key_of(table, "old."), key_of(table, "new.")
    yield (
        f"CREATE OR REPLACE FUNCTION note_{name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN"
        f" IF to_regclass('pg_temp.written') IS NULL THEN RETURN NULL; END IF;"
        f" IF tg_op = 'INSERT' THEN {_NOTED} '{name}', {key_of(table)}, {_digest(table)} FROM fresh {_AGAIN};"
        f" ELSIF tg_op = 'DELETE' THEN {_NOTED} '{name}', {key_of(table)}, NULL FROM gone {_AGAIN};"
        f" ELSE {_NOTED} '{name}', {before}, NULL WHERE {before} <> {after} {_AGAIN};"
        f" {_NOTED} '{name}', {after}, {_digest(table, 'new.')} {_AGAIN};"
        " END IF; RETURN NULL; END $$"
    )
    for deed, when, what in (
        ("INSERT", "INSERT", "REFERENCING NEW TABLE AS fresh FOR EACH STATEMENT"),
        ("DELETE", "DELETE", "REFERENCING OLD TABLE AS gone FOR EACH STATEMENT"),
        ("UPDATE", f"UPDATE OF {changed}", "FOR EACH ROW"),
    ):
        yield (
            f'CREATE OR REPLACE TRIGGER note_{deed.lower()} AFTER {when} ON "{name}" {what}'
            f" EXECUTE FUNCTION note_{name}()"
        )


def key_of(table: Sealed, row: str = "") -> str:
    """Return the expression of a row's key as a seal names it."""
    return " || ' ' || ".join(f'{row}"{table.columns[place]}"::text' for place in table.key)


def held(table: Sealed, row: str = "") -> str:
    """Return the expression of a row's values, each as a file's own statement would quote it."""
    kinds = {column.name: column.type for column in _columns(table)}
    values = (_text(kinds[name], f'{row}"{name}"') for name in table.columns)
    return " || ',' || ".join(f"quoted({value})" for value in values)


def _columns(table: Sealed) -> Sequence[sa.Column[Any]]:
    model = next(each for each in models() if each.__tablename__ == table.name)
    return list(table_of(model).columns)


def _text(kind: Any, column: str) -> str:  # noqa: ANN401 - columns of many kinds
    """Return the expression of a value as it stands in a file."""
    if isinstance(kind, Day):
        return f"to_char({column}, 'YYYY-MM-DD')"
    if isinstance(kind, Instant):
        return f"to_char({column} AT TIME ZONE 'UTC', {_MOMENT})"
    return f"{column}::int::text" if isinstance(kind, Flag) else f"{column}::text"


def _digest(table: Sealed, row: str = "") -> str:
    return f"left(encode(sha256(convert_to({held(table, row)}, 'UTF8')), 'hex'), 32)"


class Noted:
    """What one change on a connection to a server writes, noted from now on."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        connection.exec_driver_sql(_WRITTEN)

    def rows(self) -> list[Row]:
        """Return the rows that were written: table, key, and digest, None where one is gone."""
        return [tuple(row) for row in self._connection.exec_driver_sql("SELECT name, key, digest FROM pg_temp.written")]


def rows_held(connection: Connection, table: Sealed) -> Iterator[Row]:
    """Yield the key of each row of a table and what it holds, streamed rather than gathered first."""
    statement = f'SELECT {key_of(table)}, {held(table)} FROM "{table.name}"'  # noqa: S608 - our own names
    streamed = connection.exec_driver_sql(statement, execution_options={"stream_results": True})
    for some in streamed.partitions(CHUNK):
        yield from ((key, values.encode()) for key, values in some)


def values_of(connection: Connection, table: Sealed, key: str) -> dict[str, Any]:
    """Return the values of one row as text, by the names of its columns."""
    columns = ", ".join(f'"{name}"::text' for name in table.columns)
    statement = f'SELECT {columns} FROM "{table.name}" WHERE {key_of(table)} = %s'  # noqa: S608 - our own names
    row = connection.exec_driver_sql(statement, (key,)).first()
    return {} if row is None else dict(zip(table.columns, row, strict=True))
