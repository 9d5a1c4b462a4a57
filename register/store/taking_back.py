"""Writing back what rows were before a change, as long as they still are what it made of them.

Records never vanish: one that is taken back is laid, word for word, among those taken back first, and comes from there
when it is done again.
"""

# ruff: noqa: S608 - statements over the layout's own names

import sqlite3
from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, nullcontext
from datetime import datetime
from functools import cache
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.errors import Refused
from register.store.amended import Correction
from register.store.bulk import one_of
from register.store.images import RECORD, columns_of, images
from register.store.layout import DERIVED, PROJECTED, VERSION, TableLayout
from register.store.moving import models
from register.store.rows import table_of
from register.store.search import remove_texts
from register.store.steps import OF_RECORDS, Touched, kept_tables, known_tables
from register.store.tables import Record
from register.store.types import SQLITE, instant_text, new_keys

CHANGED: Final = (
    "What you want to undo was changed again since, by somebody else or by another program; so it was left as it is."
    " Look at it, and change it by hand."
)


def write_back(connection: Connection, rows: Sequence[Touched], *, actor: str, at: datetime) -> None:
    """Make the rows what they were before; refused, with nothing written, where one is not what it was made."""
    names = {row.name for row in rows}
    kept = [table for table in kept_tables(connection) if table.name in names]
    back = _Back(connection, {table.name: table for table in known_tables(connection)})
    back.lay_out(rows)
    for table in kept:
        back.check(table)
    try:
        for table in kept:
            back.add(table)
        for table in kept:
            back.change(table)
        for table in reversed(kept):
            back.take_out(table, actor, at)
    except sa.exc.IntegrityError as error:
        raise Refused(CHANGED) from error
    back.lay_away()


class _Back:
    """Rows that are laid out beside the register's own, where statements can compare them and write them back."""

    def __init__(self, connection: Connection, known: dict[str, TableLayout]) -> None:
        self._connection, self._known, self._said = connection, known, images(connection)
        self._rows = f"{self._said.beside}.back_row AS back"

    def lay_out(self, rows: Sequence[Touched]) -> None:
        """Lay the rows out, each with a new key in case it is one that is kept among those taken back."""
        driver, fresh = self._connection.connection.driver_connection, new_keys()
        if isinstance(driver, sqlite3.Connection):
            driver.create_function("from_hex", 1, lambda text: None if text is None else bytes.fromhex(text))
        for statement in self._said.beginning:
            self._connection.exec_driver_sql(statement)
        table = sa.table("back_row", *map(sa.column, (*Touched._fields, "fresh")))
        self._connection.execute(sa.insert(table), [{**row._asdict(), "fresh": next(fresh)} for row in rows])
        self._connection.exec_driver_sql(f"ANALYZE {self._said.beside}.back_row")  # or a server goes by a wild guess

    def lay_away(self) -> None:
        """Leave nothing beside the register."""
        self._connection.exec_driver_sql(f"DROP TABLE {self._said.beside}.back_row")

    def _own(self, name: str) -> str:
        return f'{self._said.here}."{name}"'

    def _matches(self, table: TableLayout) -> str:
        """Return the condition that the row `present` of a table is that of the row `back`."""
        keys = (f'present."{name}" = {self._said.part(table, place)}' for place, name in enumerate(table.key))
        return " AND ".join([f"back.name = '{table.name}'", *keys])

    def check(self, table: TableLayout) -> None:
        """Refuse where a row is not what the change left."""
        present = f"{self._own(table.name)} AS present"
        there = f'CASE WHEN present."{table.key[0]}" IS NULL THEN NULL ELSE {self._said.image(table, "present")} END'
        differs = (
            f"SELECT count(*) FROM {self._rows} LEFT JOIN {present} ON {self._matches(table)}"
            f" WHERE back.name = '{table.name}' AND back.after {self._said.other} {there}"
        )  # counted, not sought with a limit: a server would then plan as if one were found soon
        if self._connection.exec_driver_sql(differs).scalar():
            raise Refused(CHANGED)

    def add(self, table: TableLayout) -> None:
        """Put in again what the change took out."""
        gone = f"back.name = '{table.name}' AND back.after IS NULL"
        if table.name == RECORD:
            self._restore(gone)
            return
        columns = columns_of(table)
        values = [self._said.value(table, name) for name in columns]
        for name, value in PROJECTED.get(table.name, {}).items():
            columns.append(name)
            values.append("NULL" if value is None else f"'{value}'")
        if VERSION in table.columns:
            columns.append(VERSION)
            values.append("1")
        self._connection.exec_driver_sql(
            f"INSERT INTO {self._own(table.name)} ({_listed(columns)}) SELECT {', '.join(values)}"
            f" FROM {self._rows} WHERE {gone}"
        )

    def change(self, table: TableLayout) -> None:
        """Write the former values into rows that the change wrote others into; their version goes on."""
        if table.name == RECORD:
            return
        parts = [f'"{name}" = {self._said.value(table, name)}' for name in columns_of(table) if name not in table.key]
        if VERSION in table.columns:
            parts.append(f'"{VERSION}" = present."{VERSION}" + 1')
        if parts:
            self._connection.exec_driver_sql(
                f"UPDATE {self._own(table.name)} AS present SET {', '.join(parts)} FROM {self._rows}"
                f" WHERE {self._matches(table)} AND back.before IS NOT NULL AND back.after IS NOT NULL"
            )

    def take_out(self, table: TableLayout, actor: str, at: datetime) -> None:
        """Take out what the change had put in, with what follows from it."""
        added = f"FROM {self._rows} WHERE back.name = '{table.name}' AND back.before IS NULL"
        count: int = self._connection.exec_driver_sql(f"SELECT count(*) {added}").scalar_one()
        if not count:
            return
        key = [self._said.part(table, place) for place in range(len(table.key))]
        if table.name == RECORD:
            self._lay_aside(actor, at)
        if table.name == "item":
            remove_texts(
                self._connection, [*map(str, self._connection.exec_driver_sql(f"SELECT {key[0]} {added}").scalars())]
            )
            for name in sorted(DERIVED - {"item_text"}):
                self._connection.exec_driver_sql(
                    f"DELETE FROM {self._own(name)} WHERE item_id IN (SELECT {key[0]} {added})"
                )
        with self._pointing_found(table) if count >= _MANY else nullcontext():
            self._connection.exec_driver_sql(
                f"DELETE FROM {self._own(table.name)} WHERE ({_listed(table.key)}) IN (SELECT {', '.join(key)} {added})"
            )

    @contextmanager
    def _pointing_found(self, table: TableLayout) -> Iterator[None]:
        """Give every column that points to a table in a file an index, while many of its rows go.

        For each that goes, what points to it is looked for: among all rows there are, where no index leads there.
        """
        pointing = _pointing_to(table.name) if self._connection.dialect.name == SQLITE else ()
        for name, column in pointing:
            self._connection.exec_driver_sql(f'CREATE INDEX main."back_{name}_{column}" ON "{name}" ("{column}")')
        yield
        for name, column in pointing:
            self._connection.exec_driver_sql(f'DROP INDEX main."back_{name}_{column}"')

    # --- records ---

    def _lay_aside(self, actor: str, at: datetime) -> None:
        """Keep records word for word among those taken back, and take out what belongs to them."""
        record = self._known[RECORD]
        kept = self._said.kept(record, [self._known[name] for name in OF_RECORDS])
        added = f"{self._matches(record)} AND back.before IS NULL"
        self._connection.execute(
            sa.text(
                f"INSERT INTO {self._own('taken_back')} (id, record_id, item_id, kept, made_by, made_at)"
                f" SELECT back.fresh, present.id, present.item_id, {kept}, :actor, {self._said.moment}"
                f" FROM {self._rows} JOIN {self._own(RECORD)} AS present ON {added}"
            ),
            {"actor": actor, "at": instant_text(at)},
        )
        for name in OF_RECORDS:
            self._connection.exec_driver_sql(
                f"DELETE FROM {self._own(name)} WHERE record_id IN (SELECT {self._said.part(record, 0)}"
                f" FROM {self._rows} WHERE back.name = '{RECORD}' AND back.before IS NULL)"
            )

    def _restore(self, gone: str) -> None:
        """Put records that were taken back into their tables again."""
        record = self._known[RECORD]
        aside = self._own("taken_back")
        latest = (
            f"kept.record_id IN (SELECT {self._said.part(record, 0)} FROM {self._rows} WHERE {gone}) AND NOT EXISTS"
            f" (SELECT 1 FROM {aside} AS later WHERE later.record_id = kept.record_id AND later.id > kept.id)"
        )
        for table in (record, *(self._known[name] for name in OF_RECORDS)):
            values = ", ".join(self._said.of_kept(table, name) for name in table.columns)
            parts = "" if table is record else f", {self._said.parts_kept(table.name)}"
            self._connection.exec_driver_sql(
                f"INSERT INTO {self._own(table.name)} ({_listed(table.columns)}) SELECT {values}"
                f" FROM {aside} AS kept{parts} WHERE {latest}"
            )


_MANY: Final = 50
"""So many rows take longer to go than an index takes to be made."""


@cache
def _pointing_to(name: str) -> tuple[tuple[str, str], ...]:
    """Return the columns that point to a table and that no index leads to, each with its table."""
    found = []
    for model in models():
        table = table_of(model)
        indexed = [*table.indexes, *(each for each in table.constraints if isinstance(each, _INDEXED))]
        led_to = {next(iter(each.columns)).name for each in indexed}
        found += [
            (table.name, column.name)
            for column in table.columns
            if column.name not in led_to and any(key.column.table.name == name for key in column.foreign_keys)
        ]
    return tuple(found)


_INDEXED: Final = (sa.PrimaryKeyConstraint, sa.UniqueConstraint)


def _listed(names: Sequence[str]) -> str:
    return ", ".join(f'"{name}"' for name in names)


def count_of_records(connection: Connection, items: Sequence[str]) -> dict[str, int]:
    """Return how many records, and corrections of them, each of these items has: one more tells of somebody else."""
    among, counted = one_of(connection, items), sa.func.count()
    records = sa.select(Record.item_id, counted).where(among(Record.item_id)).group_by(Record.item_id)
    corrected = records.join(Correction, Correction.record_id == Record.id)
    found: dict[str, int] = defaultdict(int)
    for item_id, count in (*connection.execute(records), *connection.execute(corrected)):
        found[item_id] += count
    return dict(found)
