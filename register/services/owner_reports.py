"""The report on all sites of one owner: those on each site, put together in one."""

from dataclasses import dataclass, replace
from datetime import date
from typing import Protocol, TypeVar

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.errors import Refused
from register.services.owner_report import owner_report
from register.services.report_rows import OwnerReport, Period, ReportedItem, SiteHead
from register.store.tables import Owner, Site


class _AboutItem(Protocol):
    @property
    def item(self) -> ReportedItem: ...


_Row = TypeVar("_Row", bound=_AboutItem)


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


def known_owner(connection: Connection, name: str) -> str:
    """Return the id of an owner by his name, capitals or not; refused where there is none of that name."""
    owners = connection.execute(sa.select(Owner.id, Owner.name).order_by(Owner.name)).all()
    for row in owners:
        if row.name.casefold() == name.strip().casefold():
            return str(row.id)
    raise Refused(
        f"No owner is called “{name}”. The owners are: {', '.join(row.name for row in owners) or 'none yet'}."
    )


def report_on_all(connection: Connection, owner_id: str, as_at: date, period: Period | None = None) -> OwnerReport:
    """Return one report on all sites of an owner, site by site. Refused where he has none."""
    sites = connection.scalars(sa.select(Site.id).where(Site.owner_id == owner_id).order_by(Site.name, Site.code)).all()
    if not sites:
        owner = connection.scalar(sa.select(Owner.name).where(Owner.id == owner_id))
        raise Refused(f"{owner} has no site in this register. Enter one first, or choose another owner.")
    reports = [owner_report(connection, site, as_at, period) for site in sites]
    if len(reports) == 1:
        return reports[0]
    first = reports[0]
    return replace(
        first,
        site=SiteHead(
            "", f"All sites of {first.owner}", "; ".join(f"{each.site.code} {each.site.name}" for each in reports),
            rulebook="; ".join(dict.fromkeys(each.site.rulebook for each in reports)),
        ),
        items=tuple(row for each in reports for row in _placed(each.items, each)),
        due=tuple(sorted(
            (row for each in reports for row in _placed(each.due, each)), key=lambda row: row.due or date.min
        )),
        withdrawn=tuple(row for each in reports for row in _placed(each.withdrawn, each)),
        own_duties=tuple(row for each in reports for row in _placed(each.own_duties, each)),
        records=tuple(row for each in reports for row in _placed(each.records, each)),
        rules=tuple(dict.fromkeys(rule for each in reports for rule in each.rules)),
        cautions=tuple(dict.fromkeys(caution for each in reports for caution in each.cautions)),
        sites=tuple(each.site.code for each in reports),
    )  # fmt: skip


def _placed(rows: tuple[_Row, ...], report: OwnerReport) -> list[_Row]:
    """Return rows whose items say which site they are of."""
    return [replace(row, item=replace(row.item, site=report.site.name)) for row in rows]  # type: ignore[type-var]
