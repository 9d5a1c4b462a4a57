"""What falls due in a stretch of time, for the horizon: every duty's site, kind and day, or whole rows of a few."""

from datetime import date
from typing import Any, Final, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.store.lists import DUE_COLUMNS, PLACE_COLUMNS
from register.store.tables import Area, Duty, Item, Site
from register.store.types import Day, Key

_UNTIL: Final = sa.bindparam("until", type_=Day())
_WORK: Final = (Duty.planned == sa.true(), Duty.contractors == sa.true())


class DatedWork(NamedTuple):
    """So many planned duties of the contractor's of one sort at one site, due on one day."""

    site: str
    duty: str
    kind: str
    due: date
    duties: int


class OverdueWork(NamedTuple):
    """How many planned duties of the contractor's are overdue at one site, and since when the oldest."""

    site: str
    duties: int
    oldest: date


def dated_work(connection: Connection, first: date, last: date) -> list[DatedWork]:
    """Return what falls due within some days, both included, in no particular order."""
    return list(map(DatedWork._make, connection.execute(_DATED, {"first": first, "until": last}).all()))


def overdue_work(connection: Connection, today: date) -> list[OverdueWork]:
    """Return what was due before a day, by site; kinds are left out, because to look each of them up takes long."""
    return list(map(OverdueWork._make, connection.execute(_OVERDUE, {"today": today})))


_DAYS: Final = (*_WORK, Duty.due >= sa.bindparam("first", type_=Day()), Duty.due <= _UNTIL)
_DATED: Final = (
    sa.select(Duty.site_id, Duty.duty, Item.kind, Duty.due, sa.func.count())
    .join(Item, Item.id == Duty.item_id)
    .where(*_DAYS)
    .group_by(Duty.site_id, Duty.duty, Item.kind, Duty.due)
)
_OVERDUE: Final = (
    sa.select(Duty.site_id, sa.func.count(), sa.func.min(Duty.due))
    .where(*_WORK, Duty.due < sa.bindparam("today", type_=Day()))
    .group_by(Duty.site_id)
)


def undated_work(connection: Connection) -> dict[str, int]:
    """Return by site how many of the contractor's duties were never done though they must be before use."""
    return {row[0]: row[1] for row in connection.execute(_UNDATED)}


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


def counted_within(
    connection: Connection, first: date, last: date, site: str | None
) -> tuple[int, dict[tuple[str, str], int]]:
    """Return on how many items duties fall due within some days, both included, and how many of each kind and duty."""
    values: dict[str, Any] = {"first": first, "until": last}
    if site is not None:
        values["site"] = site
    items = int(connection.execute(_ITEMS if site is None else _ITEMS_SITE, values).scalar_one())
    sorts = connection.execute(_SORTS if site is None else _SORTS_SITE, values)
    return items, {(kind, duty): count for kind, duty, count in sorts}


_AT_SITE: Final = Duty.site_id == sa.bindparam("site", type_=Key())
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
_ITEMS: Final = sa.select(sa.func.count(sa.distinct(Duty.item_id))).where(*_DAYS)
_ITEMS_SITE: Final = _ITEMS.where(_AT_SITE)
_SORTS: Final = (
    sa.select(Item.kind, Duty.duty, sa.func.count())
    .join(Item, Item.id == Duty.item_id)
    .where(*_DAYS)
    .group_by(Item.kind, Duty.duty)
)
_SORTS_SITE: Final = _SORTS.where(_AT_SITE)
