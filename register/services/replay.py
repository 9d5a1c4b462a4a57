"""Working out from an item's whole history, as it is taken in, whether it is out of service or came back."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.standing import Moment, still_needed
from register.domain.words import Duty, Result, WithdrawalReason
from register.services.cases import Case, cases
from register.services.out_of_service import later, moment
from register.services.projection import REMOVED, redate
from register.services.withdrawals import fail, give_back, open_withdrawal
from register.store.bulk import chunks
from register.store.engine import Change
from register.store.tables import Item, Record, RecordDuty, Withdrawal


@dataclass(frozen=True, slots=True)
class _Past:
    id: str
    moment: Moment
    verdict: str
    why: str
    duties: tuple[Duty, ...]


def replay(change: Change, item_ids: Iterable[str]) -> None:
    """Work out, from the records of items that were taken in, which are out of service and which came back."""
    connection = change.session.connection()
    ids = [each for some in chunks(dict.fromkeys(item_ids), 500) for each in _concerned(connection, some)]
    for known in cases(connection, ids):
        _replay(change, known)
    redate(change, ids)


def _concerned(connection: Connection, item_ids: list[str]) -> Iterable[str]:
    """Return those of the items that ever failed or are out of service."""
    failed = sa.select(Record.item_id).where(Record.item_id.in_(item_ids), Record.verdict == Result.FAIL.value)
    out = sa.select(Withdrawal.item_id).where(Withdrawal.item_id.in_(item_ids), Withdrawal.ended_on.is_(None))
    return connection.execute(sa.union(failed, out)).scalars()


def _replay(change: Change, known: Case) -> None:
    item = change.session.get_one(Item, known.id)
    if item.state == REMOVED:
        return
    found = open_withdrawal(change, known.id)
    since = _start(change, known.id, found)
    passed: dict[Duty, Moment] = {}
    for record in _records_since(change, known.id, since):
        if record.verdict == Result.FAIL:
            since = record.moment if found is None or since is None else later(since, record.moment)
            passed = {}
            found = fail(change, item, found, record.moment, why=record.why, record_id=record.id)
        elif record.verdict == Result.PASS and found is not None and since is not None:
            passed |= dict.fromkeys(record.duties, record.moment)
            if not still_needed(since, WithdrawalReason(found.reason), known.duties(), passed):
                give_back(change, item, found, record.moment.on, record.id)
                found = None


def _start(change: Change, item_id: str, found: Withdrawal | None) -> Moment | None:
    """Return the moment up to which it is settled how the item stands: its open withdrawal, or its last one's end."""
    if found is not None:
        return moment(found.withdrawn_on, found.withdrawn_at)
    ended = (
        sa.select(Withdrawal.ended_on, Record.tested_at)
        .outerjoin(Record, Record.id == Withdrawal.end_record_id)
        .where(Withdrawal.item_id == item_id)
        .order_by(Withdrawal.ended_on.desc(), Record.tested_at.desc())
    )
    last = change.session.execute(ended).first()
    return None if last is None else moment(last.ended_on, last.tested_at)


def _records_since(change: Change, item_id: str, since: Moment | None) -> list[_Past]:
    """Return the item's records that are not surely before a moment, in order of time.

    Of the same moment, as far as it is known, passes come before fails: the worse then decides.
    """
    statement = sa.select(Record).where(Record.item_id == item_id)
    if since is not None:
        statement = statement.where(Record.tested_on >= since.on)
    failed = sa.case((Record.verdict == Result.FAIL.value, 1), else_=0)
    rows = change.session.scalars(
        statement.order_by(Record.tested_on, Record.tested_at.is_not(None), Record.tested_at, failed, Record.id)
    )
    duties: dict[str, list[Duty]] = defaultdict(list)
    for record_id, duty in change.session.execute(
        sa.select(RecordDuty.record_id, RecordDuty.duty).where(RecordDuty.item_id == item_id)
    ):
        duties[record_id].append(Duty(duty))
    past = [
        _Past(row.id, moment(row.tested_on, row.tested_at), row.verdict, row.why, tuple(duties[row.id])) for row in rows
    ]
    return [each for each in past if since is None or not since.after(each.moment)]
