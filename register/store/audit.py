"""The history of the register: one named event for each change, chained by hashes, in the change's own transaction."""

import hashlib
import json
import sqlite3
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, time
from enum import StrEnum
from typing import Any, Final, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store.access import check_may
from register.store.bulk import insert_rows, rows_of
from register.store.engine import Change
from register.store.session_notes import LAST_EVENT
from register.store.tables import Event
from register.store.types import SQLITE, instant_text, new_key

FIRST: Final = "0" * 64
_LEAF: Final = b"\x01"


class Name(StrEnum):
    """What can happen to a register."""

    REGISTER_CREATE = "register:create"
    SETTING_CHANGE = "setting:change"
    REGISTER_RESTORE = "register:restore"
    REGISTER_UPGRADE = "register:upgrade"
    OWNER_ADD = "owner:add"
    OWNER_CHANGE = "owner:change"
    SITE_ADD = "site:add"
    SITE_CHANGE = "site:change"
    AREA_ADD = "area:add"
    AREA_CHANGE = "area:change"
    ITEM_ADD = "item:add"
    ITEM_CHANGE = "item:change"
    ITEM_MOVE = "item:move"
    ITEM_REMOVE = "item:remove"
    TAG_ADD = "tag:add"
    TAG_RANGE_ADD = "tag-range:add"
    TAG_RANGE_END = "tag-range:end"
    RECORD_ADD = "record:add"
    RECORD_CORRECT = "record:correct"
    MARK_ADD = "mark:add"
    WITHDRAWAL_OPEN = "withdrawal:open"
    WITHDRAWAL_CHANGE = "withdrawal:change"
    WITHDRAWAL_END = "withdrawal:end"
    PHOTO_ADD = "photo:add"
    LET_GO = "records:let-go"
    OVERRIDE_ADD = "override:add"
    OVERRIDE_END = "override:end"
    TESTER_ADD = "tester:add"
    TESTER_CHANGE = "tester:change"
    INSTRUMENT_ADD = "instrument:add"
    INSTRUMENT_CHANGE = "instrument:change"
    CODE_ASIDE = "code:aside"
    CODE_SETTLE = "code:settle"
    SITE_VISITING = "site:visiting"
    VAN_ADD = "van:add"
    VAN_CHANGE = "van:change"
    WEEK_PLAN = "week:plan"
    INTAKE = "intake:take"
    REVIEW_TAKE = "review:take"
    BOOK_SEND = "owner-book:send"
    QUERY_ADD = "query:add"
    QUERY_SETTLE = "query:settle"
    REDATE = "register:redate"
    PACK_MAKE = "pack:make"
    PACK_OPEN = "pack:open"
    PACK_BACK = "pack:back"
    PACK_MERGE = "pack:merge"
    PACK_SETTLE = "pack:settle"
    UNDO = "register:undo"
    REDO = "register:redo"


class Entry(NamedTuple):
    """One event to be written: what happened, to which row, and the facts."""

    name: Name
    subject: str
    data: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Head:
    """The end of the chain: how many events there are and the last one's hash."""

    count: int
    hash: str


def log(change: Change, name: Name, subject: str, /, **data: Any) -> None:  # noqa: ANN401 - facts of any plain kind
    """Write one event."""
    log_all(change, [Entry(name, subject, data)])


@contextmanager
def together(change: Change) -> Iterator[None]:
    """Gather what is logged within the block and write it at its end, in order: many events take few questions."""
    gathered: list[Entry] = []
    outer = change.session.info.get(_GATHERED)
    change.session.info[_GATHERED] = gathered
    try:
        yield
    finally:
        change.session.info[_GATHERED] = outer
    log_all(change, gathered)


_GATHERED: Final = "events that are written together"


def log_all(change: Change, entries: Iterable[Entry]) -> None:
    """Write many events in order, each chained to the one before it."""
    gathered = change.session.info.get(_GATHERED)
    if gathered is not None:
        gathered += entries
        return
    at = instant_text(change.at)
    _chain(
        change,
        ((new_key(), at, change.actor, entry.name.value, entry.subject, _canonical(entry.data)) for entry in entries),
    )


def adopt(change: Change, events: Iterable[tuple[str, str, str, str, str, str]]) -> None:
    """Write events that happened in another register, with their own ids, moments and actors, in their order.

    Each is its id, moment, actor, name, subject and facts, as they stand there; none may be known here.
    """
    _chain(change, events)


def _chain(change: Change, events: Iterable[tuple[str, str, str, str, str, str]]) -> None:
    change.session.flush()
    connection, made = change.session.connection(), list(events)
    check_may(change.session, change.actor, [(name, subject) for _id, _at, _actor, name, subject, _facts in made])
    end = head(connection)
    seq, previous = end.count, end.hash
    rows = []
    for facts in made:
        seq += 1
        previous = _hash(previous, seq, *facts)
        rows.append((seq, *facts, previous))
    if rows:
        change.session.info[LAST_EVENT] = rows[-1][1]
    insert_rows(connection, Event, _COLUMNS, rows)


_COLUMNS: Final = ("seq", "id", "at", "actor", "name", "subject", "data", "hash")


def head(connection: Connection) -> Head:
    """Return the end of the chain; on a server also for whoever does not see all events."""
    if connection.dialect.name != SQLITE:
        end = connection.exec_driver_sql("SELECT seq, hash FROM event_head()").first()
        return Head(*end) if end else Head(0, FIRST)
    row = connection.execute(sa.select(Event.seq, Event.hash).order_by(Event.seq.desc()).limit(1)).first()
    return Head(row.seq, row.hash) if row else Head(0, FIRST)


def broken_at(connection: Connection) -> int | None:
    """Return the `seq` of the first event that does not follow from the one before it; None where all do."""
    try:
        return _first_broken(rows_of(connection, sa.select(Event.seq, *_CHAINED).order_by(Event.seq)))
    except sqlite3.OperationalError:  # bytes that are no text, as somebody's editor may leave them
        return _first_broken(_read_as_bytes(connection))


def _first_broken(rows: Iterable[Sequence[Any]]) -> int | None:
    previous, expected = FIRST, 1
    for seq, *parts, found in rows:
        if seq != expected or _hash(previous, seq, *parts) != found:
            return expected
        previous, expected = found, seq + 1
    return None


_CHAINED: Final = (Event.id, Event.at, Event.actor, Event.name, Event.subject, Event.data, Event.hash)


def _read_as_bytes(connection: Connection) -> Iterator[Sequence[Any]]:
    raw = [sa.cast(column, sa.LargeBinary) for column in _CHAINED]
    for seq, *values in connection.execute(sa.select(Event.seq, *raw).order_by(Event.seq)):
        yield seq, *(bytes(value).decode(errors="surrogateescape") for value in values)


def _hash(previous: str, seq: int, *parts: str) -> str:
    content = f'["{seq}",{",".join(map(_quoted, parts))}]'
    return hashlib.sha256(_LEAF + bytes.fromhex(previous) + content.encode(errors="surrogateescape")).hexdigest()


_quoted: Final = json.encoder.encode_basestring  # a list of texts is JSON either way, in half the time


def _canonical(data: dict[str, Any]) -> str:
    """Return the facts as JSON that is the same on every computer: sorted keys, NFC text, no floats."""
    return unicodedata.normalize("NFC", _FACTS.encode(data))


def _plain(value: object) -> str:
    return value.isoformat() if isinstance(value, date | time) else str(value)


_FACTS: Final = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"), default=_plain)
