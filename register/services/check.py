"""Checking the register: the file, the history, and every date recomputed from records and rules."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.services.projection import DUTY_COLUMNS, WITHDRAWN, projected
from register.store import audit, integrity
from register.store.tables import Duty, Exposure, Item, ItemText, Reading, Record, Site, Tag, Withdrawal

_MOST = 100


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check counted and found. `faults` are sentences, at most a hundred; `more` counts the rest."""

    counts: dict[str, int]
    events: int
    head: str
    faults: tuple[str, ...]
    more: int = 0


def check(connection: Connection) -> Checked:
    """Check everything that can be checked without changing anything."""
    found = [*integrity.faults(connection), *_references(connection), *_dates(connection)]
    end = audit.head(connection)
    counts = {
        "sites": _count(connection, Site), "items": _count(connection, Item), "records": _count(connection, Record),
        "readings": _count(connection, Reading), "duties": _count(connection, Duty),
    }  # fmt: skip
    return Checked(counts, end.count, end.hash, tuple(found[:_MOST]), max(0, len(found) - _MOST))


def _count(connection: Connection, table: Any) -> int:  # noqa: ANN401 - a table class
    return int(connection.execute(sa.select(sa.func.count()).select_from(table)).scalar_one())


def _references(connection: Connection) -> Iterator[str]:
    """Yield what is missing or contradicts itself between tables."""
    for table, what in ((Tag, "tag"), (ItemText, "search text"), (Exposure, "place")):
        lost = sa.select(Item.tag_number).where(Item.id.not_in(sa.select(table.item_id)))
        for number in connection.execute(lost).scalars():
            yield f"{number} has no {what} on record."
    out = sa.select(Withdrawal.item_id).where(Withdrawal.ended_on.is_(None))
    unlike = sa.select(Item.tag_number).where((Item.state == WITHDRAWN) != Item.id.in_(out))
    for number in connection.execute(unlike).scalars():
        yield f"{number} is shown as in or out of service against its withdrawals."


def _dates(connection: Connection) -> Iterator[str]:
    """Yield each date that differs from what records and rules say."""
    kept = {(row[0], row[1]): tuple(row) for row in connection.execute(sa.select(*_DUTIES))}
    columns = (Item.id, Item.tag_number, Item.present_environment, Item.next_due, Item.untested)
    items = {row.id: row for row in connection.execute(sa.select(*columns))}
    for each in projected(connection):
        row = items[each.item_id]
        if (row.present_environment, row.next_due, row.untested) != (each.environment, each.next_due, each.untested):
            yield f"{row.tag_number} is kept as next due {row.next_due}; records and rules say {each.next_due}."
        for duty in each.duties:
            found = kept.pop((each.item_id, duty[1]), None)
            if found != duty:
                yield f"{row.tag_number}, {duty[1]}: kept as {_said(found)}; records and rules say {_said(duty)}."
    for item_id, duty in kept:
        yield f"{items[item_id].tag_number}, {duty}: kept, but the rules ask no such duty."


_DUTIES = tuple(getattr(Duty, name) for name in DUTY_COLUMNS)


def _said(row: tuple[Any, ...] | None) -> str:
    if row is None:
        return "nothing"
    facts = dict(zip(DUTY_COLUMNS, row, strict=True))
    return f"last done {facts['last_done']}, every {facts['interval']}, due {facts['due']}"
