"""Making tables in few words, for the migrations: each column by what it holds, every constraint by its usual name."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import sqlalchemy as sa
from alembic import op
from sqlalchemy.types import TypeEngine

from register.store.types import Day, Flag, Instant, Key, Structure


@dataclass(frozen=True, slots=True)
class Column:
    """What a column holds, whether it may be empty, and the table whose `id` it names."""

    type: TypeEngine[Any]
    optional: bool = False
    of: str = ""
    counted: bool = False


TEXT: Final = Column(sa.Text())
NUMBER: Final = Column(sa.Integer())
COUNTED: Final = Column(sa.Integer(), counted=True)
"""A number that the database gives each new row."""

KEY: Final = Column(Key())
DAY: Final = Column(Day())
INSTANT: Final = Column(Instant())
FLAG: Final = Column(Flag())
STRUCTURE: Final = Column(Structure())
BYTES: Final = Column(sa.LargeBinary())


def id_of(table: str) -> Column:
    """Return a column that names a row of a table."""
    return replace(KEY, of=table)


def maybe(column: Column) -> Column:
    """Return a column that may be empty."""
    return replace(column, optional=True)


def make_table(
    name: str, columns: Mapping[str, Column], *, key: Sequence[str] = ("id",), unique: Sequence[str] = (),
    by_key: bool = False,
) -> None:  # fmt: skip
    """Make a table with a key; `unique` columns have no two rows alike, `by_key` rows lie in the order of the key."""
    pointing = sorted(each for each, column in columns.items() if column.of)
    op.create_table(
        name,
        *(_column(each, column) for each, column in columns.items()),
        *(_pointing(name, each, columns[each].of) for each in pointing),
        sa.PrimaryKeyConstraint(*key, name=op.f(f"pk_{name}")),
        *([sa.UniqueConstraint(*unique, name=op.f(f"uq_{name}_{'_'.join(unique)}"))] if unique else ()),
        sqlite_strict=True,
        **({"sqlite_with_rowid": False} if by_key else {}),
    )


def make_index(table: str, *columns: str, name: str = "") -> None:
    """Make an index, named by its columns unless told otherwise."""
    op.create_index(op.f(name or f"ix_{table}_{'_'.join(columns)}"), table, list(columns), unique=False)


def _column(name: str, column: Column) -> sa.Column[Any]:
    return sa.Column(name, column.type, nullable=column.optional, autoincrement=column.counted)


def _pointing(table: str, column: str, of: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{of}.id"], name=op.f(f"fk_{table}_{column}_{of}"))
