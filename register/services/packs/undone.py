"""Which events of a history were undone and not done again."""

import json

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store.audit import Name
from register.store.tables import Event


def undone_ids(connection: Connection) -> set[str]:
    """Return the ids of the events that an undo took back. Doing a step again takes the undoing back in its turn."""
    marks = sa.select(Event.seq, Event.data).where(Event.name.in_((Name.UNDO.value, Name.REDO.value)))
    undone: list[tuple[int, int]] = []
    for seq, data in connection.execute(marks.order_by(Event.seq.desc())):
        said = json.loads(data)
        if not any(first <= seq <= last for first, last in undone):
            undone.append((said["first"], said["last"]))
    found: set[str] = set()
    for first, last in undone:
        found.update(connection.execute(sa.select(Event.id).where(Event.seq.between(first, last))).scalars())
    return found
