"""Taking items out of service, and the two ways in which that ends: a complete pass, or removal for good."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, time

import sqlalchemy as sa

from register.domain.explain import day_words
from register.domain.records import Judgement, TestRecord
from register.domain.standing import Moment
from register.domain.text import LONGEST_TAG, clean_text
from register.domain.words import Duty, Result, WithdrawalReason
from register.errors import Refused
from register.services.cases import Case, case
from register.services.out_of_service import Withdrawn, needed, withdrawn
from register.services.photos import add_photo
from register.services.projection import IN_SERVICE, REMOVED, WITHDRAWN, redate
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Item, Withdrawal
from register.store.types import new_key

REMOVED_FOR_GOOD = "removed"
RETURNED = "returned"
CORRECTED = "corrected"
"""The record that had taken the item out of service was wrong."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a record did to an item's withdrawal. `still_needed` are the duties that keep the item out."""

    opened: bool = False
    ended: bool = False
    still_needed: tuple[Duty, ...] = ()


def withdraw(
    change: Change,
    item_id: str,
    *,
    reason: WithdrawalReason,
    tag_number: str,
    detail: str = "",
    told: str = "",
    at: time | None = None,
    photo: bytes = b"",
) -> Withdrawn:
    """Take an item out of service today, or complete a withdrawal that a failed test opened.

    For one that is out already, the number becomes that of another tag in the first one's place. Refused for a removed
    item, without an out-of-service tag number, where another reason is on record already, and for a photo that is no
    picture.
    """
    item = change.session.get_one(Item, item_id)
    if item.state == REMOVED:
        raise Refused(f"{item.tag_number} was removed for good, so it can't be taken out of service. Check the tag.")
    number = _number(change, item, tag_number)
    known = case(change.session.connection(), item_id)
    found = open_withdrawal(change, item_id)
    if reason is WithdrawalReason.OVERDUE and found is None:
        _check_overdue(item, known, change.today)
    if found is None:
        found = _begin(change, item, Moment(change.today, at), reason)
    elif found.reason != reason.value and found.tag_number:
        raise Refused(
            f"{item.tag_number} is out of service already: {found.reason} since {day_words(found.withdrawn_on)},"
            f" tag {found.tag_number}. It stays so until it passes or is removed for good."
        )
    tag_before = found.tag_number if found.tag_number != number else ""
    _complete(change, found, number, clean_text(detail), clean_text(told))
    if photo:
        add_photo(change, found.id, photo)
    redate(change, [item_id])
    now = withdrawn(item.tag_number, found, needed(change.session.connection(), found, known))
    return replace(now, tag_before=tag_before)


def _complete(change: Change, found: Withdrawal, number: str, detail: str, told: str) -> None:
    """Write on a withdrawal what is known of it now; what was said before and is not said again stays."""
    before = {"tag_number": found.tag_number, "reason": found.reason, "detail": found.detail, "told": found.told}
    found.tag_number, found.detail, found.told = number, detail or found.detail, told or found.told
    now = {"tag_number": number, "detail": found.detail, "told": found.told}
    if any(before[key] != value for key, value in now.items()):
        audit.log(change, Name.WITHDRAWAL_CHANGE, found.id, item=found.item_id, before=before, **now)


def _number(change: Change, item: Item, tag_number: str) -> str:
    """Return the number of an out-of-service tag; refused without one, and for one that another item carries."""
    number = clean_text(tag_number)
    if not number:
        raise Refused(f"The withdrawal of {item.tag_number} needs the number of its out-of-service tag. Give it.")
    if len(number) > LONGEST_TAG:
        raise Refused(
            f"The number of the out-of-service tag has {len(number)} characters; it has at most {LONGEST_TAG}. Check"
            " that only the tag was scanned."
        )
    carried = (
        sa.select(Item.tag_number)
        .join(Withdrawal, Withdrawal.item_id == Item.id)
        .where(
            sa.func.lower(Withdrawal.tag_number) == number.lower(),
            Withdrawal.ended_on.is_(None),
            Withdrawal.item_id != item.id,
        )
    )
    other = change.session.scalar(carried)
    if other is not None:
        raise Refused(f"The out-of-service tag {number} is on {other} already. Give the number of the tag you fixed.")
    return number


def remove(change: Change, item_id: str, *, reason: str) -> str:
    """Take an item off the register for good, keeping its history; return its tag. Refused without a reason."""
    item = change.session.get_one(Item, item_id)
    if item.state == REMOVED:
        raise Refused(f"{item.tag_number} was removed for good already. Check the tag.")
    if not clean_text(reason):
        raise Refused(f"The removal of {item.tag_number} needs a reason, such as disposed of or scrapped.")
    found = open_withdrawal(change, item_id)
    if found is not None:
        _end(change, found, change.today, REMOVED_FOR_GOOD)
    item.state, item.removed_on, item.removal_reason = REMOVED, change.today, clean_text(reason)
    audit.log(change, Name.ITEM_REMOVE, item_id, reason=item.removal_reason, on=change.today)
    redate(change, [item_id])
    return item.tag_number


def follow(change: Change, item_id: str, record_id: str, record: TestRecord, judgement: Judgement) -> Outcome:
    """Do what a new record asks: a fail takes the item out of service, complete passes bring it back.

    Late entries change nothing: a fail older than a pass of the same duties is history.
    """
    item = change.session.get_one(Item, item_id)
    connection = change.session.connection()
    known = case(connection, item_id)
    found = open_withdrawal(change, item_id)
    moment = Moment(record.tested_on, record.tested_at)
    if judgement.verdict is Result.FAIL and not _passed_since(known, record, moment):
        failed = fail(change, item, found, moment, why=judgement.why, record_id=record_id)
        redate(change, [item_id])
        return Outcome(opened=found is None, still_needed=needed(connection, failed, known))
    if found is None:
        return Outcome()
    still = needed(connection, found, known)
    if judgement.verdict is not Result.PASS or still:
        return Outcome(still_needed=still)
    give_back(change, item, found, record.tested_on, record_id)
    redate(change, [item_id])
    return Outcome(ended=True)


def found_out(change: Change, item_ids: Iterable[str]) -> None:
    """Keep out of service what an earlier register says is out, where no failed test on record explains it."""
    taken = []
    for item_id in item_ids:
        item = change.session.get_one(Item, item_id)
        if item.state == IN_SERVICE:
            said = "Out of service in the earlier register, which does not say why."
            _begin(change, item, Moment(change.today), WithdrawalReason.DAMAGED, detail=said)
            taken.append(item_id)
    redate(change, taken)


def _passed_since(known: Case, record: TestRecord, moment: Moment) -> bool:
    passed = [known.passed.get(duty) for duty in record.duties]
    return bool(passed) and all(each is not None and each.after(moment) for each in passed)


def fail(
    change: Change, item: Item, found: Withdrawal | None, moment: Moment, *, why: str, record_id: str
) -> Withdrawal:
    """Take a failed item out of service; one that is out for being overdue is out for the failure from now on."""
    if found is None:
        return _begin(change, item, moment, WithdrawalReason.FAILED, detail=why, record_id=record_id)
    if found.reason == WithdrawalReason.OVERDUE.value:
        before = {"reason": found.reason, "detail": found.detail}
        found.reason, found.detail, found.record_id = WithdrawalReason.FAILED.value, why, record_id
        audit.log(
            change, Name.WITHDRAWAL_CHANGE, found.id, item=item.id, before=before, reason=found.reason, detail=why,
            record=record_id,
        )  # fmt: skip
    return found


def give_back(change: Change, item: Item, found: Withdrawal, on: date, record_id: str) -> None:
    """Bring an item back into service by the record that completed what was needed."""
    _end(change, found, on, RETURNED, record_id)
    item.state = IN_SERVICE


def call_off(change: Change, item: Item, found: Withdrawal) -> None:
    """Bring an item back into service because the record that had taken it out was wrong."""
    _end(change, found, change.today, CORRECTED)
    item.state = IN_SERVICE


def reopen(change: Change, item: Item, found: Withdrawal) -> None:
    """Take an item out of service again because the record that had brought it back was wrong."""
    before = {"ended_on": found.ended_on, "end": found.end, "record": found.end_record_id}
    found.ended_on, found.end, found.end_record_id = None, "", None
    item.state = WITHDRAWN
    audit.log(change, Name.WITHDRAWAL_CHANGE, found.id, item=item.id, before=before, ended_on=None)


def open_withdrawal(change: Change, item_id: str) -> Withdrawal | None:
    """Return the withdrawal that keeps an item out of service; None where it isn't."""
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


def _end(change: Change, found: Withdrawal, on: date, end: str, record_id: str | None = None) -> None:
    found.ended_on, found.end, found.end_record_id = on, end, record_id
    audit.log(change, Name.WITHDRAWAL_END, found.id, item=found.item_id, on=on, end=end, record=record_id)


def _check_overdue(item: Item, known: Case, today: date) -> None:
    """Refuse the reason overdue for an item that isn't."""
    overdue = any(
        duty.contractors and (duty.first_needed or (duty.due is not None and duty.due < today))
        for duty in known.duties()
    )
    if not overdue:
        raise Refused(
            f"{item.tag_number} is not overdue on {day_words(today)}. Give the reason failed or damaged, or leave it in"
            " service."
        )
