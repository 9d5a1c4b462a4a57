"""The report on all sites of one owner, and which owners there are."""

from dataclasses import dataclass
from datetime import date

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.errors import Refused
from register.services.owners.report import report_on, sites_of
from register.services.owners.rows import OwnerReport, Period
from register.store.tables import Owner, Site


@dataclass(frozen=True, slots=True)
class OwnerChoice:
    """An owner to choose from."""

    id: str
    name: str


def owners_of_several(connection: Connection) -> list[OwnerChoice]:
    """Return the owners who have more than one site, by name."""
    rows = connection.execute(
        sa.select(Owner.id, Owner.name)
        .join(Site, Site.owner_id == Owner.id)
        .group_by(Owner.id, Owner.name)
        .having(sa.func.count(Site.id) > 1)
        .order_by(Owner.name)
    )
    return [OwnerChoice(row.id, row.name) for row in rows]


def report_on_all(connection: Connection, owner_id: str, as_at: date, period: Period | None = None) -> OwnerReport:
    """Return one report on all sites of an owner, site by site. Refused where he has none."""
    sites = sites_of(connection, owner_id)
    if not sites:
        owner = connection.scalar(sa.select(Owner.name).where(Owner.id == owner_id))
        raise Refused(f"{owner} has no site in this register. Enter one first, or choose another owner.")
    return report_on(connection, sites, as_at, period)
