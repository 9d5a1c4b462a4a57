"""Who wrote a value last, by the history: what decides when the office and the field changed the same thing.

The later one stands, in whatever order packs are merged, because the field's events are kept with their own times.
"""

import json
from collections.abc import Collection, Iterable
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store.audit import Name
from register.store.bulk import chunks
from register.store.tables import Event

Stamp = tuple[str, str]
"""When an event was, and its id."""

EARLIEST: Final[Stamp] = ("", "")

_ALL: Final = "*"
_AT_ONCE: Final = 500
_BEGUN: Final = frozenset({Name.ITEM_ADD, Name.WITHDRAWAL_OPEN, Name.CODE_ASIDE})
_COLUMNS: Final = {
    Name.ITEM_MOVE: ("site_id", "area_id"),
    Name.ITEM_REMOVE: ("removed_on", "removal_reason"),
    Name.CODE_SETTLE: ("settled",),
    Name.WITHDRAWAL_END: (),
    Name.PACK_SETTLE: (),
}
_NAMES: Final = {"since": "condition_since", "record": "record_id"}
_BESIDE: Final = frozenset({"before", "after", "item", "on"})


class Stamps:
    """The latest event for each value of each row that some events speak of."""

    def __init__(self, events: Iterable[tuple[str, str, str, str, dict[str, Any]]]) -> None:
        self._found: dict[tuple[str, str], Stamp] = {}
        for key, at, name, subject, data in events:
            for column in _touched(name, data):
                place = subject, column
                self._found[place] = max(self._found.get(place, EARLIEST), (at, key))

    def of(self, key: str, column: str) -> Stamp:
        """Return when a value of a row was written last, as far as the events tell."""
        return max(self._found.get((key, column), EARLIEST), self._found.get((key, _ALL), EARLIEST))


def _touched(name: str, data: dict[str, Any]) -> tuple[str, ...]:
    """Return the columns that an event speaks of."""
    if name in _BEGUN:
        return (_ALL,)
    if name in _COLUMNS:
        return _COLUMNS[Name(name)]
    if "field" in data:
        return (str(data["field"]),)
    after = data.get("after")
    said = after if isinstance(after, dict) else {key: None for key in data if key not in _BESIDE}
    names = [_NAMES.get(key, key) for key in said]
    return (*names, "scope_reason") if "condition" in said else tuple(names)


def stamps_in(connection: Connection, subjects: Collection[str]) -> Stamps:
    """Return the stamps of some rows by the register's own history."""
    columns = (Event.id, Event.at, Event.name, Event.subject, Event.data)
    rows = (
        row
        for some in chunks(subjects, _AT_ONCE)
        for row in connection.execute(sa.select(*columns).where(Event.subject.in_(some)))
    )
    return Stamps((key, at, name, subject, json.loads(data)) for key, at, name, subject, data in rows)
