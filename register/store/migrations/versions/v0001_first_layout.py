"""The first layout, which is released: never edited again. Each change is a migration of its own."""

from register.store.migrations.first_layout import (
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
from register.store.migrations.making import (
    COUNTED,
    DAY,
    FLAG,
    INSTANT,
    KEY,
    NUMBER,
    STRUCTURE,
    TEXT,
    id_of,
    make_index,
    make_table,
    maybe,
)

revision = "0001"
down_revision = None

APPEND_ONLY = ("record", "record_duty", "reading", "held_limit", "event", "taken_back", "photo", "let_go", "seal")
ELSEWHERE = (("taken_back", "record_id"), ("let_go", "id"))
LET_GO = {"record": ("id", ELSEWHERE), "record_duty": ("record_id", ELSEWHERE), "reading": ("record_id", ELSEWHERE),
          "photo": ("id", ELSEWHERE[1:])}  # fmt: skip
"""The tables whose rows may go once what this column names is kept elsewhere, or is on the list of what was let go."""


def upgrade() -> None:
    """Make all tables, the search index and the triggers that keep the history as it was written."""
    make_table(
        "event",
        {
            "seq": NUMBER,
            "id": KEY,
            "at": TEXT,
            "actor": TEXT,
            "name": TEXT,
            "subject": KEY,
            "data": TEXT,
            "hash": TEXT,
        },
        key=("seq",),
        unique=("id",),
    )
    make_index("event", "subject")
    make_table(
        "held_limit",
        {
            "id": KEY,
            "words": TEXT,
            "least": maybe(TEXT),
            "most": maybe(TEXT),
            "source": TEXT,
        },
    )
    make_table(
        "instrument",
        {
            "serial": TEXT,
            "description": TEXT,
            "calibrated_until": maybe(DAY),
            "version": NUMBER,
            "id": KEY,
        },
        unique=("serial",),
    )
    make_table(
        "intake",
        {
            "file_name": TEXT,
            "sha256": TEXT,
            "taken_at": INSTANT,
            "counts": STRUCTURE,
            "id": KEY,
        },
    )
    make_index("intake", "sha256")
    make_table(
        "override",
        {
            "scope": TEXT,
            "target_id": KEY,
            "duty": TEXT,
            "interval": TEXT,
            "reason": TEXT,
            "approver": TEXT,
            "approved_on": DAY,
            "review_on": DAY,
            "ended_on": maybe(DAY),
            "end_reason": TEXT,
            "version": NUMBER,
            "id": KEY,
        },
    )
    make_index("override", "target_id")
    make_table(
        "owner",
        {
            "name": TEXT,
            "contact": TEXT,
            "version": NUMBER,
            "id": KEY,
        },
        unique=("name",),
    )
    make_table(
        "setting",
        {
            "name": TEXT,
            "value": STRUCTURE,
        },
        key=("name",),
    )
    make_table(
        "tester",
        {
            "name": TEXT,
            "licence": TEXT,
            "expires_on": maybe(DAY),
            "version": NUMBER,
            "id": KEY,
        },
        unique=("name",),
    )
    make_table(
        "site",
        {
            "code": TEXT,
            "name": TEXT,
            "owner_id": id_of("owner"),
            "rulebook": TEXT,
            "environment": TEXT,
            "address": TEXT,
            "access": TEXT,
            "reading_plan": STRUCTURE,
            "version": NUMBER,
            "id": KEY,
        },
        unique=("code",),
    )
    make_index("site", "owner_id")
    make_table(
        "area",
        {
            "site_id": id_of("site"),
            "name": TEXT,
            "environment": maybe(TEXT),
            "version": NUMBER,
            "id": KEY,
        },
        unique=("site_id", "name"),
    )
    make_table(
        "item",
        {
            "site_id": id_of("site"),
            "area_id": id_of("area"),
            "kind": TEXT,
            "description": TEXT,
            "serial": TEXT,
            "environment": maybe(TEXT),
            "outlets": NUMBER,
            "rated_current_a": maybe(TEXT),
            "switch": maybe(STRUCTURE),
            "lead": maybe(STRUCTURE),
            "condition": TEXT,
            "condition_since": maybe(DAY),
            "scope_reason": TEXT,
            "battery_run": FLAG,
            "protected_by_switch": maybe(FLAG),
            "moved_in_use": maybe(FLAG),
            "risk_factor": maybe(FLAG),
            "not_found_on": maybe(DAY),
            "removed_on": maybe(DAY),
            "removal_reason": TEXT,
            "replaces_id": maybe(id_of("item")),
            "replaced_by_id": maybe(id_of("item")),
            "remarks": TEXT,
            "tag_number": TEXT,
            "state": TEXT,
            "next_due": maybe(DAY),
            "untested": FLAG,
            "present_environment": TEXT,
            "version": NUMBER,
            "id": KEY,
        },
    )
    make_index("item", "area_id")
    make_index("item", "description", "id", "state", name="ix_item_description")
    make_index("item", "kind", "id", "state", name="ix_item_kind")
    make_index("item", "next_due", "id", "state", name="ix_item_next_due")
    by_state = ("state", "next_due", "id", "untested")
    make_index("item", "site_id", *by_state, name="ix_item_site_id_state_next_due")
    make_index("item", *by_state, name="ix_item_state_next_due")
    make_index("item", "tag_number", "id", "state", name="ix_item_tag_number")
    make_table(
        "duty",
        {
            "item_id": KEY,
            "duty": TEXT,
            "site_id": KEY,
            "contractors": FLAG,
            "planned": FLAG,
            "interval": TEXT,
            "last_done": maybe(DAY),
            "due": maybe(DAY),
            "first_needed": FLAG,
        },
        key=("item_id", "duty"),
        by_key=True,
    )
    by_due = ("planned", "due", "item_id", "duty", "first_needed", "contractors")
    make_index("duty", *by_due, name="ix_duty_planned_due")
    make_index("duty", "site_id", *by_due, name="ix_duty_site_id_planned_due")
    make_table(
        "exposure",
        {
            "item_id": id_of("item"),
            "seq": NUMBER,
            "since": DAY,
            "site_id": id_of("site"),
            "area_id": id_of("area"),
            "environment": TEXT,
            "place": TEXT,
            "rulebook": TEXT,
            "id": KEY,
        },
        unique=("item_id", "seq"),
    )
    make_table(
        "item_text",
        {
            "row": COUNTED,
            "item_id": id_of("item"),
            "text": TEXT,
        },
        key=("row",),
        unique=("item_id",),
    )
    make_table(
        "mark",
        {
            "item_id": id_of("item"),
            "duty": TEXT,
            "done_on": DAY,
            "told_by": TEXT,
            "id": KEY,
        },
        unique=("item_id", "duty", "done_on"),
    )
    make_table(
        "record",
        {
            "item_id": id_of("item"),
            "tested_on": DAY,
            "tested_at": maybe(TEXT),
            "tester": TEXT,
            "instrument": TEXT,
            "set_up": maybe(TEXT),
            "look": maybe(TEXT),
            "verdict": TEXT,
            "why": TEXT,
            "as_found": FLAG,
            "rulebook": TEXT,
            "rulebook_version": TEXT,
            "environment": TEXT,
            "look_limit_id": maybe(id_of("held_limit")),
            "missing": STRUCTURE,
            "remarks": TEXT,
            "warnings": STRUCTURE,
            "content": TEXT,
            "recorded_at": INSTANT,
            "id": KEY,
        },
        unique=("item_id", "content"),
    )
    make_index("record", "item_id", "tested_on", "id", name="ix_record_item_id_tested_on")
    make_index("record", "tested_on")
    make_table(
        "tag",
        {
            "item_id": id_of("item"),
            "owner_id": id_of("owner"),
            "number": TEXT,
            "since": maybe(DAY),
            "until": maybe(DAY),
            "id": KEY,
        },
        unique=("number", "owner_id"),
    )
    make_index("tag", "item_id")
    make_table(
        "reading",
        {
            "record_id": id_of("record"),
            "number": NUMBER,
            "quantity": TEXT,
            "outlet": maybe(NUMBER),
            "half_cycle": maybe(NUMBER),
            "multiple": maybe(TEXT),
            "test_current": maybe(TEXT),
            "value": TEXT,
            "unit": TEXT,
            "bound": TEXT,
            "result": maybe(TEXT),
            "limit_id": maybe(id_of("held_limit")),
            "why": TEXT,
        },
        key=("record_id", "number"),
        by_key=True,
    )
    make_table(
        "record_duty",
        {
            "record_id": id_of("record"),
            "duty": TEXT,
            "item_id": id_of("item"),
            "verdict": TEXT,
            "tested_on": DAY,
            "tested_at": maybe(TEXT),
            "as_found": FLAG,
        },
        key=("record_id", "duty"),
        by_key=True,
    )
    passes = ("item_id", "duty", "verdict", "tested_on", "tested_at", "as_found")
    make_index("record_duty", *passes, name="ix_record_duty_passes")
    make_table(
        "code_aside",
        {
            "code": TEXT,
            "site_id": maybe(id_of("site")),
            "area_id": maybe(id_of("area")),
            "scanned_at": INSTANT,
            "scanned_by": TEXT,
            "settled": TEXT,
            "id": KEY,
        },
    )
    make_index("code_aside", "code")
    make_table(
        "withdrawal",
        {
            "item_id": id_of("item"),
            "withdrawn_on": DAY,
            "withdrawn_at": maybe(TEXT),
            "reason": TEXT,
            "detail": TEXT,
            "tag_number": TEXT,
            "told": TEXT,
            "record_id": maybe(id_of("record")),
            "ended_on": maybe(DAY),
            "end": TEXT,
            "end_record_id": maybe(id_of("record")),
            "id": KEY,
        },
    )
    make_index("withdrawal", "item_id", "ended_on")
    for part in (amended, field_packs, tag_ranges, owner_queries, visits, keeping, access, seals):
        part.make()
    guards.make(APPEND_ONLY, LET_GO)
