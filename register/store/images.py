"""Rows as JSON, in the words of each database: what a change is told by, and taken back with.

Statements are about a row named `present`, one laid out to be written back, named `back`, and a record kept word for
word among those taken back, named `kept`.
"""

# ruff: noqa: S608 - expressions over the layout's own names

from collections.abc import Sequence
from typing import Final, Protocol

from sqlalchemy.engine import Connection

from register.store.layout import PROJECTED, VERSION, TableLayout
from register.store.server_rows import PATIENCE
from register.store.types import SQLITE

RECORD: Final = "record"


def columns_of(table: TableLayout) -> list[str]:
    """Return the columns of a table that are compared and written back.

    Records never change, so theirs are the key's, and the item's, which is to be known.
    """
    if table.name == RECORD:
        return [*table.key, "item_id"]
    left_out = {VERSION, *PROJECTED.get(table.name, ())}
    return [name for name in table.columns if name not in left_out]


class Images(Protocol):
    """How a database says it."""

    here: str
    """Where the register's own tables are."""

    beside: str
    """Where those of the connection are."""

    beginning: tuple[str, ...]
    """Makes the table of rows that are laid out; on a server it lets the change take its time first."""

    other: str
    """Says that two values differ, or that one of them is none."""

    moment: str
    """Is the moment that is given as `at`."""

    def image(self, table: TableLayout, row: str) -> str:
        """Return the expression of a row's values."""
        ...

    def part(self, table: TableLayout, place: int) -> str:
        """Return the expression of a part of the key of the row that is laid out."""
        ...

    def value(self, table: TableLayout, name: str) -> str:
        """Return the expression of what the row laid out was before."""
        ...

    def whole(self, table: TableLayout, row: str) -> str:
        """Return the expression of all that a row holds."""
        ...

    def kept(self, record: TableLayout, parts: Sequence[TableLayout]) -> str:
        """Return the expression of a record with what belongs to it, as text."""
        ...

    def of_kept(self, table: TableLayout, name: str) -> str:
        """Return the expression of a value of a record that was kept, or of the row `part` that belongs to it."""
        ...

    def parts_kept(self, name: str) -> str:
        """Return the source of the rows `part` of a table that were kept with a record."""
        ...


class _InFile:
    """As SQLite says it. Bytes stand as hexadecimal text, which the connection turns back."""

    here, beside = "main", "temp"
    beginning: tuple[str, ...] = (
        "CREATE TEMP TABLE back_row (name TEXT, key TEXT, before TEXT, after TEXT, fresh TEXT, PRIMARY KEY(name, key))",
    )
    other = "IS NOT"
    moment = ":at"

    def image(self, table: TableLayout, row: str) -> str:
        pairs = ", ".join(f"'{name}', {self._plain(table, name, row)}" for name in columns_of(table))
        return f"json_object({pairs})"

    @staticmethod
    def _plain(table: TableLayout, name: str, row: str) -> str:
        column = f'{row}."{name}"'
        return f"CASE WHEN {column} IS NULL THEN NULL ELSE hex({column}) END" if name in table.binary else column

    def part(self, table: TableLayout, place: int) -> str:  # noqa: ARG002 - every kind of key is text or a number
        return f"json_extract(back.key, '$[{place}]')"

    def value(self, table: TableLayout, name: str) -> str:
        value = f"json_extract(back.before, '$.\"{name}\"')"
        return f"from_hex({value})" if name in table.binary else value

    def whole(self, table: TableLayout, row: str) -> str:
        pairs = ", ".join(f"'{name}', {row}.\"{name}\"" for name in table.columns)
        return f"json_object({pairs})"

    def kept(self, record: TableLayout, parts: Sequence[TableLayout]) -> str:
        listed = ", ".join(
            f"'{table.name}', json((SELECT json_group_array({self.whole(table, 'part')})"
            f' FROM main."{table.name}" AS part WHERE part.record_id = present.id))'
            for table in parts
        )
        return f"json_object('record', {self.whole(record, 'present')}, {listed})"

    def of_kept(self, table: TableLayout, name: str) -> str:
        return (
            f"json_extract(kept.kept, '$.record.\"{name}\"')"
            if table.name == RECORD
            else f"json_extract(part.value, '$.\"{name}\"')"
        )

    def parts_kept(self, name: str) -> str:
        return f"json_each(kept.kept, '$.{name}') AS part"


class _OnServer:
    """As PostgreSQL says it, which knows itself how a row's values become JSON and come back from it."""

    here, beside = "public", "pg_temp"
    beginning: tuple[str, ...] = (
        PATIENCE,
        "CREATE TEMP TABLE back_row (name text, key jsonb, before jsonb, after jsonb, fresh uuid) ON COMMIT DROP",
    )
    other = "IS DISTINCT FROM"
    moment = "CAST(:at AS timestamptz)"

    def image(self, table: TableLayout, row: str) -> str:
        left_out = sorted({*table.columns} - {*columns_of(table)})
        return f"to_jsonb({row}) - ARRAY[{', '.join(map(repr, left_out))}]::text[]"

    def part(self, table: TableLayout, place: int) -> str:
        return part_on_server(table, place, "back.key")

    def value(self, table: TableLayout, name: str) -> str:
        return _typed(table, name, "back.before")

    def whole(self, table: TableLayout, row: str) -> str:  # noqa: ARG002 - the row knows its table
        return f"to_jsonb({row})"

    def kept(self, record: TableLayout, parts: Sequence[TableLayout]) -> str:
        listed = ", ".join(
            f"'{table.name}', (SELECT coalesce(jsonb_agg({self.whole(table, 'part')}), '[]')"
            f' FROM public."{table.name}" AS part WHERE part.record_id = present.id)'
            for table in parts
        )
        return f"CAST(jsonb_build_object('record', {self.whole(record, 'present')}, {listed}) AS text)"

    def of_kept(self, table: TableLayout, name: str) -> str:
        return _typed(table, name, "CAST(kept.kept AS jsonb) -> 'record'" if table.name == RECORD else "part.value")

    def parts_kept(self, name: str) -> str:
        return f"jsonb_array_elements(CAST(kept.kept AS jsonb) -> '{name}') AS part (value)"


def _typed(table: TableLayout, name: str, held: str) -> str:
    """Return the expression of a value of a row that is held as JSON, of the kind that its column has on a server."""
    return f'(jsonb_populate_record(NULL::public."{table.name}", {held}))."{name}"'


def part_on_server(table: TableLayout, place: int, key: str) -> str:
    """Return the expression of a part of a key that is held as a list in JSON, of the kind that its column has."""
    name = table.key[place]
    return _typed(table, name, f"jsonb_build_object('{name}', {key} -> {place})")


def images(connection: Connection) -> Images:
    """Return how the database of a connection says it."""
    return _InFile() if connection.dialect.name == SQLITE else _OnServer()
