"""The tables of corrected and undone records, a part of the first layout."""

import sqlalchemy as sa
from alembic import op

from register.store.types import Instant, Key, Structure


def make() -> None:
    """Make what says that a record counts no more, and where records lie that an undo took back."""
    op.create_table(
        "correction",
        sa.Column("record_id", Key(), nullable=False),
        sa.Column("new_record_id", Key(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["new_record_id"], ["record.id"], name=op.f("fk_correction_new_record_id_record")),
        sa.ForeignKeyConstraint(["record_id"], ["record.id"], name=op.f("fk_correction_record_id_record")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_correction")),
        sa.UniqueConstraint("record_id", name=op.f("uq_correction_record_id")),
        sqlite_strict=True,
    )
    op.create_table(
        "taken_back",
        sa.Column("record_id", Key(), nullable=False),
        sa.Column("item_id", Key(), nullable=False),
        sa.Column("kept", Structure(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_taken_back")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_taken_back_item_id"), "taken_back", ["item_id"], unique=False)
    op.create_index(op.f("ix_taken_back_record_id"), "taken_back", ["record_id"], unique=False)
