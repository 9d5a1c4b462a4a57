"""What a register says at present, in one hash: the same for two registers that came to it by different ways."""

import hashlib
import json
from collections.abc import Iterator
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store.amended import Correction
from register.store.owner_queries import OwnerQuery
from register.store.photos import WithdrawalPhoto
from register.store.rows import plain, table_of
from register.store.tables import (
    Area,
    CodeAside,
    Duty,
    Exposure,
    Instrument,
    Item,
    ItemText,
    Mark,
    Override,
    Owner,
    Reading,
    Record,
    RecordDuty,
    Site,
    Table,
    Tag,
    Tester,
    Withdrawal,
)
from register.store.tag_ranges import TagRange

_PRESENT: Final[tuple[type[Table], ...]] = (
    Owner, Site, Area, Tester, Instrument, Item, Tag, Exposure, Override, Record, RecordDuty, Reading, Mark, Duty,
    Withdrawal, WithdrawalPhoto, Correction, CodeAside, TagRange, OwnerQuery, ItemText,
)  # fmt: skip

_ASIDE: Final[dict[str, frozenset[str]]] = {
    "area": frozenset({"id", "version"}), "tester": frozenset({"id", "version"}),
    "instrument": frozenset({"id", "version"}), "owner": frozenset({"version"}), "site": frozenset({"version"}),
    "item": frozenset({"version"}), "override": frozenset({"version"}), "record": frozenset({"content"}),
    "tag_range": frozenset({"version"}), "item_text": frozenset({"row"}),
}  # fmt: skip
"""Columns that tell nothing of the present state: counters, and what other columns say already."""


def content_hash(connection: Connection) -> str:
    """Return a hash of all that the register says at present, leaving out how it came to it."""
    whole = hashlib.sha256()
    areas = _areas(connection)
    for table in _PRESENT:
        for line in sorted(_lines(connection, table, areas)):
            whole.update(line.encode())
    return whole.hexdigest()


def content_lines(connection: Connection) -> list[str]:
    """Return what `content_hash` is made of, a line a row, to see where two registers differ."""
    areas = _areas(connection)
    return [line for table in _PRESENT for line in sorted(_lines(connection, table, areas))]


def _areas(connection: Connection) -> dict[str, str]:
    """Return the areas by their sites' codes and their names, because the same area can have been entered twice."""
    rows = connection.execute(sa.select(Area.id, Site.code, Area.name).join(Site, Site.id == Area.site_id))
    return {row.id: f"{row.code} {row.name}" for row in rows}


def _lines(connection: Connection, table: type[Table], areas: dict[str, str]) -> Iterator[str]:
    name = table.__tablename__
    aside = _ASIDE.get(name, frozenset())
    for row in connection.execute(sa.select(table.__table__)).mappings():
        said: dict[str, Any] = plain(table_of(table), {key: row[key] for key in row if key not in aside})
        if said.get("area_id"):
            said["area_id"] = areas[said["area_id"]]
        yield f"{name} {json.dumps(said, ensure_ascii=False, sort_keys=True)}\n"
