"""Everything that the owner of a site is told, gathered from the register as at one day.

The rows are read when they are gone through: a report is good as long as its connection is open.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Any, Final

import sqlalchemy as sa
from dateutil.relativedelta import relativedelta
from sqlalchemy.engine import Connection, Row

from register.domain.rulebook import Confidence, Rulebook
from register.domain.schedule import DutyDue
from register.domain.words import CONTRACTORS_DUTIES, Duty, spoken
from register.services.owners.figures import WEEKS, figures
from register.services.owners.handed_over import last_sent
from register.services.owners.queries import queries_of
from register.services.owners.reading import RowReader
from register.services.owners.rows import AskedRow, OwnerReport, Period, RuleUsed, SiteHead
from register.services.questions import soon_days
from register.services.rulebooks import rulebook
from register.services.settings import setting
from register.store import chain
from register.store.tables import Duty as DutyRow
from register.store.tables import Item, Owner, Site

LOOK_AHEAD: Final = timedelta(weeks=WEEKS)
LOOK_BACK: Final = relativedelta(months=12)


def owner_report(connection: Connection, site_id: str, as_at: date, period: Period | None = None) -> OwnerReport:
    """Return the report on one site: a quarter ahead, and the tests of a period or of a year back."""
    return report_on(connection, _sites(connection, Site.id == site_id), as_at, period)


def sites_of(connection: Connection, owner_id: str) -> Sequence[Row[Any]]:
    """Return the sites of an owner, by name, as `report_on` takes them."""
    return _sites(connection, Site.owner_id == owner_id)


def _sites(connection: Connection, which: sa.ColumnElement[bool]) -> Sequence[Row[Any]]:
    statement = sa.select(Site.__table__, Owner.name.label("owner")).join(Owner, Owner.id == Site.owner_id)
    return connection.execute(statement.where(which).order_by(Site.name, Site.code)).all()


def report_on(connection: Connection, sites: Sequence[Row[Any]], as_at: date, period: Period | None) -> OwnerReport:
    """Return one report on some sites of one owner."""
    soon, until, tested = soon_days(connection), as_at + LOOK_AHEAD, period or Period(as_at - LOOK_BACK, date.max)
    reader = RowReader(connection, tuple(site.id for site in sites), as_at, soon)
    books = list(dict.fromkeys(rulebook(site.rulebook) for site in sites))
    end = chain.head(connection)
    return OwnerReport(
        firm=setting(connection, "firm", ""), firm_contact=setting(connection, "firm_contact", ""),
        owner=sites[0].owner, owner_id=sites[0].owner_id, site=_head(sites), as_at=as_at, looks_ahead_to=until,
        events=end.count, chain_head=end.hash, last_sent=last_sent(connection, sites[0].owner_id),
        items=reader.items(), duties=_duties(connection, reader.sites), due=reader.due(until),
        withdrawn=reader.withdrawn(), own_duties=reader.own_duties(), records=reader.records(tested),
        measured=reader.measured(tested), failed=reader.failed(tested),
        queries=tuple(_asked(connection, reader, tested)), rules=tuple(_rules(books, reader.schedules())),
        cautions=tuple(dict.fromkeys(caution for book in books for caution in book.cautions)),
        figures=figures(connection, reader.sites, as_at, soon, tested), records_since=tested.first,
        records_until=None if period is None else tested.last, sites=tuple(site.code for site in sites),
    )  # fmt: skip


def _head(sites: Sequence[Row[Any]]) -> SiteHead:
    books = [rulebook(site.rulebook) for site in sites]
    rules = "; ".join(dict.fromkeys(f"{book.title}, version {book.version}" for book in books))
    if len(sites) == 1:
        site = sites[0]
        return SiteHead(site.code, site.name, site.address, books[0].environments[site.environment].title, rules)
    named = "; ".join(f"{site.code} {site.name}" for site in sites)
    return SiteHead("", f"All sites of {sites[0].owner}", named, rulebook=rules)


def _duties(connection: Connection, sites: tuple[str, ...]) -> tuple[Duty, ...]:
    """Return the contractor's duties that any item of the sites has."""
    held = connection.scalars(
        sa.select(DutyRow.duty)
        .join(Item, Item.id == DutyRow.item_id)
        .where(Item.site_id.in_(sites), DutyRow.contractors == sa.true())
        .distinct()
    ).all()
    return tuple(duty for duty in Duty if duty in held)


def _asked(connection: Connection, reader: RowReader, tested: Period) -> Iterable[AskedRow]:
    """Yield the owner's queries that are open, and those answered since the period's first day."""
    asked = [
        each
        for each in queries_of(connection, reader.sites)
        if each.settled_on is None or each.settled_on >= tested.first
    ]
    heads = reader.heads([each.item_id for each in asked])
    for each in asked:
        yield AskedRow(heads[each.item_id], each.text, each.asked_by, each.asked_on, each.settled_on, each.settlement)


def _rules(books: Iterable[Rulebook], schedules: Iterable[tuple[DutyDue, ...]]) -> list[RuleUsed]:
    """Return the editions from which this report's dates and limits come, with how far each is to be trusted."""
    used: dict[tuple[str, Confidence, bool], set[str]] = defaultdict(set)
    for each in (one for scheduled in schedules for one in scheduled):
        source = each.line.source
        whose = "intervals" if each.duty in CONTRACTORS_DUTIES else "the user's duties"
        used[source.edition.title, source.confidence, source.edition.in_force].add(f"{spoken(each.duty)} ({whose})")
    for line in (line for book in books for line in book.limits):
        source = line.source
        used[source.edition.title, source.confidence, source.edition.in_force].add(f"{spoken(line.check)} (limits)")
    return [
        RuleUsed(title, ", ".join(sorted(names)), confidence, in_force)
        for (title, confidence, in_force), names in sorted(used.items())
    ]
