"""What somebody does, not a test: takes an item out of service, or off the register for good."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, time

import sqlalchemy as sa

from register.domain.explain import day_words
from register.domain.standing import Moment
from register.domain.text import LONGEST_TAG, clean_text
from register.domain.words import WithdrawalReason
from register.errors import Refused
from register.services.cases import Case, case
from register.services.photos import add_photo
from register.services.projection import IN_SERVICE, REMOVED, redate
from register.services.withdrawals.kept import REMOVED_FOR_GOOD, begin, end, open_withdrawal
from register.services.withdrawals.needed import Withdrawn, needed, withdrawn
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Item, Withdrawal


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
        found = begin(change, item, Moment(change.today, at), reason)
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


def remove(change: Change, item_id: str, *, reason: str) -> str:
    """Take an item off the register for good, keeping its history; return its tag. Refused without a reason."""
    item = change.session.get_one(Item, item_id)
    if item.state == REMOVED:
        raise Refused(f"{item.tag_number} was removed for good already. Check the tag.")
    if not clean_text(reason):
        raise Refused(f"The removal of {item.tag_number} needs a reason, such as disposed of or scrapped.")
    found = open_withdrawal(change, item_id)
    if found is not None:
        end(change, found, change.today, REMOVED_FOR_GOOD)
    item.state, item.removed_on, item.removal_reason = REMOVED, change.today, clean_text(reason)
    audit.log(change, Name.ITEM_REMOVE, item_id, reason=item.removal_reason, on=change.today)
    redate(change, [item_id])
    return item.tag_number


def found_out(change: Change, item_ids: Iterable[str]) -> None:
    """Keep out of service what an earlier register says is out, where no failed test on record explains it."""
    taken = []
    for item_id in item_ids:
        item = change.session.get_one(Item, item_id)
        if item.state == IN_SERVICE:
            said = "Out of service in the earlier register, which does not say why."
            begin(change, item, Moment(change.today), WithdrawalReason.DAMAGED, detail=said)
            taken.append(item_id)
    redate(change, taken)
