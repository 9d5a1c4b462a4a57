"""Makes a large register out of a small one, within the database: every site again and again, under other keys.

Only what lists and reports read is multiplied. The history is not, so such a register is for measuring alone.
"""

from collections.abc import Iterator
from typing import Final

from sqlalchemy.engine import Connection

from register.store.moving import models
from register.store.rows import table_of
from register.store.types import SQLITE, Key

TABLES: Final = ("owner", "site", "area", "item", "tag", "item_text", "exposure", "record", "record_duty", "reading",
                 "duty")  # fmt: skip
KEY_OF_RECORD: Final = {"record": "id", "record_duty": "record_id", "reading": "record_id"}
SITES_OF_AN_OWNER: Final = 20
"""So many copies of a site belong to one owner."""

_DIFFERS: Final = {"site": "code", "owner": "name", "item": "tag_number", "tag": "number", "item_text": "text"}
"""The text by which copies of a row differ, which ends in their number."""

_EARLIER: Final = 0x4000
"""What is added to the number of a copy for its earlier records."""


def multiply(connection: Connection, times: int) -> Iterator[int]:
    """Make so many of every site as there were, with half as many records again; yield after each copy."""
    put_back = list(_take_away(connection))
    for name in TABLES:
        connection.exec_driver_sql(f"CREATE TEMP TABLE first_{name} AS SELECT * FROM {name}")
    for number in range(1, times):
        owner = number // SITES_OF_AN_OWNER * SITES_OF_AN_OWNER
        for name in TABLES:
            if name != "owner" or number == owner:
                _copy(connection, name, number, owner, number)
        for name, key in KEY_OF_RECORD.items():
            half = f"{key} IN (SELECT id FROM first_record WHERE substr(CAST(item_id AS TEXT), 36, 1) < '8')"
            _copy(connection, name, number, owner, _EARLIER + number, half)
        yield number
    for statement in put_back:
        connection.exec_driver_sql(statement)


def _copy(connection: Connection, name: str, number: int, owner: int, record: int, which: str = "") -> None:
    table = table_of(next(model for model in models() if model.__tablename__ == name))
    columns = [column for column in table.columns if (name, column.name) != ("item_text", "row")]
    values = []
    for column in columns:
        said = f'"{column.name}"'
        if _DIFFERS.get(name) == column.name:
            said = f"{said} || '-{number}'"
        elif name == "record" and record != number and column.name == "content":
            said = f"{said} || 'e'"
        elif isinstance(column.type, Key) and not column.name.endswith("limit_id"):
            of_record = column.name == KEY_OF_RECORD.get(name)
            of_owner = column.name == "owner_id" or name == "owner"
            said = _other(connection, said, record if of_record else owner if of_owner else number)
        values.append(said)
    listed = ", ".join(f'"{column.name}"' for column in columns)
    where = f" WHERE {which}" if which else ""
    connection.exec_driver_sql(f'INSERT INTO "{name}" ({listed}) SELECT {", ".join(values)} FROM first_{name}{where}')


def _other(connection: Connection, column: str, number: int) -> str:
    """Return the expression of another key: the same, but for the four letters in its midst."""
    if not number:
        return column
    made = f"substr(CAST({column} AS TEXT), 1, 19) || '{number:04x}' || substr(CAST({column} AS TEXT), 24)"
    return made if connection.dialect.name == SQLITE else f"CAST({made} AS uuid)"


def _take_away(connection: Connection) -> Iterator[str]:
    """Take away indexes and triggers, and yield the statements that make them again."""
    if connection.dialect.name == SQLITE:
        listed = ", ".join(f"'{name}'" for name in TABLES)
        found = connection.exec_driver_sql(
            f"SELECT type, name, sql FROM sqlite_schema WHERE type IN ('index', 'trigger') AND sql IS NOT NULL"
            f" AND tbl_name IN ({listed})"
        ).all()
        yield from (made for _kind, _name, made in found)
        yield "INSERT INTO item_search(item_search) VALUES ('rebuild')"
    else:
        connection.exec_driver_sql("SET session_replication_role = replica")
        found = connection.exec_driver_sql(
            "SELECT 'index', indexname, indexdef FROM pg_indexes WHERE schemaname = 'public' AND indexname LIKE 'ix%%'"
        ).all()
        yield from (made for _kind, _name, made in found)
    for kind, name, _made in found:
        connection.exec_driver_sql(f'DROP {kind} "{name}"')
