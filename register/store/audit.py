"""The history of the register: one named event for each change, chained by hashes, in the change's own transaction."""

import unicodedata
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from enum import StrEnum
from typing import Any, Final, NamedTuple

import orjson

from register.store.access import check_may
from register.store.bulk import insert_rows
from register.store.chain import event_hash, head
from register.store.engine import Change
from register.store.session_notes import LAST_EVENT
from register.store.tables import Event
from register.store.types import instant_text, new_keys


class Name(StrEnum):
    """What can happen to a register."""

    REGISTER_CREATE = "register:create"
    SETTING_CHANGE = "setting:change"
    REGISTER_RESTORE = "register:restore"
    REGISTER_UPGRADE = "register:upgrade"
    TEAM_IN = "team:let-in"
    TEAM_OUT = "team:let-out"
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
    at, keys = instant_text(change.at), new_keys()
    _chain(
        change,
        ((next(keys), at, change.actor, name._value_, subject, _canonical(data)) for name, subject, data in entries),
    )


def adopt(change: Change, events: Iterable[tuple[str, str, str, str, str, str]]) -> None:
    """Write events that happened in another register, with their own ids, moments and actors, in their order.

    Each is its id, moment, actor, name, subject and facts, as they stand there; none may be known here.
    """
    _chain(change, events)


def _chain(change: Change, events: Iterable[tuple[str, str, str, str, str, str]]) -> None:
    change.session.flush()
    connection, made = change.session.connection(), list(events)
    names = {name for _id, _at, _actor, name, _subject, _facts in made}
    check_may(change.session, change.actor, names, _subjects(made))
    end = head(connection)
    seq, previous = end.count, end.hash
    rows = []
    for facts in made:
        seq += 1
        previous = event_hash(previous, seq, *facts)
        rows.append((seq, *facts, previous))
    if rows:
        change.session.info[LAST_EVENT] = rows[-1][1]
    insert_rows(connection, Event, _COLUMNS, rows)


def _subjects(events: Iterable[tuple[str, str, str, str, str, str]]) -> Iterator[str]:
    """Yield the keys of all that events are about."""
    for _id, _at, _actor, name, subject, facts in events:
        yield subject
        if name in _GOES_OVER:
            yield from _from(facts)


_GOES_OVER: Final = frozenset({Name.ITEM_MOVE.value, Name.SITE_CHANGE.value})
"""Events of what may go over to another owner."""


def _from(facts: str) -> Iterator[str]:
    """Yield the key of where something comes from that goes over to somebody else, where its event says so."""
    before = orjson.loads(facts).get("before")
    came_from = before.get("owner_id") if isinstance(before, dict) else before
    if isinstance(came_from, str):
        yield came_from


_COLUMNS: Final = ("seq", "id", "at", "actor", "name", "subject", "data", "hash")


def _canonical(data: dict[str, Any]) -> str:
    """Return the facts as JSON that is the same on every computer: sorted keys, NFC text, no floats."""
    return unicodedata.normalize("NFC", orjson.dumps(data, str, orjson.OPT_SORT_KEYS).decode())
