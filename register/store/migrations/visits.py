"""The tables of visits, a part of the first layout."""

import sqlalchemy as sa
from alembic import op

from register.store.types import Day, Flag, Key, Structure


def make() -> None:
    """Make how sites are entered, the vans, and the visits that were planned."""
    op.create_table(
        "site_visiting",
        sa.Column("site_id", Key(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("hours", Structure(), nullable=False),
        sa.Column("ready_minutes", sa.Integer(), nullable=False),
        sa.Column("crew", sa.Integer(), nullable=False),
        sa.Column("contact", sa.Text(), nullable=False),
        sa.Column("hazards", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_site_visiting_site_id_site")),
        sa.PrimaryKeyConstraint("site_id", name=op.f("pk_site_visiting")),
        sqlite_strict=True,
    )
    op.create_table(
        "van",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("start", sa.Integer(), nullable=False),
        sa.Column("until", sa.Integer(), nullable=False),
        sa.Column("crew", sa.Integer(), nullable=False),
        sa.Column("days", Structure(), nullable=False),
        sa.Column("start_place", sa.Text(), nullable=False),
        sa.Column("end_place", sa.Text(), nullable=False),
        sa.Column("ended_on", Day(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_van")),
        sa.UniqueConstraint("name", name=op.f("uq_van_name")),
        sqlite_strict=True,
    )
    _make_visits()


def _make_visits() -> None:
    op.create_table(
        "visit",
        sa.Column("week", Day(), nullable=False),
        sa.Column("site_id", Key(), nullable=False),
        sa.Column("part", sa.Integer(), nullable=False),
        sa.Column("day", Day(), nullable=False),
        sa.Column("van_id", Key(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("arrive", sa.Integer(), nullable=False),
        sa.Column("leave", sa.Integer(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("doing", sa.Text(), nullable=False),
        sa.Column("pinned", Flag(), nullable=False),
        sa.Column("locked", Flag(), nullable=False),
        sa.Column("cancelled", Flag(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.Column("tags_first", sa.Text(), nullable=False),
        sa.Column("tags_last", sa.Text(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_visit_site_id_site")),
        sa.ForeignKeyConstraint(["van_id"], ["van.id"], name=op.f("fk_visit_van_id_van")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_visit")),
        sa.UniqueConstraint("week", "site_id", "part", name=op.f("uq_visit_week_site_id_part")),
        sqlite_strict=True,
    )
    op.create_index("ix_visit_day", "visit", ["day"], unique=False)
    op.create_table(
        "visit_duty",
        sa.Column("visit_id", Key(), nullable=False),
        sa.Column("item_id", Key(), nullable=False),
        sa.Column("duty", sa.Text(), nullable=False),
        sa.Column("early", Flag(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_visit_duty_item_id_item")),
        sa.ForeignKeyConstraint(["visit_id"], ["visit.id"], name=op.f("fk_visit_duty_visit_id_visit")),
        sa.PrimaryKeyConstraint("visit_id", "item_id", "duty", name=op.f("pk_visit_duty")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
