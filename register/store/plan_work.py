"""What a plan is made from: every duty of the contractor's that falls due within some time, and where the sites are."""

from datetime import date
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.store.tables import Area, Duty, Item, Owner, Site
from register.store.types import Day
from register.store.visits import Van as VanTable
from register.store.visits import Visit, VisitDuty


def work_until(connection: Connection, until: date) -> list[Row[Any]]:
    """Return the planned duties of the contractor's due by a day, and those never done that must be before use."""
    return list(connection.execute(_WORK, {"until": until}))


_WORK: Final = (
    sa.select(
        Duty.site_id, Duty.item_id, Duty.duty, Duty.due, Duty.interval, Duty.last_done, Item.kind,
        Item.tag_number, Area.name.label("area"),
    )
    .join(Item, Item.id == Duty.item_id)
    .join(Area, Area.id == Item.area_id)
    .where(
        Duty.planned == sa.true(), Duty.contractors == sa.true(),
        sa.or_(
            Duty.due <= sa.bindparam("until", type_=Day()),
            sa.and_(Duty.due.is_(None), Duty.first_needed == sa.true()),
        ),
    )
    .order_by(Duty.site_id, sa.nulls_first(Duty.due), Duty.item_id, Duty.duty)
)  # fmt: skip


def site_rows(connection: Connection) -> list[Row[Any]]:
    """Return every site with its owner, by its code."""
    return list(connection.execute(_SITES))


_SITES: Final = (
    sa.select(
        Site.id,
        Site.code,
        Site.name,
        Site.address,
        Site.access,
        Site.rulebook,
        Owner.name.label("owner"),
        Owner.contact,
    )
    .join(Owner, Owner.id == Site.owner_id)
    .order_by(Site.code)
)


def visit_rows(connection: Connection, monday: date) -> list[Row[Any]]:
    """Return the visits of a planned week, cancelled ones too, by day, van and order."""
    return list(connection.execute(_VISITS, {"week": monday}))


_VISITS: Final = (
    sa.select(Visit.__table__, Site.code, Site.name, VanTable.name.label("van"))
    .join(Site, Site.id == Visit.site_id)
    .join(VanTable, VanTable.id == Visit.van_id)
    .where(Visit.week == sa.bindparam("week", type_=Day()))
    .order_by(Visit.day, VanTable.position, Visit.position, Visit.id)
)


def visits_on(connection: Connection, day: date) -> list[Row[Any]]:
    """Return the visits of a day that are not cancelled, with how many duties each has and how many are still open.

    A duty is done once it was done on the day or later.
    """
    return list(connection.execute(_ON, {"day": day}))


_ON: Final = (
    sa.select(
        Visit.id, Visit.site_id, Site.code, Site.name, VanTable.name.label("van"), Visit.arrive, Visit.leave,
        sa.func.count(VisitDuty.item_id).label("duties"),
        sa.func.coalesce(sa.func.sum(sa.case((Duty.last_done >= Visit.day, 1), else_=0)), 0).label("done"),
    )
    .join(Site, Site.id == Visit.site_id)
    .join(VanTable, VanTable.id == Visit.van_id)
    .outerjoin(VisitDuty, VisitDuty.visit_id == Visit.id)
    .outerjoin(Duty, (Duty.item_id == VisitDuty.item_id) & (Duty.duty == VisitDuty.duty))
    .where(Visit.day == sa.bindparam("day", type_=Day()), Visit.cancelled == sa.false())
    .group_by(Visit.id, Visit.site_id, Site.code, Site.name, VanTable.name, Visit.arrive, Visit.leave)
    .order_by(VanTable.name, Visit.arrive)
)  # fmt: skip
