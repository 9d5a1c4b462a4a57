"""What the register answers: what is due and why, one item with all its dates, the sites that are overdue."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.explain import why
from register.domain.schedule import DutyDue, out_of_scope
from register.domain.standing import SOON_DAYS, duty_standing, standing_on
from register.domain.words import Duty, Kind, Result, Standing
from register.services.cases import Case, cases
from register.services.projection import REMOVED, WITHDRAWN
from register.services.rulebooks import rulebook
from register.services.settings import setting
from register.services.withdrawals.needed import Withdrawn, withdrawn_now
from register.stopping import step_by_step
from register.store.amended import stands
from register.store.lists import DueFilter, due_page, overdue_by_site
from register.store.tables import Area, Item, Record, Site, Tag


@dataclass(frozen=True, slots=True)
class DueDuty:
    """One duty that is due, with its reasons in words."""

    site: str
    site_name: str
    area: str
    item_id: str
    tag: str
    kind: Kind
    description: str
    environment: str
    duty: Duty
    contractors: bool
    last_done: date | None
    interval: str
    due: date | None
    standing: Standing
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DutyAnswer:
    """One duty of an item: its date, where it stands, and the whole explanation."""

    duty: Duty
    contractors: bool
    interval: str
    last_done: date | None
    due: date | None
    standing: Standing
    relieved: bool
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LastRecord:
    """The newest test of an item."""

    tested_on: date
    verdict: Result
    why: str
    tester: str


@dataclass(frozen=True, slots=True)
class ItemAnswer:
    """One item as it stands on a day, with all its dates explained."""

    item_id: str
    tag: str
    earlier_tags: tuple[str, ...]
    kind: Kind
    description: str
    serial: str
    site: str
    site_name: str
    area: str
    environment: str
    environment_title: str
    rulebook: str
    standing: Standing
    next_due: date | None
    duties: tuple[DutyAnswer, ...]
    out_of_scope: str
    withdrawn: Withdrawn | None
    removed: str
    not_found_on: date | None
    last: LastRecord | None


@dataclass(frozen=True, slots=True)
class OverdueSite:
    """A site with items that must not be used: overdue ones, since when the oldest, and never tested ones."""

    site_id: str
    code: str
    name: str
    overdue: int
    untested: int
    oldest: date | None


def soon_days(connection: Connection) -> int:
    """Return within how many days a date counts as due soon."""
    return int(setting(connection, "soon_days", SOON_DAYS))


def due_duties(
    connection: Connection,
    on: date,
    *,
    within_days: int = 0,
    site: str | None = None,
    contractors: bool | None = None,
    limit: int | None = None,
) -> list[DueDuty]:
    """Return the duties due by `on` and so many days more, never done ones first, each with its reasons.

    `contractors` asks for the contractor's duties alone, or the users' alone. Items in store, removed, or withdrawn
    until they are repaired are left out; withdrawn for being overdue they stay in the plan.
    """
    wanted = DueFilter(on + timedelta(days=within_days), site, contractors)
    rows: list[Row[Any]] = []
    while limit is None or len(rows) < limit:
        after = (rows[-1].due, rows[-1].item_id, rows[-1].duty) if rows else None
        size = 5000 if limit is None else min(5000, limit - len(rows))
        page = due_page(connection, wanted, after=after, limit=size)
        rows += page
        if len(page) < size:
            break
    return due_rows(connection, rows, on)


def due_rows(connection: Connection, rows: Sequence[Row[Any]], on: date) -> list[DueDuty]:
    """Return rows of a due list with their reasons, as they stand on a day."""
    soon = soon_days(connection)
    known = {each.id: each for each in cases(connection, list(dict.fromkeys(row.item_id for row in rows)))}
    scheduled = {(key, duty.duty): duty for key, each in step_by_step(known.items()) for duty in each.duties()}
    return [
        _due_row(row, known[row.item_id], scheduled[row.item_id, Duty(row.duty)], on, soon)
        for row in step_by_step(rows)
    ]


def _due_row(row: Row[Any], known: Case, duty: DutyDue, on: date, soon: int) -> DueDuty:
    standing = Standing.WITHDRAWN if row.state == WITHDRAWN else duty_standing(on, duty, soon_days=soon)
    return DueDuty(
        site=row.site, site_name=row.site_name, area=row.area, item_id=row.item_id, tag=row.tag_number,
        kind=Kind(row.kind), description=row.description, environment=row.present_environment, duty=duty.duty,
        contractors=duty.contractors, last_done=row.last_done, interval=row.interval, due=row.due, standing=standing,
        why=why(known.item, duty, known.rulebooks),
    )  # fmt: skip


def item_answer(connection: Connection, item_id: str, on: date) -> ItemAnswer:
    """Return one item with all its dates explained, as it stands on a day."""
    row = connection.execute(
        sa.select(
            Item.__table__, Site.code.label("site"), Site.name.label("site_name"), Site.rulebook,
            Area.name.label("area"),
        )
        .join(Site, Site.id == Item.site_id)
        .join(Area, Area.id == Item.area_id)
        .where(Item.id == item_id)
    ).one()  # fmt: skip
    known = next(iter(cases(connection, [item_id])))
    soon, rules = soon_days(connection), rulebook(row.rulebook)
    tags = connection.execute(sa.select(Tag.number).where(Tag.item_id == item_id, Tag.number != row.tag_number))
    return ItemAnswer(
        item_id=item_id, tag=row.tag_number, earlier_tags=tuple(tags.scalars()), kind=Kind(row.kind),
        description=row.description, serial=row.serial, site=row.site, site_name=row.site_name, area=row.area,
        environment=row.present_environment, environment_title=rules.environments[row.present_environment].title,
        rulebook=row.rulebook, standing=standing_of(row, on, soon), next_due=row.next_due,
        duties=tuple(_duty_answer(known, duty, on, soon) for duty in known.duties()),
        out_of_scope=out_of_scope(known.item, rules), withdrawn=withdrawn_now(connection, [known]).get(item_id),
        removed=row.removal_reason if row.state == REMOVED else "", not_found_on=row.not_found_on,
        last=_last(connection, item_id),
    )  # fmt: skip


def standing_of(row: Row[Any], on: date, soon: int) -> Standing:
    """Return where an item stands on a day, from a row with the table's columns."""
    return standing_on(
        on, removed=row.state == REMOVED, withdrawn=row.state == WITHDRAWN, untested=row.untested,
        next_due=row.next_due, soon_days=soon,
    )  # fmt: skip


def _duty_answer(known: Case, duty: DutyDue, on: date, soon: int) -> DutyAnswer:
    return DutyAnswer(
        duty=duty.duty, contractors=duty.contractors, interval=duty.interval,
        last_done=duty.done.on if duty.done is not None else None, due=duty.due,
        standing=duty_standing(on, duty, soon_days=soon), relieved=bool(duty.terms.relieved),
        why=why(known.item, duty, known.rulebooks),
    )  # fmt: skip


def _last(connection: Connection, item_id: str) -> LastRecord | None:
    row = connection.execute(
        sa.select(Record.tested_on, Record.verdict, Record.why, Record.tester)
        .where(Record.item_id == item_id, stands(Record.id))
        .order_by(Record.tested_on.desc(), Record.id.desc())
        .limit(1)
    ).first()
    return None if row is None else LastRecord(row.tested_on, Result(row.verdict), row.why, row.tester)


def overdue_sites(connection: Connection, on: date) -> list[OverdueSite]:
    """Return the sites with items that must not be used, the worst first."""
    return [
        OverdueSite(row.id, row.code, row.name, row.overdue, row.untested, row.oldest)
        for row in overdue_by_site(connection, on)
    ]


def withdrawn_items(connection: Connection, site: str | None = None) -> list[Withdrawn]:
    """Return everything out of service, at one site or at all, the longest first."""
    statement = sa.select(Item.id).where(Item.state == WITHDRAWN)
    if site is not None:
        statement = statement.where(Item.site_id == site)
    ids = list(connection.execute(statement).scalars())
    found = withdrawn_now(connection, cases(connection, ids)).values()
    return sorted(found, key=lambda each: (each.since, each.tag))
