"""The table of owners' queries, a part of the first layout."""

import sqlalchemy as sa
from alembic import op

from register.store.types import Day, Key


def make() -> None:
    """Make what holds the questions of owners."""
    op.create_table(
        "owner_query",
        sa.Column("item_id", Key(), nullable=False),
        sa.Column("workbook", sa.Text(), nullable=False),
        sa.Column("asks", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("asked_by", sa.Text(), nullable=False),
        sa.Column("asked_on", Day(), nullable=False),
        sa.Column("settled_on", Day(), nullable=True),
        sa.Column("settled_by", sa.Text(), nullable=False),
        sa.Column("settlement", sa.Text(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_owner_query_item_id_item")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_owner_query")),
        sa.UniqueConstraint(
            "item_id", "workbook", "asks", "text", name=op.f("uq_owner_query_item_id_workbook_asks_text")
        ),
        sqlite_strict=True,
    )
