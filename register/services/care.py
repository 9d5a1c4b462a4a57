"""Care of the register: what file it is, and how much is in it."""

from dataclasses import dataclass
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store import audit
from register.store.tables import Item, Record, Site
from register.store.types import SQLITE


@dataclass(frozen=True, slots=True)
class Care:
    """The register as a file: where it is (None on a server), its size, what it holds, and the end of its history."""

    path: Path | None
    size: int
    sites: int
    items: int
    records: int
    events: int
    head: str


def care(connection: Connection) -> Care:
    """Return what there is to know about the register as a file."""
    url = connection.engine.url
    path = Path(url.database) if url.get_backend_name() == SQLITE and url.database else None
    end = audit.head(connection)
    return Care(
        path, path.stat().st_size if path is not None else 0,
        _count(connection, Site.id), _count(connection, Item.id), _count(connection, Record.id),
        end.count, end.hash,
    )  # fmt: skip


def _count(connection: Connection, column: sa.orm.InstrumentedAttribute[str]) -> int:
    return int(connection.execute(sa.select(sa.func.count(column))).scalar_one())
