"""Writing back what rows were before a change, as long as they still are what it made of them.

Records never vanish: one that is taken back is laid, word for word, among those taken back first, and comes from there
when it is done again.
"""

# ruff: noqa: S608 - statements over the layout's own names

import sqlite3
from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.errors import Refused
from register.store.amended import Correction
from register.store.bulk import one_of
from register.store.layout import DERIVED, PROJECTED, VERSION, TableLayout, tables
from register.store.search import remove_texts
from register.store.steps import OF_RECORDS, RECORD, Touched, columns_of, image, kept_tables
from register.store.tables import Record
from register.store.types import instant_text, new_key

CHANGED: Final = (
    "What you want to undo was changed again since, by somebody else or by another program; so it was left as it is."
    " Look at it, and change it by hand."
)

_ROWS: Final = "CREATE TEMP TABLE back_row (name TEXT, key TEXT, before TEXT, after TEXT, PRIMARY KEY (name, key))"


def write_back(connection: Connection, rows: Sequence[Touched], *, actor: str, at: datetime) -> None:
    """Make the rows what they were before; refused, with nothing written, where one is not what it was made."""
    _lay_out(connection, rows)
    names = {row.name for row in rows}
    kept = [table for table in kept_tables(connection) if table.name in names]
    for table in kept:
        _check(connection, table)
    try:
        for table in kept:
            _add(connection, table)
        for table in kept:
            _change(connection, table)
        for table in reversed(kept):
            _take_out(connection, table, actor, at)
    except sa.exc.IntegrityError as error:
        raise Refused(CHANGED) from error
    connection.exec_driver_sql("DROP TABLE temp.back_row")


def _lay_out(connection: Connection, rows: Sequence[Touched]) -> None:
    """Put the rows beside the register's own, where statements can compare them."""
    driver = connection.connection.driver_connection
    assert isinstance(driver, sqlite3.Connection)
    driver.create_function("new_key", 0, new_key)
    driver.create_function("from_hex", 1, lambda text: None if text is None else bytes.fromhex(text))
    connection.exec_driver_sql(_ROWS)
    connection.exec_driver_sql("INSERT INTO temp.back_row VALUES (?, ?, ?, ?)", [tuple(row) for row in rows])


def _matches(table: TableLayout) -> str:
    """Return the condition that a row of a table, named `row`, is that of a row laid out, named `back`."""
    keys = (f"row.\"{name}\" = json_extract(back.key, '$[{place}]')" for place, name in enumerate(table.key))
    return " AND ".join([f"back.name = '{table.name}'", *keys])


def _check(connection: Connection, table: TableLayout) -> None:
    """Refuse where a row is not what the change left."""
    differs = (
        f'SELECT 1 FROM temp.back_row AS back LEFT JOIN main."{table.name}" AS row ON {_matches(table)}'
        f" WHERE back.name = '{table.name}' AND back.after IS NOT"
        f' CASE WHEN row."{table.key[0]}" IS NULL THEN NULL ELSE {image(table, "row")} END LIMIT 1'
    )
    if connection.exec_driver_sql(differs).first() is not None:
        raise Refused(CHANGED)


def _add(connection: Connection, table: TableLayout) -> None:
    """Put in again what the change took out."""
    gone = f"FROM temp.back_row AS back WHERE back.name = '{table.name}' AND back.after IS NULL"
    if table.name == RECORD:
        _restore(connection, f"SELECT json_extract(back.key, '$[0]') {gone}")
        return
    columns = columns_of(table)
    values = [_said(table, name) for name in columns]
    for name, value in PROJECTED.get(table.name, {}).items():
        columns.append(name)
        values.append("NULL" if value is None else f"'{value}'" if isinstance(value, str) else str(value))
    if VERSION in table.columns:
        columns.append(VERSION)
        values.append("1")
    connection.exec_driver_sql(
        f'INSERT INTO main."{table.name}" ({_listed(columns)}) SELECT {", ".join(values)} {gone}'
    )


def _said(table: TableLayout, name: str) -> str:
    value = f"json_extract(back.before, '$.\"{name}\"')"
    return f"from_hex({value})" if name in table.binary else value


def _listed(names: Sequence[str]) -> str:
    return ", ".join(f'"{name}"' for name in names)


def _change(connection: Connection, table: TableLayout) -> None:
    """Write the former values into rows that the change wrote others into; their version goes on."""
    if table.name == RECORD:
        return
    parts = [f'"{name}" = {_said(table, name)}' for name in columns_of(table) if name not in table.key]
    if VERSION in table.columns:
        parts.append(f'"{VERSION}" = row."{VERSION}" + 1')
    if parts:
        connection.exec_driver_sql(
            f'UPDATE main."{table.name}" AS row SET {", ".join(parts)} FROM temp.back_row AS back'
            f" WHERE {_matches(table)} AND back.before IS NOT NULL AND back.after IS NOT NULL"
        )


def _take_out(connection: Connection, table: TableLayout, actor: str, at: datetime) -> None:
    """Take out what the change had put in, with what follows from it."""
    added = f"FROM temp.back_row AS back WHERE back.name = '{table.name}' AND back.before IS NULL"
    if not connection.exec_driver_sql(f"SELECT 1 {added} LIMIT 1").first():
        return
    if table.name == RECORD:
        _lay_aside(connection, f"SELECT json_extract(back.key, '$[0]') {added}", actor, at)
    if table.name == "item":
        ids = list(connection.exec_driver_sql(f"SELECT json_extract(back.key, '$[0]') {added}").scalars())
        remove_texts(connection, ids)
        for name in sorted(DERIVED - {"item_text"}):
            connection.exec_driver_sql(
                f"DELETE FROM main.\"{name}\" WHERE item_id IN (SELECT json_extract(back.key, '$[0]') {added})"
            )
    key = table.key
    wanted = ", ".join(f"json_extract(back.key, '$[{place}]')" for place in range(len(key)))
    connection.exec_driver_sql(f'DELETE FROM main."{table.name}" WHERE ({_listed(key)}) IN (SELECT {wanted} {added})')


# --- records ---


def _of_records(connection: Connection) -> dict[str, TableLayout]:
    return {table.name: table for table in tables(connection) if table.name in {RECORD, *OF_RECORDS}}


def _object(table: TableLayout, row: str) -> str:
    pairs = ", ".join(f"'{name}', {row}.\"{name}\"" for name in table.columns)
    return f"json_object({pairs})"


def _lay_aside(connection: Connection, ids: str, actor: str, at: datetime) -> None:
    """Keep records word for word among those taken back, and take out what belongs to them."""
    known = _of_records(connection)
    parts = ", ".join(
        f"'{name}', json((SELECT json_group_array({_object(known[name], 'part')}) FROM main.\"{name}\" AS part"
        " WHERE part.record_id = record.id))"
        for name in OF_RECORDS
    )
    kept = f"json_object('record', {_object(known[RECORD], 'record')}, {parts})"
    connection.exec_driver_sql(
        "INSERT INTO main.taken_back (id, record_id, item_id, kept, made_by, made_at)"
        f" SELECT new_key(), record.id, record.item_id, {kept}, ?, ? FROM main.record AS record"
        f" WHERE record.id IN ({ids})",
        (actor, instant_text(at)),
    )
    for name in OF_RECORDS:
        connection.exec_driver_sql(f'DELETE FROM main."{name}" WHERE record_id IN ({ids})')


def _restore(connection: Connection, ids: str) -> None:
    """Put records that were taken back into their tables again."""
    known = _of_records(connection)
    newest = f"SELECT max(id) FROM main.taken_back WHERE record_id IN ({ids}) GROUP BY record_id"
    latest = f"main.taken_back AS kept WHERE kept.id IN ({newest})"
    names = known[RECORD].columns
    values = ", ".join(f"json_extract(kept.kept, '$.record.\"{name}\"')" for name in names)
    connection.exec_driver_sql(f"INSERT INTO main.record ({_listed(names)}) SELECT {values} FROM {latest}")
    for part in OF_RECORDS:
        names = known[part].columns
        values = ", ".join(f"json_extract(part.value, '$.\"{name}\"')" for name in names)
        source = latest.replace(" AS kept ", f" AS kept, json_each(kept.kept, '$.{part}') AS part ")
        connection.exec_driver_sql(f'INSERT INTO main."{part}" ({_listed(names)}) SELECT {values} FROM {source}')


def count_of_records(connection: Connection, items: Sequence[str]) -> dict[str, int]:
    """Return how many records, and corrections of them, each of these items has: one more tells of somebody else."""
    among, counted = one_of(connection, items), sa.func.count()
    records = sa.select(Record.item_id, counted).where(among(Record.item_id)).group_by(Record.item_id)
    corrected = records.join(Correction, Correction.record_id == Record.id)
    found: dict[str, int] = defaultdict(int)
    for item_id, count in (*connection.execute(records), *connection.execute(corrected)):
        found[item_id] += count
    return dict(found)
