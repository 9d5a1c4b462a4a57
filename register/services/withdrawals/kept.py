"""Withdrawals as they are kept: the one that is open, its beginning and its end, each told in the history."""

from datetime import date

import sqlalchemy as sa

from register.domain.standing import Moment
from register.domain.words import WithdrawalReason
from register.services.projection import WITHDRAWN
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Item, Withdrawal
from register.store.types import new_key

REMOVED_FOR_GOOD = "removed"
RETURNED = "returned"
CORRECTED = "corrected"
"""The record that had taken the item out of service was wrong."""


def open_withdrawal(change: Change, item_id: str) -> Withdrawal | None:
    """Return the withdrawal that keeps an item out of service; None where it isn't."""
    return change.session.scalars(
        sa.select(Withdrawal).where(Withdrawal.item_id == item_id, Withdrawal.ended_on.is_(None))
    ).one_or_none()


def begin(
    change: Change,
    item: Item,
    moment: Moment,
    reason: WithdrawalReason,
    *,
    detail: str = "",
    record_id: str | None = None,
) -> Withdrawal:
    """Take an item out of service from a moment on."""
    begun = Withdrawal(
        id=new_key(),
        item_id=item.id,
        withdrawn_on=moment.on,
        withdrawn_at=None if moment.at is None else moment.at.isoformat(),
        reason=reason.value,
        detail=detail,
        record_id=record_id,
    )
    change.session.add(begun)
    item.state = WITHDRAWN
    audit.log(
        change, Name.WITHDRAWAL_OPEN, begun.id, item=item.id, on=moment.on, reason=reason.value, detail=detail,
        record=record_id,
    )  # fmt: skip
    return begun


def end(change: Change, found: Withdrawal, on: date, how: str, record_id: str | None = None) -> None:
    """End a withdrawal in one of the three ways; what becomes of its item is for the caller to say."""
    found.ended_on, found.end, found.end_record_id = on, how, record_id
    audit.log(change, Name.WITHDRAWAL_END, found.id, item=found.item_id, on=on, end=how, record=record_id)
