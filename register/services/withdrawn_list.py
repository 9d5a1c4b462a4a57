"""Everything that is out of service, in groups by who is waited for."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.records import Finding
from register.domain.words import Condition, Result, WithdrawalReason
from register.services.kept import findings_of
from register.services.out_of_service import Withdrawn
from register.services.questions import withdrawn_items
from register.store.tables import Area, Item, Owner, Site, Withdrawal


class Waiting(StrEnum):
    """Who is waited for before an item can come back."""

    OWNER = "owner"
    TEST = "test"


@dataclass(frozen=True, slots=True)
class OutRow:
    """One item out of service. `short` says why in a few words, reading against limit; `told` who knows of it."""

    item_id: str
    tag: str
    description: str
    site_id: str
    site: str
    area: str
    owner: str
    since: date
    days: int
    reason: WithdrawalReason
    short: str
    detail: str
    tag_number: str
    told: str
    waiting: Waiting
    ends: tuple[str, ...]


def out_of_service(connection: Connection, today: date) -> list[OutRow]:
    """Return everything out of service, the owner's part first, the longest out first."""
    out = withdrawn_items(connection)
    known = {row.id: row for row in connection.execute(_items())}
    told = {
        row.item_id: row.told
        for row in connection.execute(
            sa.select(Withdrawal.item_id, Withdrawal.told).where(Withdrawal.ended_on.is_(None))
        )
    }
    findings = findings_of(connection, [each.record_id for each in out if each.record_id is not None])
    rows = [
        _row(each, known[each.item_id], told[each.item_id], findings.get(each.record_id or "", []), today)
        for each in out
    ]
    return sorted(rows, key=lambda row: (row.waiting is Waiting.TEST, row.since, row.tag))


def _items() -> sa.Select[*tuple[object, ...]]:
    columns = (
        Item.id, Item.description, Item.condition, Item.site_id, Site.name.label("site"), Area.name.label("area"),
        Owner.name.label("owner"),
    )  # fmt: skip
    statement: sa.Select[*tuple[object, ...]] = (
        sa.select(*columns)
        .join(Site, Site.id == Item.site_id)
        .join(Area, Area.id == Item.area_id)
        .join(Owner, Owner.id == Site.owner_id)
        .where(Item.state == "withdrawn")
    )
    return statement


def _row(
    each: Withdrawn, row: "sa.Row[*tuple[object, ...]]", told: str, findings: list[Finding], today: date
) -> OutRow:
    failed = [finding for finding in findings if finding.result is Result.FAIL]
    ours = each.reason is WithdrawalReason.OVERDUE or row.condition == Condition.REPAIRED
    return OutRow(
        item_id=each.item_id, tag=each.tag, description=row.description, site_id=row.site_id, site=row.site,
        area=row.area, owner=row.owner, since=each.since, days=(today - each.since).days, reason=each.reason,
        short=_short(each, failed), detail=each.detail, tag_number=each.tag_number, told=told,
        waiting=Waiting.TEST if ours else Waiting.OWNER, ends=tuple(duty.value for duty in each.needed),
    )  # fmt: skip


def _short(each: Withdrawn, failed: list[Finding]) -> str:
    """Return why an item is out, in a few words: the worst reading against its limit, or what was written down."""
    measured = [finding for finding in failed if finding.measure is not None]
    if measured:
        first = measured[0]
        return f"{first.measure}, {first.limit}"
    if failed:
        return "Failed the look"
    return each.detail or {"overdue": "Overdue", "damaged": "Damaged", "failed": "Failed"}[each.reason.value]
