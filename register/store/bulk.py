"""Many rows at once, by the driver's own fast way."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from typing import Any, Final, TypeVar

from sqlalchemy.engine import Connection

from register.store.tables import Table

CHUNK: Final = 5_000
_T = TypeVar("_T")


def insert_rows(
    connection: Connection, table: type[Table], names: Sequence[str], rows: Iterable[tuple[Any, ...]]
) -> int:
    """Insert rows whose values stand in the order of `names`, and return how many. Values are as the ORM takes them."""
    columns = [table.__table__.c[name] for name in names]
    quote = connection.dialect.identifier_preparer.quote
    marks = ", ".join("?" * len(names))
    heads = ", ".join(quote(column.name) for column in columns)
    statement = f"INSERT INTO {quote(table.__tablename__)} ({heads}) VALUES ({marks})"  # noqa: S608 - our own names
    convert = _converter(connection, columns)
    count = 0
    for chunk in chunks(rows, CHUNK):
        connection.exec_driver_sql(statement, [convert(row) for row in chunk])
        count += len(chunk)
    return count


def update_rows(
    connection: Connection, table: type[Table], key: str, names: Sequence[str], rows: Iterable[tuple[Any, ...]]
) -> int:
    """Update rows by a key, and return how many. Each row holds the values in the order of `names`, the key last."""
    columns = [table.__table__.c[name] for name in (*names, key)]
    quote = connection.dialect.identifier_preparer.quote
    fresh = ", ".join(f"{quote(name)} = ?" for name in names)
    statement = f"UPDATE {quote(table.__tablename__)} SET {fresh} WHERE {quote(key)} = ?"  # noqa: S608 - our own names
    convert = _converter(connection, columns)
    count = 0
    for chunk in chunks(rows, CHUNK):
        connection.exec_driver_sql(statement, [convert(row) for row in chunk])
        count += len(chunk)
    return count


def chunks(values: Iterable[_T], size: int) -> Iterator[list[_T]]:
    """Yield the values in lists of at most `size`."""
    iterator = iter(values)
    while chunk := list(islice(iterator, size)):
        yield chunk


def _converter(connection: Connection, columns: Sequence[Any]) -> Callable[[tuple[Any, ...]], tuple[Any, ...]]:
    """Return what turns a row into what the driver takes, by the columns' own types."""
    dialect = connection.dialect
    steps = []
    for place, column in enumerate(columns):
        processor = column.type.dialect_impl(dialect).bind_processor(dialect)
        if processor is not None:
            steps.append((place, processor))

    def convert(row: tuple[Any, ...]) -> tuple[Any, ...]:
        if not steps:
            return row
        values = list(row)
        for place, processor in steps:
            if values[place] is not None:
                values[place] = processor(values[place])
        return tuple(values)

    return convert
