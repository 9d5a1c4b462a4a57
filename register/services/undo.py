"""Undoing what was done, and doing it again: each is a change of its own, written in the history like any other.

A step that is undone is gathered in its turn, so that doing it again is undoing the undoing.
"""

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import orjson
import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.schedule import Scope
from register.errors import Refused
from register.services.item_texts import texts
from register.services.moves import expose
from register.services.overrides import concerned
from register.services.projection import redate
from register.services.settings import setting
from register.services.step_words import step_words
from register.store import audit, chain
from register.store.audit import Name
from register.store.bulk import chunks
from register.store.engine import Change
from register.store.images import RECORD
from register.store.search import add_texts, change_text
from register.store.steps import Gathering, Step, Touched, gathering, packed
from register.store.tables import Item, ItemText, Record
from register.store.taking_back import CHANGED, count_of_records, write_back
from register.store.types import new_key

MOST: Final = 100
"""So many steps can be undone."""


@dataclass(frozen=True, slots=True)
class Done:
    """One step that can be taken back: what it was in words, and how many records its items had afterwards."""

    words: str
    step: Step
    records: dict[str, int]
    how: Name | None


class Steps:
    """What was done since the register was opened, the latest last, and what of it was undone. Watches a register."""

    def __init__(self) -> None:
        self._done: deque[Done] = deque(maxlen=MOST)
        self._undone: list[Done] = []
        self._first = 0
        self._whole: Done | None = None
        self._gathering: Gathering | None = None

    @property
    def to_undo(self) -> str:
        """What would be undone, in words; empty where there is nothing."""
        return self._done[-1].words if self._done else ""

    @property
    def to_redo(self) -> str:
        """What would be done again, in words; empty where there is nothing."""
        return self._undone[-1].words if self._undone else ""

    def undo(self, change: Change) -> str:
        """Take back what was done last; return what it was. Refused where it was changed by somebody else since."""
        if not self._done:
            raise Refused("There is nothing to undo: nothing was changed since this register was opened.")
        return _take_back(change, self._done[-1], Name.UNDO)

    def redo(self, change: Change) -> str:
        """Do again what was undone last; return what it was."""
        if not self._undone:
            raise Refused("There is nothing to do again: nothing was undone since the last change.")
        return _take_back(change, self._undone[-1], Name.REDO)

    def begin(self, connection: Connection) -> None:
        """A change begins on a connection: note what it touches."""
        self._first, self._whole = chain.head(connection).count, None
        if self._gathering is None:
            self._gathering = gathering(connection)
        self._gathering.begin(connection)

    def end(self, connection: Connection) -> None:
        """The change is whole: gather what it touched."""
        assert self._gathering is not None
        last, rows = chain.head(connection).count, self._gathering.rows(connection)
        if last == self._first or not rows:
            return
        words, how = step_words(connection, self._first, last)
        step = Step(self._first, last, packed(rows))
        self._whole = Done(words, step, count_of_records(connection, _tested(rows)), how)

    def kept(self) -> None:
        """The change was kept: it is the one that would be undone now."""
        done, self._whole = self._whole, None
        if done is None:
            return
        if done.how is Name.UNDO:
            self._done.pop()
            self._undone.append(done)
        elif done.how is Name.LET_GO:
            self._done.clear()
            self._undone.clear()
        elif done.how is Name.REDO:
            self._undone.pop()
            self._done.append(done)
        else:
            self._done.append(done)
            self._undone.clear()


def _tested(rows: Sequence[Touched]) -> list[str]:
    """Return the items of the records that a step put in or took out."""
    told = (row.after or row.before for row in rows if row.name == RECORD)
    return sorted({orjson.loads(said)["item_id"] for said in told if said})


def _take_back(change: Change, done: Done, name: Name) -> str:
    change.session.flush()
    connection, rows = change.session.connection(), done.step.rows
    if count_of_records(connection, list(done.records)) != done.records:
        raise Refused(CHANGED)
    items = _items_of(connection, rows)
    write_back(connection, rows, actor=change.actor, at=change.at)
    change.session.expire_all()
    register = setting(connection, "register_id") or new_key()
    audit.log(change, name, register, what=done.words, first=done.step.first + 1, last=done.step.last)
    items |= _items_of(connection, rows)
    present = _present(connection, items)
    _settle(change, rows, present)
    redate(change, present)
    return done.words


def _items_of(connection: Connection, rows: Sequence[Touched]) -> set[str]:
    """Return the items whose dates or words may follow from these rows."""
    found: set[str] = set()
    for row in rows:
        said = orjson.loads(row.after or row.before or "{}")
        if row.name == "item":
            found.add(said["id"])
        elif row.name in {"site", "area"}:
            column = Item.site_id if row.name == "site" else Item.area_id
            found.update(connection.execute(sa.select(Item.id).where(column == said["id"])).scalars())
        elif row.name == "override":
            found.update(concerned(connection, Scope[said["scope"].upper()], said["target_id"]))
        elif row.name == "correction":
            found.update(connection.execute(sa.select(Record.item_id).where(Record.id == said["record_id"])).scalars())
        elif "item_id" in said:
            found.add(said["item_id"])
    return found


def _present(connection: Connection, items: set[str]) -> list[str]:
    found: list[str] = []
    for some in chunks(sorted(items), 500):
        found += connection.execute(sa.select(Item.id).where(Item.id.in_(some)).order_by(Item.id)).scalars()
    return found


def _settle(change: Change, rows: Sequence[Touched], items: Sequence[str]) -> None:
    """Let what follows from the rows follow: how harshly items are used that came to a place since, and their words."""
    connection = change.session.connection()
    if any(row.name in {"site", "area"} for row in rows):
        expose(change, items)
    wanted, kept = texts(connection, items), _texts_kept(connection, items)
    add_texts(connection, ((key, text) for key, text in wanted.items() if key not in kept))
    for key, text in wanted.items():
        if kept.get(key, text) != text:
            change_text(connection, key, text)


def _texts_kept(connection: Connection, items: Sequence[str]) -> dict[str, str]:
    found: dict[str, Any] = {}
    for some in chunks(items, 500):
        found |= dict(
            connection.execute(sa.select(ItemText.item_id, ItemText.text).where(ItemText.item_id.in_(some))).all()
        )
    return found
