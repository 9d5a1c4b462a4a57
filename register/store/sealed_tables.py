"""Which tables are sealed, and what of their rows: the same on every database, so that a seal means the same there."""

import hashlib
from dataclasses import dataclass
from functools import cache
from typing import Final

import sqlalchemy as sa

from register.store.layout import DERIVED, PROJECTED
from register.store.moving import models
from register.store.rows import table_of
from register.store.types import SQLITE

_UNSEALED: Final = DERIVED | {"event", "seal"}
_ELSEWHERE: Final = {"photo": {"picture"}}
"""Columns that another column of the same row holds the digest of."""


@dataclass(frozen=True, slots=True)
class Sealed:
    """A table whose rows are sealed: its columns in the order of their names, and the places of the key among them."""

    name: str
    columns: tuple[str, ...]
    key: tuple[int, ...]
    numbered: bool
    """Whether SQLite numbers its rows itself, each new one above all there are."""
    part_of: str
    """The numbered table that the first part of the key points to, where its own rows have no numbers; else empty."""

    def listed(self, row: str = "") -> str:
        """Return the columns as a statement names them."""
        return ", ".join(f'{row}"{name}"' for name in self.columns)

    def held(self, row: str = "") -> str:
        """Return the expression of a row's values in UTF-8, each quoted as a statement would quote it."""
        return f"CAST(printf('{','.join(['%Q'] * len(self.columns))}', {self.listed(row)}) AS BLOB)"

    def key_of(self, row: str = "") -> str:
        """Return the expression of a row's key as a seal names it."""
        return " || ' ' || ".join(f'{row}"{self.columns[place]}"' for place in self.key)

    def named(self, key: str) -> dict[str, str]:
        """Return the parts of a key by the names of their columns."""
        return dict(zip((self.columns[place] for place in self.key), self.parts(key), strict=False))

    def parts(self, key: str) -> list[str]:
        """Return the parts of a key."""
        return key.split(" ", len(self.key) - 1)

    @property
    def whole(self) -> str:
        """The column of the first part of the key, which points to the row that a row is part of."""
        return self.columns[self.key[0]]

    def is_one(self) -> str:
        """Return the condition that a row has the key whose parts are given with it."""
        return " AND ".join(f'"{self.columns[place]}" = CAST(? AS TEXT)' for place in self.key)


@cache
def sealed_tables() -> dict[str, Sealed]:
    """Return the tables whose rows are sealed, by their names."""
    found = {}
    for model in models():
        name, table = model.__tablename__, table_of(model)
        if name not in _UNSEALED:
            left_out = {*PROJECTED.get(name, ()), *_ELSEWHERE.get(name, ())}
            columns = sorted({*table.columns.keys()} - left_out)
            key = tuple(columns.index(each.name) for each in table.primary_key)
            found[name] = Sealed(name, tuple(columns), key, _is_numbered(table), _part_of(table))
    return found


def _is_numbered(table: sa.Table) -> bool:
    """Whether SQLite numbers the rows of a table itself; where its own key is a number, that is the row's."""
    own = any(isinstance(each.type, sa.Integer) for each in table.primary_key)
    return bool(table.dialect_options[SQLITE]["with_rowid"]) and not own


def _part_of(table: sa.Table) -> str:
    if table.dialect_options[SQLITE]["with_rowid"]:
        return ""
    wholes = (each.column.table for each in next(iter(table.primary_key)).foreign_keys)
    return next((whole.name for whole in wholes if _is_numbered(whole)), "")


def digest(held: bytes) -> str:
    """Return the digest of what a row holds."""
    return hashlib.sha256(held).hexdigest()[:32]
