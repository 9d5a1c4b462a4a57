"""Care of the register: what file it is, how much is in it, when it was last copied, and making a copy."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.errors import Unavailable
from register.services.settings import setting
from register.store import audit, copies
from register.store.audit import Name
from register.store.copies import Copy
from register.store.engine import Register
from register.store.tables import Event, Item, Record, Site
from register.store.types import SQLITE, new_key


@dataclass(frozen=True, slots=True)
class LastCopy:
    """The last copy that was made and checked."""

    at: datetime
    name: str
    folder: str


@dataclass(frozen=True, slots=True)
class Care:
    """The register as a file: where it is (None on a server), its size, what it holds, and the end of its history.

    `copies_folder` is where copies go, empty where nobody said.
    """

    path: Path | None
    size: int
    sites: int
    items: int
    records: int
    events: int
    head: str
    copies_folder: str
    last_copy: LastCopy | None


def care(connection: Connection) -> Care:
    """Return what there is to know about the register as a file."""
    url = connection.engine.url
    path = Path(url.database) if url.get_backend_name() == SQLITE and url.database else None
    end = audit.head(connection)
    return Care(
        path, path.stat().st_size if path is not None else 0,
        _count(connection, Site.id), _count(connection, Item.id), _count(connection, Record.id),
        end.count, end.hash, setting(connection, "copies_folder", ""), _last(connection),
    )  # fmt: skip


def copy_register(
    register: Register, folder: Path, *, actor: str, now: Callable[[], datetime], today: date
) -> tuple[Copy, str]:
    """Make a checked copy in a folder and write that down in the history.

    Returns the copy, and a sentence where it could not be written down (on a register that can only be read).
    """
    at = now()
    made = copies.make_copy(register, folder, at)
    try:
        with register.change(actor=actor, at=at, today=today) as change:
            key = setting(change.session.connection(), "register_id") or new_key()
            audit.log(change, Name.REGISTER_COPY, key, name=made.path.name, folder=str(made.path.parent))
    except Unavailable as why:
        return made, f"The copy is good, but the history could not be told of it. {why}"
    return made, ""


def _last(connection: Connection) -> LastCopy | None:
    statement = (
        sa.select(Event.at, Event.data)
        .where(Event.name == Name.REGISTER_COPY.value)
        .order_by(Event.seq.desc())
        .limit(1)
    )
    row = connection.execute(statement).first()
    if row is None:
        return None
    said = json.loads(row.data)
    return LastCopy(datetime.fromisoformat(row.at), said["name"], said["folder"])


def _count(connection: Connection, column: sa.orm.InstrumentedAttribute[str]) -> int:
    return int(connection.execute(sa.select(sa.func.count(column))).scalar_one())
