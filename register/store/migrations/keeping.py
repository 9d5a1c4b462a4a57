"""The tables of photos, and of what is no longer kept: a part of the first layout."""

import sqlalchemy as sa
from alembic import op

from register.store.types import Day, Instant, Key


def make() -> None:
    """Make what holds pictures of items out of service, and what remembers that something was let go."""
    _photos()
    _let_go()


def _photos() -> None:
    op.create_table(
        "photo",
        sa.Column("id", Key(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("form", sa.Text(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("picture", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
        sqlite_strict=True,
    )
    op.create_table(
        "withdrawal_photo",
        sa.Column("withdrawal_id", Key(), nullable=False),
        sa.Column("item_id", Key(), nullable=False),
        sa.Column("photo_id", Key(), nullable=False),
        sa.Column("added_by", sa.Text(), nullable=False),
        sa.Column("added_at", Instant(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_withdrawal_photo_item_id_item")),
        sa.ForeignKeyConstraint(["photo_id"], ["photo.id"], name=op.f("fk_withdrawal_photo_photo_id_photo")),
        sa.ForeignKeyConstraint(
            ["withdrawal_id"], ["withdrawal.id"], name=op.f("fk_withdrawal_photo_withdrawal_id_withdrawal")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_withdrawal_photo")),
        sa.UniqueConstraint("withdrawal_id", "photo_id", name=op.f("uq_withdrawal_photo_withdrawal_id_photo_id")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_withdrawal_photo_item_id"), "withdrawal_photo", ["item_id"], unique=False)
    op.create_index(op.f("ix_withdrawal_photo_photo_id"), "withdrawal_photo", ["photo_id"], unique=False)


def _let_go() -> None:
    op.create_table(
        "let_go",
        sa.Column("id", Key(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("item_id", Key(), nullable=False),
        sa.Column("day", Day(), nullable=False),
        sa.Column("let_go_by", sa.Text(), nullable=False),
        sa.Column("let_go_at", Instant(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_let_go")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_let_go_item_id"), "let_go", ["item_id"], unique=False)
