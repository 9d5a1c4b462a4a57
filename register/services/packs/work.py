"""What was done in the field: every row that is new or changed since the pack was made, with its events."""

import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.errors import Refused
from register.services.packs.identity import FieldPack, field_pack
from register.services.packs.packing import KEPT_WHOLE
from register.services.packs.undone import undone_ids
from register.store.amended import Correction
from register.store.audit import Name
from register.store.packs import PackBase
from register.store.photos import Photo, WithdrawalPhoto
from register.store.rows import plain, table_of
from register.store.tables import (
    Area,
    CodeAside,
    Event,
    Exposure,
    HeldLimit,
    Instrument,
    Item,
    Mark,
    Reading,
    Record,
    RecordDuty,
    Table,
    Tag,
    Tester,
    Withdrawal,
)
from register.store.tag_ranges import TagRange

ADDED: Final[tuple[type[Table], ...]] = (
    Area, Tester, Instrument, HeldLimit, Item, Tag, Exposure, Record, RecordDuty, Reading, Mark, Withdrawal,
    Photo, WithdrawalPhoto, Correction, CodeAside,
)  # fmt: skip
"""The tables whose new rows come back, in the order in which rows lead to others."""

OF_RECORD: Final = (RecordDuty, Reading)
"""Tables whose rows belong to a record and come with it."""

NOT_COMPARED: Final = {
    Item.__tablename__: {"id", "version", "tag_number", "state", "next_due", "untested", "present_environment"},
    Tag.__tablename__: {"id", "item_id", "owner_id", "number", "since"},
    Withdrawal.__tablename__: {"id", "item_id", "ended_on", "end", "end_record_id"},
    TagRange.__tablename__: {"id", "version", "holder", "prefix", "digits", "first", "last", "ended_on"},
}
"""What follows from other things and is worked out anew in the office, or never changes."""

TAKEN: Final = frozenset({
    Name.AREA_ADD, Name.ITEM_ADD, Name.ITEM_CHANGE, Name.ITEM_MOVE, Name.ITEM_REMOVE, Name.TAG_ADD, Name.RECORD_ADD,
    Name.RECORD_CORRECT, Name.MARK_ADD, Name.WITHDRAWAL_OPEN, Name.WITHDRAWAL_CHANGE, Name.WITHDRAWAL_END,
    Name.PHOTO_ADD, Name.TESTER_ADD, Name.INSTRUMENT_ADD, Name.CODE_ASIDE, Name.CODE_SETTLE,
})  # fmt: skip
"""The events that come back. What else was done in the field is the office's to decide."""

_OWN: Final = frozenset({
    Name.PACK_OPEN, Name.PACK_BACK, Name.REDATE, Name.UNDO, Name.REDO, Name.REGISTER_UPGRADE, Name.REGISTER_RESTORE,
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class CellChange:
    """What became of some columns of a row that was sent: their values before and after, as JSON holds them."""

    kind: str
    key: str
    before: dict[str, Any]
    after: dict[str, Any]


@dataclass(frozen=True, slots=True)
class FieldWork:
    """What comes back from the field.

    `added` holds new rows by table, `events` what was written in the history, in order. `left` are the names of
    events that are not taken over, with how many there are. All values are as JSON holds them.
    """

    pack: FieldPack
    added: dict[str, list[dict[str, Any]]]
    changed: list[CellChange]
    events: list[dict[str, Any]]
    left: dict[str, int]


def field_work(connection: Connection) -> FieldWork:
    """Return what was done in a field register. Refused in a register that is no field pack."""
    pack = field_pack(connection)
    if pack is None:
        raise Refused("This register is no field pack, so there is no field work to send back. Open the field pack.")
    undone = undone_ids(connection)
    said = connection.execute(sa.select(Event.__table__).order_by(Event.seq)).mappings()
    events = [row for row in said if row["id"] not in undone]
    names = set(Name)
    done = [row for row in events if row["name"] in names and Name(row["name"]) in TAKEN]
    return FieldWork(
        pack=pack,
        added={table.__tablename__: list(_added(connection, table)) for table in ADDED},
        changed=[each for table in KEPT_WHOLE for each in _changed(connection, table)],
        events=[{name: row[name] for name in EVENT_COLUMNS} for row in done],
        left=dict(Counter(row["name"] for row in events if row["name"] not in {*TAKEN, *_OWN})),
    )


EVENT_COLUMNS: Final = ("id", "at", "actor", "name", "subject", "data")


def _added(connection: Connection, table: type[Table]) -> Iterator[dict[str, Any]]:
    """Yield the rows of a table that were not there when the pack was made."""
    own = Record if table in OF_RECORD else table
    key: Any = table.__table__.c["record_id" if table in OF_RECORD else "id"]
    base = sa.select(PackBase.key).where(PackBase.kind == own.__tablename__)
    order = table_of(table).primary_key.columns
    for row in connection.execute(sa.select(table.__table__).where(key.not_in(base)).order_by(*order)).mappings():
        yield plain(table_of(table), dict(row))


def _changed(connection: Connection, table: type[Table]) -> Iterator[CellChange]:
    kind = table.__tablename__
    statement = (
        sa.select(table.__table__, PackBase.kept.label("kept_then"))
        .join(PackBase, sa.and_(PackBase.kind == kind, PackBase.key == table.__table__.c.id))
        .order_by(table.__table__.c.id)
    )
    for row in connection.execute(statement).mappings():
        before = {
            name: value for name, value in row["kept_then"].items() if name in row
        }  # a later layout may lack some
        now = plain(table_of(table), {name: row[name] for name in before})
        names = [name for name in now if now[name] != before[name] and name not in NOT_COMPARED[kind]]
        if names:
            yield CellChange(
                kind, row["id"], {name: before[name] for name in names}, {name: now[name] for name in names}
            )


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the field work is: items sent, done and left."""

    sent: int
    done: int

    @property
    def left(self) -> int:
        """How many items were sent and nothing was done to."""
        return self.sent - self.done


def progress(work: FieldWork) -> Progress:
    """Return how far the field work is. An item is done once it was tested, marked, withdrawn, missed or removed."""
    added = {row["id"] for row in work.added["item"]}
    touched = {row["item_id"] for kind in ("record", "mark", "withdrawal") for row in work.added[kind]}
    flags = {"not_found_on", "removed_on"}
    touched |= {each.key for each in work.changed if each.kind == "item" and flags & set(each.after)}
    return Progress(work.pack.items, min(len(touched - added), work.pack.items))


def facts(event: dict[str, Any]) -> dict[str, Any]:
    """Return the facts of an event as it comes back."""
    said = json.loads(event["data"])
    return said if isinstance(said, dict) else {}
