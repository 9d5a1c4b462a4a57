"""The table of seals, a part of the first layout."""

import sqlalchemy as sa
from alembic import op


def make() -> None:
    """Make what says, after each change, what the rows that it wrote hold."""
    op.create_table(
        "seal",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("part", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("rows", sa.LargeBinary(), nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("seq", "part", name=op.f("pk_seal")),
        sqlite_strict=True,
    )
