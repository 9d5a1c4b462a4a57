"""The tables of field packs, a part of the first layout."""

import sqlalchemy as sa
from alembic import op

from register.store.types import Day, Instant, Key, Structure


def make() -> None:
    """Make what the office remembers of its packs, and where a field register keeps how it was packed."""
    op.create_table(
        "pack",
        sa.Column("sites", Structure(), nullable=False),
        sa.Column("holder", sa.Text(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("made_on", Day(), nullable=False),
        sa.Column("expires_on", Day(), nullable=False),
        sa.Column("items", sa.Integer(), nullable=False),
        sa.Column("merged_at", Instant(), nullable=True),
        sa.Column("counts", Structure(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pack")),
        sqlite_strict=True,
    )
    op.create_table(
        "pack_base",
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("kept", Structure(), nullable=True),
        sa.PrimaryKeyConstraint("kind", "key", name=op.f("pk_pack_base")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
