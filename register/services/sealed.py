"""What is kept, held against what the history says of every row, in words: which row of which thing differs."""

import json
from collections.abc import Iterator
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store.sealing import Differing, How, differing
from register.store.tables import Event, Item, Record

WORDS: Final = {
    "access": "who may see it",
    "area": "the area",
    "code_aside": "a code set aside",
    "correction": "a correction of a record",
    "exposure": "a place on record",
    "held_limit": "a limit that records were held against",
    "instrument": "the instrument",
    "intake": "a file taken in",
    "item": "the item",
    "let_go": "a line of what was let go",
    "mark": "a duty marked as done",
    "override": "a decision on an interval",
    "owner": "the owner",
    "owner_query": "an owner's query",
    "pack": "a field pack",
    "pack_base": "what a field pack began with",
    "photo": "a photo",
    "reading": "a reading of a record",
    "record": "a test record",
    "record_duty": "a duty of a record",
    "setting": "the setting",
    "site": "the site",
    "site_visiting": "how a site is visited",
    "tag": "a tag",
    "tag_range": "a range of tag numbers",
    "taken_back": "a record taken back",
    "tester": "the tester",
    "van": "the van",
    "visit": "a visit",
    "visit_duty": "a duty of a visit",
    "withdrawal": "a withdrawal",
    "withdrawal_photo": "a photo of a withdrawal",
}
"""What a row of each table is."""

_HOW: Final = {
    How.CHANGED: "not as the history says; it was changed from outside",
    How.UNKNOWN: "kept, though the history does not tell of it; it was put in from outside",
    How.GONE: "gone, though the history tells of it; it was taken out from outside",
}
_NAMES: Final = ("tag_number", "code", "name", "serial", "number", "file_name", "holder")
"""The columns that name a row, the best first."""


def sealed_faults(connection: Connection) -> Iterator[str]:
    """Yield a sentence on every row that is not what the history says."""
    for row in differing(connection):
        yield f"{_name(connection, row)}, {WORDS[row.table]}: {_HOW[row.how]}."


def _name(connection: Connection, row: Differing) -> str:
    """Return the tag of the item that a row belongs to, its own name where there is none, or else its key."""
    said = row.key | row.values
    item_id = said.get("item_id") or _of_record(connection, said.get("record_id"))
    own = next((said[name] for name in _NAMES if said.get(name)), None)
    key = next(iter(row.key.values()))
    return _tag(connection, item_id) or _sound(str(own or _told(connection, key) or key))


def _of_record(connection: Connection, record_id: object) -> str | None:
    if not isinstance(record_id, str):
        return None
    return connection.execute(sa.select(Record.item_id).where(Record.id == _sound(record_id))).scalar()


def _tag(connection: Connection, item_id: object) -> str:
    """Return the tag of an item, empty where there is no such item; damaged text too."""
    if not isinstance(item_id, str):
        return ""
    found = sa.select(sa.cast(Item.tag_number, sa.LargeBinary)).where(Item.id == _sound(item_id))
    return (connection.execute(found).scalar() or b"").decode(errors="replace")


def _told(connection: Connection, key: object) -> str:
    """Return what the history calls a row that is gone."""
    if not isinstance(key, str):
        return ""
    told = sa.select(Event.data).where(Event.subject == _sound(key)).order_by(Event.seq).limit(1)
    said: dict[str, Any] = json.loads(connection.execute(told).scalar() or "{}")
    return _tag(connection, said.get("item")) or next(
        (str(said[name]) for name in ("tag", *_NAMES) if said.get(name)), ""
    )


def _sound(text: str) -> str:
    """Return a text without the bytes that are none, which no statement takes."""
    return text.encode(errors="surrogateescape").decode(errors="replace")
