"""Everything that is out of service, in groups by who is waited for."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.words import Condition, Result, WithdrawalReason
from register.services.kept_readings import first_failed
from register.services.projection import WITHDRAWN
from register.store.tables import Area, Item, Owner, Record, Site, Withdrawal


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


def out_of_service(connection: Connection, today: date) -> list[OutRow]:
    """Return everything out of service, the owner's part first, the longest out first."""
    failed = first_failed(connection, sa.select(Withdrawal.record_id).where(Withdrawal.ended_on.is_(None)))
    rows = [_row(row, failed.get(row.record_id), today) for row in connection.execute(_OUT)]
    return sorted(rows, key=lambda row: (row.waiting is Waiting.TEST, row.since, row.tag))


_OUT: Final[sa.Select[*tuple[Any, ...]]] = (
    sa.select(
        Item.id, Item.tag_number.label("tag"), Item.description, Item.condition, Item.site_id, Site.name.label("site"),
        Area.name.label("area"), Owner.name.label("owner"), Withdrawal.withdrawn_on, Withdrawal.reason,
        Withdrawal.detail, Withdrawal.tag_number, Withdrawal.told, Withdrawal.record_id, Record.look,
    )
    .join(Withdrawal, (Withdrawal.item_id == Item.id) & Withdrawal.ended_on.is_(None))
    .join(Site, Site.id == Item.site_id)
    .join(Area, Area.id == Item.area_id)
    .join(Owner, Owner.id == Site.owner_id)
    .outerjoin(Record, Record.id == Withdrawal.record_id)
    .where(Item.state == WITHDRAWN)
)  # fmt: skip


def _row(row: sa.Row[Any], failed: str | None, today: date) -> OutRow:
    reason = WithdrawalReason(row.reason)
    ours = reason is WithdrawalReason.OVERDUE or row.condition == Condition.REPAIRED
    return OutRow(
        item_id=row.id, tag=row.tag, description=row.description, site_id=row.site_id, site=row.site, area=row.area,
        owner=row.owner, since=row.withdrawn_on, days=(today - row.withdrawn_on).days, reason=reason,
        short=failed or _short(row, reason), detail=row.detail, tag_number=row.tag_number, told=row.told,
        waiting=Waiting.TEST if ours else Waiting.OWNER,
    )  # fmt: skip


def _short(row: sa.Row[Any], reason: WithdrawalReason) -> str:
    """Return in a few words why an item is out of which no reading failed."""
    if row.look == Result.FAIL:
        return "Failed the look"
    return row.detail or {"overdue": "Overdue", "damaged": "Damaged", "failed": "Failed"}[reason.value]
