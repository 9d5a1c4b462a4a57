"""Taking items out of service, and the two ways in which that ends: a complete pass, or removal for good."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, time

import sqlalchemy as sa
from sqlalchemy.engine import Connection
from sqlalchemy.orm import Session

from register.domain.records import Judgement, TestRecord
from register.domain.standing import Moment, still_needed
from register.domain.text import clean_text
from register.domain.words import Duty, Result, WithdrawalReason
from register.errors import Refused
from register.services.cases import Case, case, cases
from register.services.projection import IN_SERVICE, REMOVED, WITHDRAWN, redate
from register.store import audit
from register.store.audit import Name
from register.store.bulk import chunks
from register.store.engine import Change
from register.store.tables import Item, Record, RecordDuty, Withdrawal

REMOVED_FOR_GOOD = "removed"
RETURNED = "returned"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a record did to an item's withdrawal. `still_needed` are the duties that keep the item out."""

    opened: bool = False
    ended: bool = False
    still_needed: tuple[Duty, ...] = ()


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """An item out of service: since when, why, under which tag, and which duties bring it back."""

    item_id: str
    tag: str
    since: date
    reason: WithdrawalReason
    detail: str
    tag_number: str
    needed: tuple[Duty, ...]
    record_id: str | None = None


def withdraw(
    change: Change,
    item_id: str,
    *,
    reason: WithdrawalReason,
    tag_number: str,
    detail: str = "",
    told: str = "",
    at: time | None = None,
) -> Withdrawn:
    """Take an item out of service today, or complete a withdrawal that a failed test opened.

    Refused for a removed item, without an out-of-service tag number, or where another reason is on record already.
    """
    item = change.session.get_one(Item, item_id)
    number = clean_text(tag_number)
    if item.state == REMOVED:
        raise Refused(f"{item.tag_number} was removed for good already.")
    if not number:
        raise Refused(f"The withdrawal of {item.tag_number} needs the number of its out-of-service tag.")
    known = case(change.session.connection(), item_id)
    found = _open(change, item_id)
    if reason is WithdrawalReason.OVERDUE and found is None and not _overdue(known, change.today):
        raise Refused(
            f"{item.tag_number} is not overdue on {change.today.isoformat()}. Give the reason failed or damaged, or"
            " leave it in service."
        )
    if found is None:
        found = _begin(change, item, Moment(change.today, at), reason)
    elif found.reason != reason.value and found.tag_number:
        raise Refused(
            f"{item.tag_number} is out of service already: {found.reason} since {found.withdrawn_on.isoformat()},"
            f" tag {found.tag_number}."
        )
    before = {"tag_number": found.tag_number, "reason": found.reason, "detail": found.detail, "told": found.told}
    found.tag_number = number
    found.detail = clean_text(detail) or found.detail
    found.told = clean_text(told) or found.told
    audit.log(
        change, Name.WITHDRAWAL_CHANGE, found.id, item=item_id, before=before, tag_number=number, detail=found.detail,
        told=found.told,
    )  # fmt: skip
    redate(change, [item_id])
    return _told(item, found, known)


def remove(change: Change, item_id: str, *, reason: str) -> str:
    """Take an item off the register for good, keeping its history; return its tag. Refused without a reason."""
    item = change.session.get_one(Item, item_id)
    if item.state == REMOVED:
        raise Refused(f"{item.tag_number} was removed for good already.")
    if not clean_text(reason):
        raise Refused(f"The removal of {item.tag_number} needs a reason, such as disposed of or scrapped.")
    found = _open(change, item_id)
    if found is not None:
        _end(change, found, change.today, REMOVED_FOR_GOOD)
    item.state, item.removed_on, item.removal_reason = REMOVED, change.today, clean_text(reason)
    audit.log(change, Name.ITEM_REMOVE, item_id, reason=item.removal_reason, on=change.today)
    redate(change, [item_id])
    return item.tag_number


def follow(change: Change, item_id: str, record_id: str, record: TestRecord, judgement: Judgement) -> Outcome:
    """Do what a new record asks: a fail takes the item out of service, complete passes bring it back.

    Late entries change nothing: a fail older than a pass of the same duty is history.
    """
    item = change.session.get_one(Item, item_id)
    known = case(change.session.connection(), item_id)
    found = _open(change, item_id)
    moment = Moment(record.tested_on, record.tested_at)
    if judgement.verdict is Result.FAIL and found is None and not _passed_since(known, record, moment):
        begun = _begin(change, item, moment, WithdrawalReason.FAILED, detail=judgement.why, record_id=record_id)
        redate(change, [item_id])
        return Outcome(opened=True, still_needed=_needed(begun, known))
    if found is None:
        return Outcome()
    needed = _needed(found, known)
    if judgement.verdict is not Result.PASS or needed:
        return Outcome(still_needed=needed)
    _end(change, found, record.tested_on, RETURNED, record_id)
    item.state = IN_SERVICE
    redate(change, [item_id])
    return Outcome(ended=True)


def replay(change: Change, item_ids: Iterable[str]) -> None:
    """Work out, from the records of items that were taken in, which are out of service and which came back."""
    connection = change.session.connection()
    ids = [each for some in chunks(dict.fromkeys(item_ids), 500) for each in _concerned(connection, some)]
    for known in cases(connection, ids):
        _replay(change, known)
    redate(change, ids)


def _concerned(connection: Connection, item_ids: list[str]) -> Iterable[str]:
    """Return those of the items that ever failed or are out of service."""
    failed = sa.select(RecordDuty.item_id).where(
        RecordDuty.item_id.in_(item_ids), RecordDuty.verdict == Result.FAIL.value
    )
    out = sa.select(Withdrawal.item_id).where(Withdrawal.item_id.in_(item_ids), Withdrawal.ended_on.is_(None))
    return connection.execute(sa.union(failed, out)).scalars()


def _replay(change: Change, known: Case) -> None:
    item = change.session.get_one(Item, known.id)
    found = _open(change, known.id)
    passed: dict[Duty, Moment] = {}
    for record in _records_since(change, known.id, found):
        moment = Moment(record.tested_on, time.fromisoformat(record.tested_at) if record.tested_at else None)
        if record.verdict == Result.FAIL and found is None and item.state != REMOVED:
            found, passed = (
                _begin(change, item, moment, WithdrawalReason.FAILED, detail=record.why, record_id=record.id),
                {},
            )
        elif record.verdict == Result.PASS and found is not None:
            passed |= dict.fromkeys((Duty(duty) for duty in record.duties), moment)
            if not still_needed(moment_of(found), WithdrawalReason(found.reason), known.duties(), passed):
                _end(change, found, record.tested_on, RETURNED, record.id)
                item.state, found = IN_SERVICE, None


@dataclass(frozen=True, slots=True)
class _Past:
    id: str
    tested_on: date
    tested_at: str | None
    verdict: str
    why: str
    duties: tuple[str, ...]


def _records_since(change: Change, item_id: str, found: Withdrawal | None) -> list[_Past]:
    """Return the item's records in order of time: those after its open withdrawal, or after its last one ended."""
    last = change.session.scalar(sa.select(sa.func.max(Withdrawal.ended_on)).where(Withdrawal.item_id == item_id))
    since = found.withdrawn_on if found is not None else last
    statement = (
        sa.select(Record).where(Record.item_id == item_id).order_by(Record.tested_on, Record.tested_at, Record.id)
    )
    if since is not None:
        statement = statement.where(Record.tested_on > since)
    duties: dict[str, list[str]] = defaultdict(list)
    for record_id, duty in change.session.execute(
        sa.select(RecordDuty.record_id, RecordDuty.duty).where(RecordDuty.item_id == item_id)
    ):
        duties[record_id].append(duty)
    return [
        _Past(row.id, row.tested_on, row.tested_at, row.verdict, row.why, tuple(duties[row.id]))
        for row in change.session.scalars(statement)
    ]


def _passed_since(known: Case, record: TestRecord, moment: Moment) -> bool:
    passed = [known.passed.get(duty) for duty in record.duties]
    return bool(passed) and all(each is not None and each.after(moment) for each in passed)


def _open(change: Change, item_id: str) -> Withdrawal | None:
    return change.session.scalars(
        sa.select(Withdrawal).where(Withdrawal.item_id == item_id, Withdrawal.ended_on.is_(None))
    ).one_or_none()


def _begin(
    change: Change,
    item: Item,
    moment: Moment,
    reason: WithdrawalReason,
    *,
    detail: str = "",
    record_id: str | None = None,
) -> Withdrawal:
    begun = Withdrawal(
        item_id=item.id,
        withdrawn_on=moment.on,
        withdrawn_at=None if moment.at is None else moment.at.isoformat(),
        reason=reason.value,
        detail=detail,
        record_id=record_id,
    )
    change.session.add(begun)
    item.state = WITHDRAWN
    change.session.flush()
    audit.log(
        change, Name.WITHDRAWAL_OPEN, begun.id, item=item.id, on=moment.on, reason=reason.value, detail=detail,
        record=record_id,
    )  # fmt: skip
    return begun


def _end(change: Change, found: Withdrawal, on: date, end: str, record_id: str | None = None) -> None:
    found.ended_on, found.end, found.end_record_id = on, end, record_id
    audit.log(change, Name.WITHDRAWAL_END, found.id, item=found.item_id, on=on, end=end, record=record_id)


def moment_of(found: Withdrawal) -> Moment:
    """Return when an item was withdrawn."""
    return Moment(found.withdrawn_on, time.fromisoformat(found.withdrawn_at) if found.withdrawn_at else None)


def _needed(found: Withdrawal, known: Case) -> tuple[Duty, ...]:
    return still_needed(moment_of(found), WithdrawalReason(found.reason), known.duties(), known.passed)


def _overdue(known: Case, today: date) -> bool:
    return any(
        duty.contractors and (duty.first_needed or (duty.due is not None and duty.due < today))
        for duty in known.duties()
    )


def _told(item: Item, found: Withdrawal, known: Case) -> Withdrawn:
    return Withdrawn(
        item.id, item.tag_number, found.withdrawn_on, WithdrawalReason(found.reason), found.detail, found.tag_number,
        _needed(found, known), found.record_id,
    )  # fmt: skip


def withdrawn_now(connection: Connection, item_id: str, known: Case) -> Withdrawn | None:
    """Return the withdrawal that keeps an item out of service; None where it isn't."""
    session = Session(bind=connection)
    found = session.scalars(
        sa.select(Withdrawal).where(Withdrawal.item_id == item_id, Withdrawal.ended_on.is_(None))
    ).one_or_none()
    return None if found is None else _told(session.get_one(Item, item_id), found, known)
