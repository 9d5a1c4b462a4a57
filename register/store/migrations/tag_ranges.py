"""The table of ranges of tag numbers, a part of the first layout."""

import sqlalchemy as sa
from alembic import op

from register.store.types import Day, Key


def make() -> None:
    """Make what says which tag numbers each holder may give out."""
    op.create_table(
        "tag_range",
        sa.Column("holder", sa.Text(), nullable=False),
        sa.Column("prefix", sa.Text(), nullable=False),
        sa.Column("digits", sa.Integer(), nullable=False),
        sa.Column("first", sa.Integer(), nullable=False),
        sa.Column("last", sa.Integer(), nullable=False),
        sa.Column("following", sa.Integer(), nullable=False),
        sa.Column("ended_on", Day(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tag_range")),
        sqlite_strict=True,
    )
