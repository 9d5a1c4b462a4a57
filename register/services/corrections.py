"""Correcting records: a wrong one is kept as it was but counts no more, and what followed from it is worked out anew.

Which items are out of service then follows from the records that are left, in whatever order corrections are made.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa

from register.domain.explain import day_words
from register.domain.text import clean_text
from register.domain.words import Duty, WithdrawalReason
from register.errors import Refused
from register.services.cases import case
from register.services.projection import REMOVED, WITHDRAWN, redate
from register.services.recording import Recorded, RecordEntry, record_tests
from register.services.replay import replay
from register.services.withdrawals.by_records import call_off, reopen
from register.services.withdrawals.kept import RETURNED, open_withdrawal
from register.store import audit
from register.store.amended import Correction, stands
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Event, Item, Record, Withdrawal
from register.store.types import instant_text


@dataclass(frozen=True, slots=True)
class Corrected:
    """What a correction did. `recorded` is what became of the right record, None where the wrong one was only voided.

    `dates` are the contractor's duties of the wrong record's item afterwards; `out_of_service` says where it stands.
    """

    record_id: str
    tag: str
    reason: str
    recorded: Recorded | None
    dates: tuple[tuple[Duty, date | None], ...]
    out_of_service: bool


def correct_record(change: Change, record_id: str, entry: RecordEntry, reason: str) -> Corrected:
    """Put a right record in the place of a wrong one, which stays to be seen.

    The right one may be of another item. Refused without a reason, where the wrong one was corrected before, and
    where the right one is in the register already.
    """
    wrong = _wrong(change, record_id)
    note = _supersede(change, wrong, reason)
    tags = _settle(change, wrong)
    recorded = record_tests(change, [entry])[0]
    if recorded.known:
        raise Refused(
            f"The right record of {recorded.tag} is in the register already, or has the wrong one's id. Void the wrong"
            " one, or give the right one an id of its own."
        )
    note.new_record_id = recorded.id
    return _finish(change, wrong, note, tags, recorded)


def void_record(change: Change, record_id: str, reason: str) -> Corrected:
    """Let a wrong record count no more, without another in its place, such as one made on the wrong item.

    Refused without a reason, and where it was corrected before.
    """
    wrong = _wrong(change, record_id)
    note = _supersede(change, wrong, reason)
    return _finish(change, wrong, note, _settle(change, wrong), None)


def _wrong(change: Change, record_id: str) -> Record:
    record_id = clean_text(record_id).lower()
    wrong = change.session.get(Record, record_id)
    if wrong is None:
        raise Refused(f"There is no record {record_id} in this register. Look up its id with: why TAG.")
    before = change.session.scalar(sa.select(Correction).where(Correction.record_id == record_id))
    if before is not None:
        raise Refused(
            f"That record was corrected on {day_words(before.made_at.date())} by {before.made_by} already:"
            f" {before.reason.rstrip('.')}. Correct the record that stands in its place."
        )
    return wrong


def _supersede(change: Change, wrong: Record, reason: str) -> Correction:
    said = clean_text(reason)
    if not said:
        raise Refused("A correction needs a reason, such as: typed 28.4 for 284.")
    note = Correction(record_id=wrong.id, reason=said, made_by=change.actor, made_at=change.at)
    change.session.add(note)
    change.session.flush()
    return note


def _finish(
    change: Change, wrong: Record, note: Correction, tags: "_OffTags | None", recorded: Recorded | None
) -> Corrected:
    change.session.flush()
    audit.log(
        change, Name.RECORD_CORRECT, wrong.id, item=wrong.item_id, reason=note.reason, new_record=note.new_record_id
    )
    if tags is not None:
        _put_on_again(change, wrong.item_id, tags)
    item = change.session.get_one(Item, wrong.item_id)
    known = case(change.session.connection(), wrong.item_id)
    dates = tuple((duty.duty, duty.due) for duty in known.duties() if duty.contractors and not duty.terms.relieved)
    return Corrected(wrong.id, item.tag_number, note.reason, recorded, dates, item.state == WITHDRAWN)


# --- what followed from the wrong record ---


@dataclass(frozen=True, slots=True)
class _OffTags:
    """The out-of-service tag of a withdrawal that was called off, and who was told of it."""

    number: str
    told: str


def _settle(change: Change, wrong: Record) -> _OffTags | None:
    """Work out anew what follows from the records of an item that are left."""
    item = change.session.get_one(Item, wrong.item_id)
    _not_found_again(change, item, wrong)
    if item.state == REMOVED:
        redate(change, [item.id])
        return None
    tags = _call_off_unfounded(change, item)
    redate(change, [item.id])
    replay(change, [item.id])
    while (ended := _wrongly_ended(change, item.id)) is not None:
        reopen(change, item, ended)
        _call_off_unfounded(change, item)
        replay(change, [item.id])
    redate(change, [item.id])
    return tags


def _call_off_unfounded(change: Change, item: Item) -> _OffTags | None:
    """End the withdrawal that rests on a corrected record, or give it the reason back that it had before."""
    found = open_withdrawal(change, item.id)
    if found is None or found.record_id is None or not _is_corrected(change, found.record_id):
        return None
    before = _reason_before(change, found)
    if before is None:
        tags = _OffTags(found.tag_number, found.told)
        call_off(change, item, found)
        return tags
    found.reason, found.detail, found.record_id = before["reason"], before["detail"], None
    audit.log(
        change, Name.WITHDRAWAL_CHANGE, found.id, item=item.id, before={"reason": WithdrawalReason.FAILED.value},
        reason=found.reason, detail=found.detail, record=None,
    )  # fmt: skip
    return None


def _is_corrected(change: Change, record_id: str) -> bool:
    return change.session.scalar(sa.select(Correction.id).where(Correction.record_id == record_id)) is not None


def _reason_before(change: Change, found: Withdrawal) -> dict[str, Any] | None:
    """Return the reason that a withdrawal had before a failed test became its reason; None where that opened it."""
    for said in _said_of(change, found.id, Name.WITHDRAWAL_CHANGE):
        if said.get("record") == found.record_id and "reason" in said.get("before", {}):
            return dict(said["before"])
    return None


def _wrongly_ended(change: Change, item_id: str) -> Withdrawal | None:
    """Return the latest withdrawal of an item in service that a corrected record ended."""
    if open_withdrawal(change, item_id) is not None:
        return None
    return change.session.scalars(
        sa.select(Withdrawal)
        .join(Correction, Correction.record_id == Withdrawal.end_record_id)
        .where(Withdrawal.item_id == item_id, Withdrawal.end == RETURNED)
        .order_by(Withdrawal.withdrawn_on.desc(), sa.nulls_last(Withdrawal.withdrawn_at.desc()), Withdrawal.id.desc())
        .limit(1)
    ).one_or_none()


def _put_on_again(change: Change, item_id: str, tags: _OffTags) -> None:
    """Note on the withdrawal that took the place of one called off which tag the item still has on it."""
    found = open_withdrawal(change, item_id)
    if found is None or found.tag_number or not tags.number:
        return
    found.tag_number, found.told = tags.number, tags.told
    audit.log(
        change, Name.WITHDRAWAL_CHANGE, found.id, item=item_id, before={"tag_number": "", "told": ""},
        tag_number=found.tag_number, detail=found.detail, told=found.told,
    )  # fmt: skip


def _not_found_again(change: Change, item: Item, wrong: Record) -> None:
    """Mark an item as not found again where the wrong record alone said that it was there."""
    if item.not_found_on is not None:
        return
    at = instant_text(wrong.recorded_at)
    for said in _said_of(change, item.id, Name.ITEM_CHANGE, at):
        if said.get("field") == "not_found_on" and said.get("after") is None:
            missed = date.fromisoformat(said["before"])
            if not _seen_since(change, item.id, missed):
                item.not_found_on = missed
                audit.log(change, Name.ITEM_CHANGE, item.id, field="not_found_on", before=None, after=missed)


def _seen_since(change: Change, item_id: str, day: date) -> bool:
    seen = sa.select(Record.id).where(Record.item_id == item_id, Record.tested_on >= day, stands(Record.id))
    return change.session.scalar(seen.limit(1)) is not None


def _said_of(change: Change, subject: str, name: Name, at: str | None = None) -> Iterable[dict[str, Any]]:
    """Return the facts of the events of one name about one thing, the latest first."""
    statement = sa.select(Event.data).where(Event.subject == subject, Event.name == name.value)
    if at is not None:
        statement = statement.where(Event.at == at)
    return [json.loads(data) for data in change.session.scalars(statement.order_by(Event.seq.desc()))]
