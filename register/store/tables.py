"""The tables of the register.

Places, items and people are edited one at a time under a version number; records, readings and events are only
ever added to. `duty` and a few columns of `item` are a projection that `redate` rewrites and `check` recomputes.
"""

from datetime import date, datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import DeclarativeBase, Mapped, MappedColumn, declared_attr, mapped_column

from register.store.types import Day, Flag, Instant, Key, Structure, new_key

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class Table(DeclarativeBase):
    """What all tables share: named constraints, text for strings, STRICT on SQLite."""

    metadata = sa.MetaData(naming_convention=NAMES)
    type_annotation_map = {
        str: sa.Text,
        date: Day,
        datetime: Instant,
        bool: Flag,
    }
    __table_args__: Any = ({"sqlite_strict": True},)


class Keyed:
    """A row with a UUIDv7 of its own."""

    id: Mapped[str] = mapped_column(Key, primary_key=True, default=new_key)


class Versioned(Keyed):
    """A row that people edit: two who edit it at once don't overwrite each other."""

    version: Mapped[int]

    @declared_attr.directive
    @classmethod
    def __mapper_args__(cls) -> dict[str, Any]:
        return {"version_id_col": cls.__table__.c.version}  # type: ignore[attr-defined]


def _to(target: str, **options: Any) -> MappedColumn[Any]:  # noqa: ANN401 - SQLAlchemy's options
    return mapped_column(Key, sa.ForeignKey(target), **options)


class Setting(Table):
    """What holds for the whole register: firm, whether it is sample data, days until due soon, ..."""

    __tablename__ = "setting"
    name: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[Any] = mapped_column(Structure)


class Owner(Versioned, Table):
    """Who is responsible for sites."""

    __tablename__ = "owner"
    name: Mapped[str] = mapped_column(unique=True)
    contact: Mapped[str] = mapped_column(default="")


class Site(Versioned, Table):
    """A customer's premises, under one rulebook."""

    __tablename__ = "site"
    code: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    owner_id: Mapped[str] = _to("owner.id", index=True)
    rulebook: Mapped[str]
    environment: Mapped[str]
    address: Mapped[str] = mapped_column(default="")
    access: Mapped[str] = mapped_column(default="")
    reading_plan: Mapped[Any] = mapped_column(Structure, default=dict)


class Area(Versioned, Table):
    """A part of a site with one environment class; the site's where its own is empty."""

    __tablename__ = "area"
    __table_args__ = (sa.UniqueConstraint("site_id", "name"), {"sqlite_strict": True})
    site_id: Mapped[str] = _to("site.id")
    name: Mapped[str]
    environment: Mapped[str | None]


class Item(Versioned, Table):
    """One thing with its own tag. The last block is the projection."""

    __tablename__ = "item"
    __table_args__ = (
        sa.Index("ix_item_tag_number", "tag_number", "id", "state"),
        sa.Index("ix_item_next_due", "next_due", "id", "state"),
        sa.Index("ix_item_site_id_state_next_due", "site_id", "state", "next_due", "id", "untested"),
        sa.Index("ix_item_state_next_due", "state", "next_due", "id", "untested"),
        sa.Index("ix_item_description", "description", "id", "state"),
        sa.Index("ix_item_kind", "kind", "id", "state"),
        {"sqlite_strict": True},
    )
    site_id: Mapped[str] = _to("site.id")
    area_id: Mapped[str] = _to("area.id", index=True)
    kind: Mapped[str]
    description: Mapped[str]
    serial: Mapped[str] = mapped_column(default="")
    environment: Mapped[str | None]
    outlets: Mapped[int] = mapped_column(default=0)
    rated_current_a: Mapped[str | None]
    switch: Mapped[Any] = mapped_column(Structure, nullable=True)
    lead: Mapped[Any] = mapped_column(Structure, nullable=True)
    condition: Mapped[str]
    condition_since: Mapped[date | None]
    scope_reason: Mapped[str] = mapped_column(default="")
    battery_run: Mapped[bool] = mapped_column(default=False)
    protected_by_switch: Mapped[bool | None]
    moved_in_use: Mapped[bool | None]
    risk_factor: Mapped[bool | None]
    not_found_on: Mapped[date | None]
    removed_on: Mapped[date | None]
    removal_reason: Mapped[str] = mapped_column(default="")
    replaces_id: Mapped[str | None] = _to("item.id")
    replaced_by_id: Mapped[str | None] = _to("item.id")
    remarks: Mapped[str] = mapped_column(default="")

    tag_number: Mapped[str]
    state: Mapped[str]
    next_due: Mapped[date | None]
    untested: Mapped[bool]
    present_environment: Mapped[str]


class Tag(Keyed, Table):
    """A number that an item carries or carried. Never given to another item of the same owner."""

    __tablename__ = "tag"
    __table_args__ = (sa.UniqueConstraint("number", "owner_id"), {"sqlite_strict": True})
    item_id: Mapped[str] = _to("item.id", index=True)
    owner_id: Mapped[str] = _to("owner.id")
    number: Mapped[str]
    since: Mapped[date | None]
    until: Mapped[date | None]


class ItemText(Table):
    """All the text by which an item is searched: tags past and present, description, serial, site and area."""

    __tablename__ = "item_text"
    row: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    item_id: Mapped[str] = _to("item.id", unique=True)
    text: Mapped[str]


class Exposure(Keyed, Table):
    """How harshly an item is used from a day on. `seq` orders changes of the same day."""

    __tablename__ = "exposure"
    __table_args__ = (sa.UniqueConstraint("item_id", "seq"), {"sqlite_strict": True})
    item_id: Mapped[str] = _to("item.id")
    seq: Mapped[int]
    since: Mapped[date]
    site_id: Mapped[str] = _to("site.id")
    area_id: Mapped[str] = _to("area.id")
    environment: Mapped[str]
    place: Mapped[str]
    rulebook: Mapped[str]


class Override(Versioned, Table):
    """Another interval than the rulebook's, for a site, an area or an item, by a documented decision."""

    __tablename__ = "override"
    scope: Mapped[str]
    target_id: Mapped[str] = mapped_column(Key, index=True)
    duty: Mapped[str]
    interval: Mapped[str]
    reason: Mapped[str]
    approver: Mapped[str]
    approved_on: Mapped[date]
    review_on: Mapped[date]
    ended_on: Mapped[date | None]
    end_reason: Mapped[str] = mapped_column(default="")


class Tester(Versioned, Table):
    """Who measures, with competence or licence and its expiry."""

    __tablename__ = "tester"
    name: Mapped[str] = mapped_column(unique=True)
    licence: Mapped[str] = mapped_column(default="")
    expires_on: Mapped[date | None]


class Instrument(Versioned, Table):
    """What is measured with, by serial number, with the end of its calibration."""

    __tablename__ = "instrument"
    serial: Mapped[str] = mapped_column(unique=True)
    description: Mapped[str] = mapped_column(default="")
    calibrated_until: Mapped[date | None]


class HeldLimit(Table):
    """One limit that records were held against, in words and numbers, whatever becomes of the rulebook."""

    __tablename__ = "held_limit"
    id: Mapped[str] = mapped_column(Key, primary_key=True)
    words: Mapped[str]
    least: Mapped[str | None]
    most: Mapped[str | None]
    source: Mapped[str]


class Record(Keyed, Table):
    """What one person measured and saw on one item at one moment. Never edited.

    `as_found` marks a verdict taken over from an older register without its readings; `missing` lists what was
    asked for and not there. `content` tells the same test taken in twice.
    """

    __tablename__ = "record"
    __table_args__ = (
        sa.UniqueConstraint("item_id", "content"),
        sa.Index("ix_record_item_id_tested_on", "item_id", "tested_on", "id"),
        {"sqlite_strict": True},
    )
    item_id: Mapped[str] = _to("item.id")
    tested_on: Mapped[date] = mapped_column(index=True)
    tested_at: Mapped[str | None]
    tester: Mapped[str]
    instrument: Mapped[str]
    set_up: Mapped[str | None]
    look: Mapped[str | None]
    verdict: Mapped[str]
    why: Mapped[str]
    as_found: Mapped[bool]
    rulebook: Mapped[str]
    rulebook_version: Mapped[str]
    environment: Mapped[str]
    look_limit_id: Mapped[str | None] = _to("held_limit.id")
    missing: Mapped[Any] = mapped_column(Structure)
    remarks: Mapped[str] = mapped_column(default="")
    warnings: Mapped[Any] = mapped_column(Structure, default=list)
    content: Mapped[str]
    recorded_at: Mapped[datetime]


class RecordDuty(Table):
    """The duties that a record set out to do, with its verdict: what the schedule is counted from."""

    __tablename__ = "record_duty"
    __table_args__ = (
        sa.Index("ix_record_duty_passes", "item_id", "duty", "verdict", "tested_on", "tested_at", "as_found"),
        {"sqlite_strict": True, "sqlite_with_rowid": False},
    )
    record_id: Mapped[str] = _to("record.id", primary_key=True)
    duty: Mapped[str] = mapped_column(primary_key=True)
    item_id: Mapped[str] = _to("item.id")
    verdict: Mapped[str]
    tested_on: Mapped[date]
    tested_at: Mapped[str | None]
    as_found: Mapped[bool]


class Reading(Table):
    """One measured value of a record, and the limit it was held against. The value is text, because it is exact.

    `result` and `limit_id` are empty where nothing limits it; `why` is kept unless it passed.
    """

    __tablename__ = "reading"
    __table_args__ = ({"sqlite_strict": True, "sqlite_with_rowid": False},)
    record_id: Mapped[str] = _to("record.id", primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    quantity: Mapped[str]
    outlet: Mapped[int | None]
    half_cycle: Mapped[int | None]
    multiple: Mapped[str | None]
    test_current: Mapped[str | None]
    value: Mapped[str]
    unit: Mapped[str]
    bound: Mapped[str]
    result: Mapped[str | None]
    limit_id: Mapped[str | None] = _to("held_limit.id")
    why: Mapped[str]


class Mark(Keyed, Table):
    """A duty without readings that somebody says was done: a button pressed, a look before hire."""

    __tablename__ = "mark"
    __table_args__ = (
        sa.UniqueConstraint("item_id", "duty", "done_on"),
        {"sqlite_strict": True},
    )
    item_id: Mapped[str] = _to("item.id")
    duty: Mapped[str]
    done_on: Mapped[date]
    told_by: Mapped[str]


class Duty(Table):
    """The projection: when each duty of each item falls due. Rewritten with whatever changes it.

    `planned` is false for items that no visit is planned for: removed, in store, withdrawn for failure. It has no
    foreign keys: its rows come from those of items and sites, and a table without any is emptied at once.
    """

    __tablename__ = "duty"
    __table_args__ = (
        sa.Index("ix_duty_planned_due", "planned", "due", "item_id", "duty", "first_needed", "contractors"),
        sa.Index(
            "ix_duty_site_id_planned_due", "site_id", "planned", "due", "item_id", "duty", "first_needed", "contractors"
        ),
        {"sqlite_strict": True, "sqlite_with_rowid": False},
    )
    item_id: Mapped[str] = mapped_column(Key(), primary_key=True)
    duty: Mapped[str] = mapped_column(primary_key=True)
    site_id: Mapped[str] = mapped_column(Key())
    contractors: Mapped[bool]
    planned: Mapped[bool]
    interval: Mapped[str]
    last_done: Mapped[date | None]
    due: Mapped[date | None]
    first_needed: Mapped[bool]


class Withdrawal(Keyed, Table):
    """An item taken out of service: why, under which out-of-service tag, and how it ended."""

    __tablename__ = "withdrawal"
    __table_args__ = (
        sa.Index("ix_withdrawal_item_id_ended_on", "item_id", "ended_on"),
        {"sqlite_strict": True},
    )
    item_id: Mapped[str] = _to("item.id")
    withdrawn_on: Mapped[date]
    withdrawn_at: Mapped[str | None]
    reason: Mapped[str]
    detail: Mapped[str] = mapped_column(default="")
    tag_number: Mapped[str] = mapped_column(default="")
    told: Mapped[str] = mapped_column(default="")
    record_id: Mapped[str | None] = _to("record.id")
    ended_on: Mapped[date | None]
    end: Mapped[str] = mapped_column(default="")
    end_record_id: Mapped[str | None] = _to("record.id")


class CodeAside(Keyed, Table):
    """A code that was scanned and is no item's, set aside until somebody says what it is. `settled` says how."""

    __tablename__ = "code_aside"
    code: Mapped[str] = mapped_column(index=True)
    site_id: Mapped[str | None] = _to("site.id")
    area_id: Mapped[str | None] = _to("area.id")
    scanned_at: Mapped[datetime]
    scanned_by: Mapped[str]
    settled: Mapped[str] = mapped_column(default="")


class Intake(Keyed, Table):
    """One file taken in: its name and content, so that the history says where rows came from."""

    __tablename__ = "intake"
    file_name: Mapped[str]
    sha256: Mapped[str] = mapped_column(index=True)
    taken_at: Mapped[datetime]
    counts: Mapped[Any] = mapped_column(Structure)


class Event(Table):
    """One change, chained to the one before it by a hash. Only ever added to."""

    __tablename__ = "event"
    seq: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    id: Mapped[str] = mapped_column(Key, unique=True)
    at: Mapped[str]
    actor: Mapped[str]
    name: Mapped[str]
    subject: Mapped[str] = mapped_column(Key, index=True)
    data: Mapped[str]
    hash: Mapped[str]
