"""Every row of a register into another, wherever the two are, and whether they hold the same afterwards."""

import hashlib
import json
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.stopping import step_by_step
from register.store import (  # noqa: F401 - their tables are moved too
    amended,
    let_go,
    owner_queries,
    packs,
    photos,
    seals,
    tag_ranges,
    visits,
)
from register.store.bulk import CHUNK, insert_rows, rows_of, update_rows
from register.store.rows import plain, table_of
from register.store.tables import ItemText, Table
from register.store.types import SQLITE


class Held(NamedTuple):
    """What a table holds: how many rows, and a hash of them all."""

    rows: int
    hash: str


def models() -> list[type[Table]]:
    """Return the class of every table, each after those that its rows point to."""
    by_table: dict[Any, type[Table]] = {mapper.local_table: mapper.class_ for mapper in Table.registry.mappers}
    return [by_table[table] for table in Table.metadata.sorted_tables]


def copy_rows(source: Connection, target: Connection) -> None:
    """Copy every row of a register into one that is empty; what points to rows of its own table is filled in last."""
    for model in models():
        names, later = list(table_of(model).columns.keys()), _own_references(model)
        insert_rows(target, model, names, _without(source, model, later))
        if later:
            keys = [column.name for column in table_of(model).primary_key]
            update_rows(target, model, keys, later, _only(source, model, later, keys))
    _number_texts(target)


def held(connection: Connection) -> dict[str, Held]:
    """Return what each table holds, by its name; the same for the same rows on every database."""
    return {model.__tablename__: _held(connection, model) for model in models()}


def _every_row(connection: Connection, model: type[Table]) -> Iterator[tuple[Any, ...]]:
    """Yield the rows of a table in the order of its key, streamed rather than gathered first; each is a step."""
    table = table_of(model)
    statement = sa.select(*table.columns).order_by(*table.primary_key.columns)
    streamed = statement.execution_options(stream_results=connection.dialect.name != SQLITE)
    for some in connection.execute(streamed).partitions(CHUNK):
        yield from step_by_step(map(tuple, some))


def _own_references(model: type[Table]) -> list[str]:
    table = table_of(model)
    return [each.parent.name for each in sorted(table.foreign_keys, key=_name) if each.column.table is table]


def _name(key: sa.ForeignKey) -> str:
    return str(key.parent.name)


def _without(connection: Connection, model: type[Table], left_out: Sequence[str]) -> Iterator[tuple[Any, ...]]:
    """Yield the rows of a table, these columns empty."""
    rows = _every_row(connection, model)
    if not left_out:
        yield from rows
        return
    places = {list(table_of(model).columns.keys()).index(name) for name in left_out}
    for row in rows:
        yield tuple(None if place in places else value for place, value in enumerate(row))


def _only(
    connection: Connection, model: type[Table], names: Sequence[str], keys: Sequence[str]
) -> Iterator[tuple[Any, ...]]:
    """Yield these columns and the key of each row that has a value in one of them."""
    table = table_of(model)
    filled = sa.or_(*(table.c[name].is_not(None) for name in names))
    yield from rows_of(connection, sa.select(*(table.c[name] for name in (*names, *keys))).where(filled))


def _number_texts(connection: Connection) -> None:
    """Let the next text that is indexed get the next number, and SQLite find those that were copied."""
    if connection.dialect.name == SQLITE:
        connection.exec_driver_sql("INSERT INTO item_search(item_search) VALUES ('rebuild')")
        return
    last = connection.execute(sa.select(sa.func.max(ItemText.row))).scalar()
    if last is not None:
        connection.execute(sa.select(sa.func.setval(sa.func.pg_get_serial_sequence("item_text", "row"), last)))


def _held(connection: Connection, model: type[Table]) -> Held:
    table, found, count = table_of(model), hashlib.sha256(), 0
    names = list(table.columns.keys())
    for row in _every_row(connection, model):
        said = plain(table, dict(zip(names, row, strict=True)))
        found.update(json.dumps(said, ensure_ascii=False, sort_keys=True).encode())
        count += 1
    return Held(count, found.hexdigest())
