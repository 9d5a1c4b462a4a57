"""Duties without readings: somebody says that it was done."""

from dataclasses import dataclass
from datetime import date

import sqlalchemy as sa

from register.domain.words import CONTRACTORS_DUTIES, Duty, spoken
from register.errors import Refused
from register.services.cases import case
from register.services.projection import REMOVED, redate
from register.services.recording import check_day
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Item, Mark


@dataclass(frozen=True, slots=True)
class Marked:
    """What a report did: whether it was new, and when the duty falls due next (None: only on occasions)."""

    tag: str
    duty: Duty
    done_on: date
    known: bool
    due: date | None


def mark_done(change: Change, item_id: str, duty: Duty, on: date, *, old_confirmed: bool = False) -> Marked:
    """Note that a user's duty was done on a day. The same report twice changes nothing.

    Refused for the contractor's duties, which need a test record, and for duties that the item does not have.
    """
    item = change.session.get_one(Item, item_id)
    if duty in CONTRACTORS_DUTIES:
        raise Refused(
            f"The {spoken(duty)} of {item.tag_number} needs a test record with what was seen and measured. Record it"
            " instead of marking it done."
        )
    if item.state == REMOVED:
        raise Refused(f"{item.tag_number} was removed for good, so nothing is due on it. Check the tag.")
    check_day(on, change.today, old_confirmed=old_confirmed)
    duties = {each.duty: each for each in case(change.session.connection(), item_id).duties()}
    if duty not in duties or duties[duty].terms.relieved:
        named = ", ".join(each.value for each in duties) or "none"
        raise Refused(f"{item.tag_number} has no {spoken(duty)} to do. Its duties are: {named}.")
    same = sa.select(Mark.id).where(Mark.item_id == item_id, Mark.duty == duty.value, Mark.done_on == on)
    known = change.session.scalar(same) is not None
    if not known:
        mark = Mark(item_id=item_id, duty=duty.value, done_on=on, told_by=change.actor)
        change.session.add(mark)
        change.session.flush()
        audit.log(change, Name.MARK_ADD, mark.id, item=item_id, duty=duty.value, on=on)
        redate(change, [item_id])
    after = {each.duty: each for each in case(change.session.connection(), item_id).duties()}
    return Marked(item.tag_number, duty, on, known, after[duty].due)
