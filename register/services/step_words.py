"""What a step was, in the words that the menu says after "Undo": "test recorded, PL-0042", "item moved, 12 times"."""

import json
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.services.history import WORDS, named
from register.store.audit import Name
from register.store.tables import Event, Item

_CHIEF: Final = (
    Name.UNDO, Name.REDO, Name.LET_GO, Name.INTAKE, Name.RECORD_CORRECT, Name.ITEM_ADD, Name.RECORD_ADD, Name.ITEM_MOVE,
    Name.ITEM_REMOVE, Name.SITE_ADD, Name.SITE_CHANGE, Name.AREA_CHANGE, Name.OVERRIDE_ADD,
)  # fmt: skip
"""What a step is called after where it did several things; of others, after the first."""


def step_words(connection: Connection, first: int, last: int) -> tuple[str, Name | None]:
    """Return what a step was, by its events after `first`, and whether it was an undoing, a redoing, or lets go.

    What lets go of records can't be taken back, and nothing before it.
    """
    of_step = (Event.seq > first, Event.seq <= last)
    named = sa.select(Event.name).where(*of_step).group_by(Event.name).order_by(sa.func.min(Event.seq))
    names = connection.execute(named).scalars().all()
    chief = next((name.value for name in _CHIEF if name.value in names), names[0])
    events = sa.select(Event.subject, Event.data).where(*of_step, Event.name == chief).order_by(Event.seq)
    mine = [(subject, json.loads(data)) for subject, data in connection.execute(events)]
    if chief in {Name.UNDO.value, Name.REDO.value}:
        return str(mine[0][1]["what"]), Name(chief)
    what = WORDS[Name(chief)] if chief in set(Name) else chief
    return f"{what}{_to(connection, chief, mine)}", Name.LET_GO if chief == Name.LET_GO.value else None


def _to(connection: Connection, chief: str, events: list[tuple[str, dict[str, Any]]]) -> str:
    """Return to what it was done: the tag of an item, the name of another thing, or how many there were."""
    subjects = {str(said.get("item") or subject) for subject, said in events}
    if len(subjects) > 1:
        return f", {len(subjects):,} times"
    subject, said = events[0]
    tag = connection.execute(sa.select(Item.tag_number).where(Item.id == said.get("item", subject))).scalar()
    name = next((said[key] for key in ("tag", "file", "code", "name", "number") if said.get(key)), "")
    called = tag or named(chief, name)
    return f", {called}" if called else ""
