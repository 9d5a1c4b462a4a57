"""Working out from an item's whole history, as it is taken in, whether it is out of service or came back."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.standing import Moment, still_needed
from register.domain.words import Duty, Result, WithdrawalReason
from register.services.cases import AT_ONCE, Case, cases
from register.services.projection import REMOVED, redate
from register.services.withdrawals.by_records import fail, give_back
from register.services.withdrawals.kept import CORRECTED
from register.services.withdrawals.moments import later, moment
from register.store import audit
from register.store.amended import stands
from register.store.bulk import Among, chunks, one_of, rows_of
from register.store.engine import Change
from register.store.tables import Item, Record, RecordDuty, Withdrawal


@dataclass(frozen=True, slots=True)
class _Past:
    id: str
    moment: Moment
    verdict: str
    why: str
    duties: tuple[Duty, ...]


@dataclass(slots=True)
class _History:
    """One item with its open withdrawal, the moment at which its last one ended, and its records in order of time."""

    item: Item
    found: Withdrawal | None = None
    ended: Moment | None = None
    records: list[_Past] = field(default_factory=list)


def replay(change: Change, item_ids: Iterable[str]) -> None:
    """Work out, from the records of items that were taken in, which are out of service and which came back."""
    connection = change.session.connection()
    ids = [each for some in chunks(sorted(set(item_ids)), AT_ONCE) for each in _concerned(connection, some)]
    for some in chunks(ids, AT_ONCE):
        histories = _histories(change, one_of(connection, some))
        with audit.together(change):
            for known in cases(connection, some):
                _replay(change, known, histories[known.id])
    redate(change, ids)


def _concerned(connection: Connection, item_ids: list[str]) -> Iterable[str]:
    """Return those of the items that ever failed or are out of service."""
    among = one_of(connection, item_ids)
    failed = sa.select(Record.item_id).where(
        among(Record.item_id), Record.verdict == Result.FAIL.value, stands(Record.id)
    )
    out = sa.select(Withdrawal.item_id).where(among(Withdrawal.item_id), Withdrawal.ended_on.is_(None))
    return connection.execute(sa.union(failed, out)).scalars()


def _replay(change: Change, known: Case, history: _History) -> None:
    item, found = history.item, history.found
    if item.state == REMOVED:
        return
    since = history.ended if found is None else moment(found.withdrawn_on, found.withdrawn_at)
    passed: dict[Duty, Moment] = {}
    for record in [each for each in history.records if since is None or not since.after(each.moment)]:
        if record.verdict == Result.FAIL:
            since = record.moment if found is None or since is None else later(since, record.moment)
            passed = {}
            found = fail(change, item, found, record.moment, why=record.why, record_id=record.id)
        elif record.verdict == Result.PASS and found is not None and since is not None:
            passed |= dict.fromkeys(record.duties, record.moment)
            if not still_needed(since, WithdrawalReason(found.reason), known.duties(), passed):
                give_back(change, item, found, record.moment.on, record.id)
                found = None


def _histories(change: Change, among: Among) -> dict[str, _History]:
    """Return the histories of some items by their ids, in a few questions however many there are."""
    session = change.session
    found = {item.id: _History(item) for item in session.scalars(sa.select(Item).where(among(Item.id)))}
    mine = among(Withdrawal.item_id)
    for withdrawal in session.scalars(sa.select(Withdrawal).where(mine, Withdrawal.ended_on.is_(None))):
        found[withdrawal.item_id].found = withdrawal
    ends = (
        sa.select(Withdrawal.item_id, Withdrawal.ended_on, Record.tested_at)
        .outerjoin(Record, Record.id == Withdrawal.end_record_id)
        .where(mine, Withdrawal.ended_on.is_not(None), Withdrawal.end != CORRECTED)
        .order_by(sa.nulls_first(Withdrawal.ended_on), sa.nulls_first(Record.tested_at))
    )
    for item_id, ended_on, at in rows_of(session.connection(), ends):
        found[item_id].ended = moment(ended_on, at)
    for item_id, record in _records(session.connection(), among):
        found[item_id].records.append(record)
    return found


def _records(connection: Connection, among: Among) -> Iterator[tuple[str, _Past]]:
    """Yield the records of some items with the items' ids, in order of time.

    Of the same moment, as far as it is known, passes come before fails: the worse then decides.
    """
    duties: dict[str, list[Duty]] = defaultdict(list)
    kept = sa.select(RecordDuty.record_id, RecordDuty.duty).where(among(RecordDuty.item_id))
    for record_id, duty in rows_of(connection, kept):
        duties[record_id].append(Duty(duty))
    columns = (Record.item_id, Record.id, Record.tested_on, Record.tested_at, Record.verdict, Record.why)
    failed = sa.case((Record.verdict == Result.FAIL.value, 1), else_=0)
    order = (Record.tested_on, Record.tested_at.is_not(None), Record.tested_at, failed, Record.id)
    statement = sa.select(*columns).where(among(Record.item_id), stands(Record.id)).order_by(*order)
    for item_id, key, on, at, verdict, why in rows_of(connection, statement):
        yield item_id, _Past(key, moment(on, at), verdict, why, tuple(duties[key]))
