"""The table of who may see and do what, a part of the first layout."""

import sqlalchemy as sa
from alembic import op

from register.store.types import Key


def make() -> None:
    """Make what names the logins, their roles, and the owners whose sites they see."""
    op.create_table(
        "access",
        sa.Column("login", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("owner_id", Key(), nullable=True),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["owner_id"], ["owner.id"], name=op.f("fk_access_owner_id_owner")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_access")),
        sa.UniqueConstraint("login", "owner_id", name=op.f("uq_access_login_owner_id")),
        sqlite_strict=True,
    )
