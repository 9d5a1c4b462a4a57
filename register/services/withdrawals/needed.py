"""What keeps an item out of service: since when, why, and which duties must pass before it may return."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.standing import Moment, still_needed
from register.domain.words import Duty, Result, WithdrawalReason
from register.services.cases import Case
from register.services.withdrawals.moments import later, moment
from register.store.amended import stands
from register.store.bulk import chunks
from register.store.tables import Item, Record, Withdrawal


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """An item out of service: since when, why, under which tag, and which duties bring it back.

    `tag_before` is the number of the out-of-service tag that `tag_number` has just taken the place of.
    """

    item_id: str
    tag: str
    since: date
    reason: WithdrawalReason
    detail: str
    tag_number: str
    needed: tuple[Duty, ...]
    record_id: str | None = None
    tag_before: str = ""

    @property
    def tag_words(self) -> str:
        """Which out-of-service tag it has now, and which one that took the place of."""
        return f"tag {self.tag_number}" + (f" in the place of {self.tag_before}" if self.tag_before else "")


def needed(connection: Connection, found: Withdrawal | Row[Any], known: Case) -> tuple[Duty, ...]:
    """Return the duties that must pass before the item of an open withdrawal may return.

    They must pass after the withdrawal and after whatever test failed since, so that an older pass that is entered
    late doesn't bring it back.
    """
    return _needed(found, known, _latest_fails(connection, [known.id]))


def withdrawn_now(connection: Connection, known: Iterable[Case]) -> dict[str, Withdrawn]:
    """Return what keeps each of these items out of service, by item; those in service are left out."""
    by_id = {each.id: each for each in known}
    found: dict[str, Withdrawn] = {}
    for some in chunks(by_id, 500):
        fails = _latest_fails(connection, some)
        statement = sa.select(Withdrawal.__table__, Item.tag_number.label("tag")).join(
            Item, Item.id == Withdrawal.item_id
        )
        for row in connection.execute(statement.where(Withdrawal.item_id.in_(some), Withdrawal.ended_on.is_(None))):
            found[row.item_id] = withdrawn(row.tag, row, _needed(row, by_id[row.item_id], fails))
    return found


def withdrawn(tag: str, found: Withdrawal | Row[Any], still: tuple[Duty, ...]) -> Withdrawn:
    """Return an open withdrawal in the words of the trade."""
    return Withdrawn(
        item_id=found.item_id,
        tag=tag,
        since=found.withdrawn_on,
        reason=WithdrawalReason(found.reason),
        detail=found.detail,
        tag_number=found.tag_number,
        needed=still,
        record_id=found.record_id,
    )


def _needed(found: Withdrawal | Row[Any], known: Case, fails: dict[str, Moment]) -> tuple[Duty, ...]:
    since = moment(found.withdrawn_on, found.withdrawn_at)
    if known.id in fails:
        since = later(since, fails[known.id])
    return still_needed(since, WithdrawalReason(found.reason), known.duties(), known.passed)


def _latest_fails(connection: Connection, item_ids: Collection[str]) -> dict[str, Moment]:
    """Return when each item failed last."""
    failed = sa.select(Record.item_id, Record.tested_on, Record.tested_at).where(
        Record.item_id.in_(item_ids), Record.verdict == Result.FAIL.value, stands(Record.id)
    )
    latest: dict[str, Moment] = {}
    for item_id, on, at in connection.execute(failed):
        fail = moment(on, at)
        latest[item_id] = later(latest.get(item_id, fail), fail)
    return latest
