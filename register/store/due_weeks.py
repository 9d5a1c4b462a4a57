"""What falls due in a stretch of time, for the horizon: every duty's site, kind and day, or whole rows of a few."""

from collections.abc import Iterator
from datetime import date
from typing import Any, Final, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.store.lists import DUE_COLUMNS, PLACE_COLUMNS
from register.store.tables import Area, Duty, Item, Site
from register.store.types import Day

_UNTIL: Final = sa.bindparam("until", type_=Day())
_WORK: Final = (Duty.planned == sa.true(), Duty.contractors == sa.true())


class DatedWork(NamedTuple):
    """One planned duty of the contractor's with its date."""

    site: str
    duty: str
    kind: str
    due: date


def dated_work(connection: Connection, until: date) -> Iterator[DatedWork]:
    """Yield every planned duty of the contractor's that is due by a day, in no particular order.

    The kinds of all items are read by themselves, from an index that holds nothing else: joined to the duties, the
    database would look each of them up one by one, which takes twice as long.
    """
    kinds = dict(connection.execute(_KINDS).tuples().all())
    for site, duty, item, due in connection.execute(_DATED, {"until": until}).tuples().all():
        yield DatedWork(site, duty, kinds[item], due)


_KINDS: Final = sa.select(sa.type_coerce(Item.id, sa.Text), Item.kind)
_DATED: Final = sa.select(Duty.site_id, Duty.duty, Duty.item_id, Duty.due).where(*_WORK, Duty.due <= _UNTIL)


def undated_work(connection: Connection) -> dict[str, int]:
    """Return by site how many of the contractor's duties were never done though they must be before use."""
    return dict(connection.execute(_UNDATED).tuples().all())


_UNDATED: Final = (
    sa.select(Duty.site_id, sa.func.count())
    .where(*_WORK, Duty.due.is_(None), Duty.first_needed == sa.true())
    .group_by(Duty.site_id)
)


def duties_within(connection: Connection, first: date, last: date, site: str | None, limit: int) -> list[Row[Any]]:
    """Return the contractor's planned duties due within some days, both included, the earliest first."""
    values: dict[str, Any] = {"first": first, "until": last, "limit": limit}
    if site is not None:
        values["site"] = site
    return list(connection.execute(_WITHIN if site is None else _WITHIN_SITE, values))


def items_within(connection: Connection, first: date, last: date, site: str | None) -> tuple[int, int]:
    """Return how many duties fall due within some days, both included, and on how many items."""
    values: dict[str, Any] = {"first": first, "until": last}
    if site is not None:
        values["site"] = site
    row = connection.execute(_COUNTED if site is None else _COUNTED_SITE, values).one()
    return int(row[0]), int(row[1])


_DAYS: Final = (*_WORK, Duty.due >= sa.bindparam("first", type_=Day()), Duty.due <= _UNTIL)
_AT_SITE: Final = Duty.site_id == sa.bindparam("site", type_=sa.Text)
_WITHIN: Final = (
    sa.select(*DUE_COLUMNS, *PLACE_COLUMNS)
    .join(Item, Item.id == Duty.item_id)
    .join(Site, Site.id == Duty.site_id)
    .join(Area, Area.id == Item.area_id)
    .where(*_DAYS)
    .order_by(Duty.due, Duty.item_id, Duty.duty)
    .limit(sa.bindparam("limit", type_=sa.Integer))
)
_WITHIN_SITE: Final = _WITHIN.where(_AT_SITE)
_COUNTED: Final = sa.select(sa.func.count(), sa.func.count(sa.distinct(Duty.item_id))).where(*_DAYS)
_COUNTED_SITE: Final = _COUNTED.where(_AT_SITE)
