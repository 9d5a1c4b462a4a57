"""The first layout."""

import sqlalchemy as sa
from alembic import op

from register.store.migrations import (
    access,
    amended,
    field_packs,
    guards,
    keeping,
    owner_queries,
    seals,
    tag_ranges,
    visits,
)
from register.store.types import Day, Flag, Instant, Key, Structure

revision = "0001"
down_revision = None

APPEND_ONLY = ("record", "record_duty", "reading", "held_limit", "event", "taken_back", "photo", "let_go", "seal")
ELSEWHERE = (("taken_back", "record_id"), ("let_go", "id"))
LET_GO = {"record": ("id", ELSEWHERE), "record_duty": ("record_id", ELSEWHERE), "reading": ("record_id", ELSEWHERE),
          "photo": ("id", ELSEWHERE[1:])}  # fmt: skip
"""The tables whose rows may go once what this column names is kept elsewhere, or is on the list of what was let go."""


def upgrade() -> None:
    """Make all tables, the search index and the triggers that keep the history as it was written."""
    op.create_table(
        "event",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("actor", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("subject", Key(), nullable=False),
        sa.Column("data", sa.Text(), nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_event")),
        sa.UniqueConstraint("id", name=op.f("uq_event_id")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_event_subject"), "event", ["subject"], unique=False)
    op.create_table(
        "held_limit",
        sa.Column("id", Key(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("least", sa.Text(), nullable=True),
        sa.Column("most", sa.Text(), nullable=True),
        sa.Column("source", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_held_limit")),
        sqlite_strict=True,
    )
    op.create_table(
        "instrument",
        sa.Column("serial", sa.Text(), nullable=False),
        sa.Column("description", sa.Text(), nullable=False),
        sa.Column("calibrated_until", Day(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_instrument")),
        sa.UniqueConstraint("serial", name=op.f("uq_instrument_serial")),
        sqlite_strict=True,
    )
    op.create_table(
        "intake",
        sa.Column("file_name", sa.Text(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("taken_at", Instant(), nullable=False),
        sa.Column("counts", Structure(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_intake")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_intake_sha256"), "intake", ["sha256"], unique=False)
    op.create_table(
        "override",
        sa.Column("scope", sa.Text(), nullable=False),
        sa.Column("target_id", Key(), nullable=False),
        sa.Column("duty", sa.Text(), nullable=False),
        sa.Column("interval", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("approver", sa.Text(), nullable=False),
        sa.Column("approved_on", Day(), nullable=False),
        sa.Column("review_on", Day(), nullable=False),
        sa.Column("ended_on", Day(), nullable=True),
        sa.Column("end_reason", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_override")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_override_target_id"), "override", ["target_id"], unique=False)
    op.create_table(
        "owner",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("contact", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_owner")),
        sa.UniqueConstraint("name", name=op.f("uq_owner_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "setting",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", Structure(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_setting")),
        sqlite_strict=True,
    )
    op.create_table(
        "tester",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("licence", sa.Text(), nullable=False),
        sa.Column("expires_on", Day(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tester")),
        sa.UniqueConstraint("name", name=op.f("uq_tester_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "site",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("owner_id", Key(), nullable=False),
        sa.Column("rulebook", sa.Text(), nullable=False),
        sa.Column("environment", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("access", sa.Text(), nullable=False),
        sa.Column("reading_plan", Structure(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["owner_id"], ["owner.id"], name=op.f("fk_site_owner_id_owner")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_site")),
        sa.UniqueConstraint("code", name=op.f("uq_site_code")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_site_owner_id"), "site", ["owner_id"], unique=False)
    op.create_table(
        "area",
        sa.Column("site_id", Key(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("environment", sa.Text(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_area_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_area")),
        sa.UniqueConstraint("site_id", "name", name=op.f("uq_area_site_id_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "item",
        sa.Column("site_id", Key(), nullable=False),
        sa.Column("area_id", Key(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("description", sa.Text(), nullable=False),
        sa.Column("serial", sa.Text(), nullable=False),
        sa.Column("environment", sa.Text(), nullable=True),
        sa.Column("outlets", sa.Integer(), nullable=False),
        sa.Column("rated_current_a", sa.Text(), nullable=True),
        sa.Column("switch", Structure(), nullable=True),
        sa.Column("lead", Structure(), nullable=True),
        sa.Column("condition", sa.Text(), nullable=False),
        sa.Column("condition_since", Day(), nullable=True),
        sa.Column("scope_reason", sa.Text(), nullable=False),
        sa.Column("battery_run", Flag(), nullable=False),
        sa.Column("protected_by_switch", Flag(), nullable=True),
        sa.Column("moved_in_use", Flag(), nullable=True),
        sa.Column("risk_factor", Flag(), nullable=True),
        sa.Column("not_found_on", Day(), nullable=True),
        sa.Column("removed_on", Day(), nullable=True),
        sa.Column("removal_reason", sa.Text(), nullable=False),
        sa.Column("replaces_id", Key(), nullable=True),
        sa.Column("replaced_by_id", Key(), nullable=True),
        sa.Column("remarks", sa.Text(), nullable=False),
        sa.Column("tag_number", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("next_due", Day(), nullable=True),
        sa.Column("untested", Flag(), nullable=False),
        sa.Column("present_environment", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["area_id"], ["area.id"], name=op.f("fk_item_area_id_area")),
        sa.ForeignKeyConstraint(["replaced_by_id"], ["item.id"], name=op.f("fk_item_replaced_by_id_item")),
        sa.ForeignKeyConstraint(["replaces_id"], ["item.id"], name=op.f("fk_item_replaces_id_item")),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_item_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_item")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_item_area_id"), "item", ["area_id"], unique=False)
    op.create_index("ix_item_description", "item", ["description", "id", "state"], unique=False)
    op.create_index("ix_item_kind", "item", ["kind", "id", "state"], unique=False)
    op.create_index("ix_item_next_due", "item", ["next_due", "id", "state"], unique=False)
    by_state = ["state", "next_due", "id", "untested"]
    op.create_index("ix_item_site_id_state_next_due", "item", ["site_id", *by_state], unique=False)
    op.create_index("ix_item_state_next_due", "item", by_state, unique=False)
    op.create_index("ix_item_tag_number", "item", ["tag_number", "id", "state"], unique=False)
    op.create_table(
        "duty",
        sa.Column("item_id", Key(), nullable=False),
        sa.Column("duty", sa.Text(), nullable=False),
        sa.Column("site_id", Key(), nullable=False),
        sa.Column("contractors", Flag(), nullable=False),
        sa.Column("planned", Flag(), nullable=False),
        sa.Column("interval", sa.Text(), nullable=False),
        sa.Column("last_done", Day(), nullable=True),
        sa.Column("due", Day(), nullable=True),
        sa.Column("first_needed", Flag(), nullable=False),
        sa.PrimaryKeyConstraint("item_id", "duty", name=op.f("pk_duty")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    by_due = ["planned", "due", "item_id", "duty", "first_needed", "contractors"]
    op.create_index("ix_duty_planned_due", "duty", by_due, unique=False)
    op.create_index("ix_duty_site_id_planned_due", "duty", ["site_id", *by_due], unique=False)
    op.create_table(
        "exposure",
        sa.Column("item_id", Key(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("since", Day(), nullable=False),
        sa.Column("site_id", Key(), nullable=False),
        sa.Column("area_id", Key(), nullable=False),
        sa.Column("environment", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("rulebook", sa.Text(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["area_id"], ["area.id"], name=op.f("fk_exposure_area_id_area")),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_exposure_item_id_item")),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_exposure_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_exposure")),
        sa.UniqueConstraint("item_id", "seq", name=op.f("uq_exposure_item_id_seq")),
        sqlite_strict=True,
    )
    op.create_table(
        "item_text",
        sa.Column("row", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("item_id", Key(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_item_text_item_id_item")),
        sa.PrimaryKeyConstraint("row", name=op.f("pk_item_text")),
        sa.UniqueConstraint("item_id", name=op.f("uq_item_text_item_id")),
        sqlite_strict=True,
    )
    op.create_table(
        "mark",
        sa.Column("item_id", Key(), nullable=False),
        sa.Column("duty", sa.Text(), nullable=False),
        sa.Column("done_on", Day(), nullable=False),
        sa.Column("told_by", sa.Text(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_mark_item_id_item")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mark")),
        sa.UniqueConstraint("item_id", "duty", "done_on", name=op.f("uq_mark_item_id_duty_done_on")),
        sqlite_strict=True,
    )
    op.create_table(
        "record",
        sa.Column("item_id", Key(), nullable=False),
        sa.Column("tested_on", Day(), nullable=False),
        sa.Column("tested_at", sa.Text(), nullable=True),
        sa.Column("tester", sa.Text(), nullable=False),
        sa.Column("instrument", sa.Text(), nullable=False),
        sa.Column("set_up", sa.Text(), nullable=True),
        sa.Column("look", sa.Text(), nullable=True),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("as_found", Flag(), nullable=False),
        sa.Column("rulebook", sa.Text(), nullable=False),
        sa.Column("rulebook_version", sa.Text(), nullable=False),
        sa.Column("environment", sa.Text(), nullable=False),
        sa.Column("look_limit_id", Key(), nullable=True),
        sa.Column("missing", Structure(), nullable=False),
        sa.Column("remarks", sa.Text(), nullable=False),
        sa.Column("warnings", Structure(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("recorded_at", Instant(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_record_item_id_item")),
        sa.ForeignKeyConstraint(["look_limit_id"], ["held_limit.id"], name=op.f("fk_record_look_limit_id_held_limit")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_record")),
        sa.UniqueConstraint("item_id", "content", name=op.f("uq_record_item_id_content")),
        sqlite_strict=True,
    )
    op.create_index("ix_record_item_id_tested_on", "record", ["item_id", "tested_on", "id"], unique=False)
    op.create_index(op.f("ix_record_tested_on"), "record", ["tested_on"], unique=False)
    op.create_table(
        "tag",
        sa.Column("item_id", Key(), nullable=False),
        sa.Column("owner_id", Key(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("since", Day(), nullable=True),
        sa.Column("until", Day(), nullable=True),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_tag_item_id_item")),
        sa.ForeignKeyConstraint(["owner_id"], ["owner.id"], name=op.f("fk_tag_owner_id_owner")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tag")),
        sa.UniqueConstraint("number", "owner_id", name=op.f("uq_tag_number_owner_id")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_tag_item_id"), "tag", ["item_id"], unique=False)
    op.create_table(
        "reading",
        sa.Column("record_id", Key(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("quantity", sa.Text(), nullable=False),
        sa.Column("outlet", sa.Integer(), nullable=True),
        sa.Column("half_cycle", sa.Integer(), nullable=True),
        sa.Column("multiple", sa.Text(), nullable=True),
        sa.Column("test_current", sa.Text(), nullable=True),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("bound", sa.Text(), nullable=False),
        sa.Column("result", sa.Text(), nullable=True),
        sa.Column("limit_id", Key(), nullable=True),
        sa.Column("why", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["limit_id"], ["held_limit.id"], name=op.f("fk_reading_limit_id_held_limit")),
        sa.ForeignKeyConstraint(["record_id"], ["record.id"], name=op.f("fk_reading_record_id_record")),
        sa.PrimaryKeyConstraint("record_id", "number", name=op.f("pk_reading")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "record_duty",
        sa.Column("record_id", Key(), nullable=False),
        sa.Column("duty", sa.Text(), nullable=False),
        sa.Column("item_id", Key(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("tested_on", Day(), nullable=False),
        sa.Column("tested_at", sa.Text(), nullable=True),
        sa.Column("as_found", Flag(), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_record_duty_item_id_item")),
        sa.ForeignKeyConstraint(["record_id"], ["record.id"], name=op.f("fk_record_duty_record_id_record")),
        sa.PrimaryKeyConstraint("record_id", "duty", name=op.f("pk_record_duty")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(
        "ix_record_duty_passes",
        "record_duty",
        ["item_id", "duty", "verdict", "tested_on", "tested_at", "as_found"],
        unique=False,
    )
    op.create_table(
        "code_aside",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("site_id", Key(), nullable=True),
        sa.Column("area_id", Key(), nullable=True),
        sa.Column("scanned_at", Instant(), nullable=False),
        sa.Column("scanned_by", sa.Text(), nullable=False),
        sa.Column("settled", sa.Text(), nullable=False),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["area_id"], ["area.id"], name=op.f("fk_code_aside_area_id_area")),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_code_aside_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_code_aside")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_code_aside_code"), "code_aside", ["code"], unique=False)
    op.create_table(
        "withdrawal",
        sa.Column("item_id", Key(), nullable=False),
        sa.Column("withdrawn_on", Day(), nullable=False),
        sa.Column("withdrawn_at", sa.Text(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("detail", sa.Text(), nullable=False),
        sa.Column("tag_number", sa.Text(), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("record_id", Key(), nullable=True),
        sa.Column("ended_on", Day(), nullable=True),
        sa.Column("end", sa.Text(), nullable=False),
        sa.Column("end_record_id", Key(), nullable=True),
        sa.Column("id", Key(), nullable=False),
        sa.ForeignKeyConstraint(["end_record_id"], ["record.id"], name=op.f("fk_withdrawal_end_record_id_record")),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_withdrawal_item_id_item")),
        sa.ForeignKeyConstraint(["record_id"], ["record.id"], name=op.f("fk_withdrawal_record_id_record")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_withdrawal")),
        sqlite_strict=True,
    )
    op.create_index("ix_withdrawal_item_id_ended_on", "withdrawal", ["item_id", "ended_on"], unique=False)
    for part in (amended, field_packs, tag_ranges, owner_queries, visits, keeping, access, seals):
        part.make()
    guards.make(APPEND_ONLY, LET_GO)
