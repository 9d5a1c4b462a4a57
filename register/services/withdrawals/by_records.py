"""What records do to withdrawals: a fail takes an item out of service, complete passes bring it back.

Where a record turns out to be wrong, what it did is taken back.
"""

from dataclasses import dataclass
from datetime import date

from register.domain.records import Judgement, TestRecord
from register.domain.standing import Moment
from register.domain.words import Duty, Result, WithdrawalReason
from register.services.cases import Case, case
from register.services.projection import IN_SERVICE, WITHDRAWN, redate
from register.services.withdrawals.kept import CORRECTED, RETURNED, begin, end, open_withdrawal
from register.services.withdrawals.needed import needed
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Item, Withdrawal


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a record did to an item's withdrawal. `still_needed` are the duties that keep the item out."""

    opened: bool = False
    ended: bool = False
    still_needed: tuple[Duty, ...] = ()


def follow_record(change: Change, item_id: str, record_id: str, record: TestRecord, judgement: Judgement) -> Outcome:
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


def _passed_since(known: Case, record: TestRecord, moment: Moment) -> bool:
    passed = [known.passed.get(duty) for duty in record.duties]
    return bool(passed) and all(each is not None and each.after(moment) for each in passed)


def fail(
    change: Change, item: Item, found: Withdrawal | None, moment: Moment, *, why: str, record_id: str
) -> Withdrawal:
    """Take a failed item out of service; one that is out for being overdue is out for the failure from now on."""
    if found is None:
        return begin(change, item, moment, WithdrawalReason.FAILED, detail=why, record_id=record_id)
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
    end(change, found, on, RETURNED, record_id)
    item.state = IN_SERVICE


def call_off(change: Change, item: Item, found: Withdrawal) -> None:
    """Bring an item back into service because the record that had taken it out was wrong."""
    end(change, found, change.today, CORRECTED)
    item.state = IN_SERVICE


def reopen(change: Change, item: Item, found: Withdrawal) -> None:
    """Take an item out of service again because the record that had brought it back was wrong."""
    before = {"ended_on": found.ended_on, "end": found.end, "record": found.end_record_id}
    found.ended_on, found.end, found.end_record_id = None, "", None
    item.state = WITHDRAWN
    audit.log(change, Name.WITHDRAWAL_CHANGE, found.id, item=item.id, before=before, ended_on=None)
