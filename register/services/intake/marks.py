"""Rows that a register wrote itself: known again by their marks, whatever else has become of them since."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.services.intake.rows import Became, RowPlace, SheetRows
from register.store.bulk import chunks
from register.store.tables import Item, Record


@dataclass(frozen=True, slots=True)
class Unmarked:
    """The rows that are left to be compared, and those whose items and tests were known by their marks."""

    rows: SheetRows
    items: dict[RowPlace, Became] = field(default_factory=dict)
    records: dict[RowPlace, Became] = field(default_factory=dict)


def without_marked(connection: Connection, rows: SheetRows) -> Unmarked:
    """Return the rows without those that this register wrote: of these it knows more than they say."""
    items = _known(connection, Item, (each.mark for each in rows.items))
    records = _known(connection, Record, (each.mark for each in rows.records))
    if not items and not records:
        return Unmarked(rows)
    left = replace(
        rows,
        items=tuple(each for each in rows.items if each.mark not in items),
        records=tuple(each for each in rows.records if each.mark not in records),
    )
    return Unmarked(
        left,
        {each.place: Became.SAME for each in rows.items if each.mark in items},
        {each.place: Became.SAME for each in rows.records if each.mark in records},
    )


def _known(connection: Connection, table: type[Item | Record], marks: Iterable[str]) -> set[str]:
    wanted = sorted({mark for mark in marks if mark})
    return {
        key
        for some in chunks(wanted, 500)
        for key in connection.execute(sa.select(table.id).where(table.id.in_(some))).scalars()
    }
