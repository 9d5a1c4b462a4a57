"""Many rows at once, by the driver's own fast way."""

import gc
import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from itertools import chain, islice
from typing import Any, Final, TypeVar

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store import server_rows
from register.store.tables import Table
from register.store.types import SQLITE

CHUNK: Final = 5_000
_T = TypeVar("_T")

Among = Callable[[Any], sa.ColumnElement[bool]]
"""Makes the condition that a column, which it is given, holds one of some values."""

Processor = Callable[[Any], Any] | None
"""Turns a value into what the driver takes, or what it gives into a value; None where both are the same."""


def insert_rows(
    connection: Connection, table: type[Table], names: Sequence[str], rows: Iterable[tuple[Any, ...]]
) -> int:
    """Insert rows whose values stand in the order of `names`, and return how many. Values are as the ORM takes them."""
    quote = connection.dialect.identifier_preparer.quote
    if connection.dialect.name != SQLITE:
        heads = [quote(name) for name in names]
        ready = chain.from_iterable(_ready(connection, table, names, rows))
        return server_rows.insert(connection, quote(table.__tablename__), heads, ready)
    marks = ", ".join("?" * len(names))
    listed = ", ".join(quote(name) for name in names)
    statement = f"INSERT INTO {quote(table.__tablename__)} ({listed}) VALUES ({marks})"  # noqa: S608 - our own names
    return _run(connection, statement, table, names, rows)


def update_rows(
    connection: Connection,
    table: type[Table],
    key: Sequence[str],
    names: Sequence[str],
    rows: Iterable[tuple[Any, ...]],
) -> int:
    """Update rows by the columns of a key, and return how many. Each row holds the values of `names`, then the key."""
    quote = connection.dialect.identifier_preparer.quote
    mark = _mark(connection)
    fresh = ", ".join(f"{quote(name)} = {mark}" for name in names)
    statement = f"UPDATE {quote(table.__tablename__)} SET {fresh} WHERE {_by(connection, key)}"  # noqa: S608 - our own names
    return _run(connection, statement, table, (*names, *key), rows)


def delete_rows(connection: Connection, table: type[Table], key: Sequence[str], rows: Iterable[tuple[Any, ...]]) -> int:
    """Delete rows by the columns of a key, and return how many."""
    quote = connection.dialect.identifier_preparer.quote
    statement = f"DELETE FROM {quote(table.__tablename__)} WHERE {_by(connection, key)}"  # noqa: S608 - our own names
    return _run(connection, statement, table, key, rows)


def _by(connection: Connection, key: Sequence[str]) -> str:
    quote, mark = connection.dialect.identifier_preparer.quote, _mark(connection)
    return " AND ".join(f"{quote(name)} = {mark}" for name in key)


def _mark(connection: Connection) -> str:
    """Return what stands for a value in a statement that the driver gets as it is."""
    return "?" if connection.dialect.name == SQLITE else "%s"


def _run(
    connection: Connection,
    statement: str,
    table: type[Table],
    names: Sequence[str],
    rows: Iterable[tuple[Any, ...]],
) -> int:
    count = 0
    for chunk in _ready(connection, table, names, rows):
        connection.exec_driver_sql(statement, chunk)
        count += len(chunk)
    return count


def _ready(
    connection: Connection, table: type[Table], names: Sequence[str], rows: Iterable[tuple[Any, ...]]
) -> Iterator[list[tuple[Any, ...]]]:
    """Yield the rows, many at a time, with their values as the driver takes them."""
    types = [table.__table__.c[name].type.dialect_impl(connection.dialect) for name in names]
    processors = [each.bind_processor(connection.dialect) for each in types]
    for chunk in chunks(rows, CHUNK):
        yield list(_through(chunk, processors))


def rows_of(
    connection: Connection, statement: sa.Select[*tuple[Any, ...]], bound: Mapping[str, Any] | None = None
) -> Iterator[tuple[Any, ...]]:
    """Yield the rows of a large answer as plain tuples. Values are as the ORM gives them."""
    result, dialect = connection.execute(statement, bound), connection.dialect
    types = [column.type.dialect_impl(dialect) for column in statement.selected_columns]
    processors = [each.result_processor(dialect, None) for each in types]
    assert result.cursor is not None
    while rows := result.cursor.fetchmany(CHUNK):
        yield from _through(rows, processors)
    result.close()


def _through(rows: Sequence[tuple[Any, ...]], processors: Sequence[Processor]) -> Iterable[tuple[Any, ...]]:
    """Return the rows with each value put through its column's processor: column by column, which is quickest."""
    if not any(processors):
        return rows
    columns = (
        values if process is None else [None if value is None else process(value) for value in values]
        for values, process in zip(zip(*rows, strict=True), processors, strict=True)
    )
    return zip(*columns, strict=True)


def one_of(connection: Connection, values: Sequence[str]) -> Among:
    """Return what makes the condition that a column holds one of many values.

    SQLite gets them in one piece: handing over each by itself takes as long as finding its row.
    """
    if connection.dialect.name != SQLITE:
        return lambda column: column.in_(values)
    listed = sa.func.json_each(json.dumps(values)).table_valued("value")
    return lambda column: column.in_(sa.select(listed.c.value))


def chunks(values: Iterable[_T], size: int) -> Iterator[list[_T]]:
    """Yield the values in lists of at most `size`."""
    iterator = iter(values)
    while chunk := list(islice(iterator, size)):
        yield chunk


@contextmanager
def without_indexes(connection: Connection, *columns: Any) -> Iterator[None]:  # noqa: ANN401 - columns of tables
    """Take away the indexes that hold any of these columns, and make them anew afterwards in the same transaction.

    Where most rows change, an index is made anew in a third of the time that moving its entries takes. Databases
    other than SQLite keep theirs: there it would keep readers out.
    """
    indexes: list[sa.Index] = []
    if connection.dialect.name == SQLITE:
        names = {column.key for column in columns}
        tables = {column.class_.__table__ for column in columns}
        indexes = [index for table in tables for index in table.indexes if names & set(index.columns.keys())]
    for index in indexes:
        index.drop(connection)
    try:
        yield
    finally:
        for index in indexes:
            index.create(connection)


@contextmanager
def many_values() -> Iterator[None]:
    """Leave garbage collection aside while a great many values are made that don't refer to one another in rings.

    It would look through all of them again and again, for a fifth of the time, and find nothing. Afterwards they count
    as old ones, or it would do so once more at once.
    """
    if not gc.isenabled():
        yield
        return
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.unfreeze()
        gc.enable()
