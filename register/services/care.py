"""Care of the register: what file it is, and how much is in it."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.domain.words import Standing
from register.store import chain
from register.store.address import Address, file_of
from register.store.drive import is_said_of_share, warning
from register.store.tables import Event, Item, Record, Site
from register.store.types import instant_text

_RECENT: Final = 200
_TOLERATED: Final = timedelta(hours=6)
"""So far a clock may be behind: what is less changes no day, and no date that follows from it."""


@dataclass(frozen=True, slots=True)
class Care:
    """The register as a file: where it is, its size, what it holds, and the end of its history.

    On a server there is no `path`, and `server` names it with the database. `items` leaves out what was removed, which
    `removed` counts. `risk` says why it is at risk on the drive that it lies on; empty where nothing is known to speak
    against it.
    """

    path: Path | None
    server: str
    size: int
    sites: int
    items: int
    removed: int
    records: int
    events: int
    head: str
    risk: str


def care(connection: Connection) -> Care:
    """Return what there is to know about the register as a file."""
    path = file_of(connection.engine)
    end, removed = chain.head(connection), _count(connection, Item.id, Item.state == Standing.REMOVED.value)
    return Care(
        path=path,
        server=Address(connection.engine.url).name if path is None else "",
        size=path.stat().st_size if path is not None else 0,
        sites=_count(connection, Site.id),
        items=_count(connection, Item.id) - removed,
        removed=removed,
        records=_count(connection, Record.id),
        events=end.count,
        head=end.hash,
        risk=place_risk(connection),
    )


def place_risk(connection: Connection) -> str:
    """Return in words why the register is at risk on the drive that it lies on; empty where it is not known to be."""
    path = file_of(connection.engine)
    return warning(path) if path is not None else ""


def place_news(connection: Connection) -> str:
    """Return what is said of its place when the register is opened: of a network drive nothing, which was asked."""
    risk = place_risk(connection)
    return "" if is_said_of_share(risk) else risk


def clock_behind(connection: Connection, now: datetime) -> str:
    """Return in words that this computer's clock is behind what was written lately; empty where it is not.

    The history keeps its order all the same, which goes by number; both times stand in it.
    """
    recent = sa.select(Event.at).order_by(Event.seq.desc()).limit(_RECENT).subquery()
    latest = connection.execute(sa.select(sa.func.max(recent.c.at))).scalar()
    if latest is None or latest <= instant_text(now + _TOLERATED):
        return ""
    written = datetime.fromisoformat(latest).astimezone(now.tzinfo)
    return (
        f"This computer's clock says {_moment(now)}, but the register was changed on {_moment(written)}, which is still"
        " to come. Set the clock right; the history keeps its order whatever the clock says."
    )


def _moment(at: datetime) -> str:
    return f"{day_words(at.date())}, {at:%H:%M}"


def _count(connection: Connection, column: sa.orm.InstrumentedAttribute[str], *which: sa.ColumnElement[bool]) -> int:
    return int(connection.execute(sa.select(sa.func.count(column)).where(*which)).scalar_one())
