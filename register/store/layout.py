"""The tables as the database itself tells them, for what must miss none: taking changes back, comparing contents."""

from dataclasses import dataclass
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store.types import SQLITE

HISTORY: Final = frozenset({"event", "seal", "taken_back", "pack", "let_go", "access", "alembic_version"})
"""The tables that only tell what happened, or who may do what: nothing of them is ever taken back."""

DERIVED: Final = frozenset({"duty", "item_text"})
"""The tables that follow from others."""

PROJECTED: Final = {"item": {"next_due": None, "untested": 1, "present_environment": ""}}
"""The columns that follow from other tables, with what stands there until they are worked out."""

ONLY_ADDED_TO: Final = (
    "event", "held_limit", "let_go", "photo", "reading", "record", "record_duty", "seal", "taken_back",
)  # fmt: skip
"""The tables whose rows are never changed once they are written; in a file a guard each against the two ways."""

VERSION: Final = "version"
_SEARCH: Final = "item_search"


@dataclass(frozen=True, slots=True)
class TableLayout:
    """One table: its columns in their order, those of its key, and those that hold bytes."""

    name: str
    columns: tuple[str, ...]
    key: tuple[str, ...]
    binary: frozenset[str]


def tables(connection: Connection) -> list[TableLayout]:
    """Return every table of ours, each after those that its rows point to."""
    if connection.dialect.name != SQLITE:
        return _on_server(connection)
    names = connection.exec_driver_sql(
        "SELECT name FROM main.sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%' ORDER BY name"
    ).scalars()
    waiting = {name: _parents(connection, name) for name in names if not name.startswith(_SEARCH)}
    ordered: list[TableLayout] = []
    while waiting:
        free = [name for name, parents in waiting.items() if not parents & waiting.keys() - {name}] or list(waiting)
        ordered += [_table(connection, name) for name in free]
        for name in free:
            del waiting[name]
    return ordered


def guards_missing(connection: Connection) -> list[str]:
    """Return the names of the guards of the history that a register's file should have and has not."""
    wanted = {f"{table}_no_{deed}" for table in ONLY_ADDED_TO for deed in ("update", "delete")} | {"event_in_order"}
    there = connection.exec_driver_sql("SELECT name FROM main.sqlite_master WHERE type = 'trigger'").scalars()
    return sorted(wanted.difference(there))


def _on_server(connection: Connection) -> list[TableLayout]:
    found = sa.MetaData()
    found.reflect(connection)
    return [
        TableLayout(
            table.name,
            tuple(table.columns.keys()),
            tuple(table.primary_key.columns.keys()),
            frozenset(column.name for column in table.columns if isinstance(column.type, sa.LargeBinary)),
        )
        for table in found.sorted_tables
    ]


def _parents(connection: Connection, name: str) -> set[str]:
    return {row[2] for row in connection.exec_driver_sql(f'PRAGMA foreign_key_list("{name}")')}


def _table(connection: Connection, name: str) -> TableLayout:
    found = connection.exec_driver_sql(f'PRAGMA table_info("{name}")').all()
    key = [row[1] for row in sorted(found, key=lambda row: row[5]) if row[5]]
    return TableLayout(
        name, tuple(row[1] for row in found), tuple(key), frozenset(row[1] for row in found if row[2] == "BLOB")
    )
