"""What somebody needs to see before he takes an item out of service, and the next number on the roll of tags."""

import re
from dataclasses import dataclass
from datetime import date
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.words import Result, Standing, WithdrawalReason, spoken
from register.services.cords import CordAsked, cord_asked
from register.services.questions import item_answer
from register.store.tables import Owner, Site, Withdrawal

_NUMBER: Final = re.compile(r"(?P<before>.*?)(?P<digits>\d+)")


@dataclass(frozen=True, slots=True)
class Withdrawing:
    """An item that is about to be taken out of service.

    `failure` says why its last test failed, empty where it didn't; `overdue` what is overdue, in words. `present` is
    the reason for which it is out already, None where it is in service. `number` is the out-of-service tag that it
    has, or the next one; `given` tells which. `cord` tells whether its detachable cord may be an item of its own, and
    `next_number` is what that one's out-of-service tag would have.
    """

    item_id: str
    tag: str
    description: str
    place: str
    owner: str
    failure: str
    overdue: str
    present: WithdrawalReason | None
    number: str
    given: bool
    told: str
    note: str
    removed: bool
    cord: CordAsked
    next_number: str


def withdrawing(connection: Connection, item_id: str, today: date) -> Withdrawing:
    """Return what somebody needs to see before he takes an item out of service today."""
    answer = item_answer(connection, item_id, today)
    owner = connection.execute(
        sa.select(Owner.name).join(Site, Site.owner_id == Owner.id).where(Site.code == answer.site)
    ).scalar_one()
    told = connection.execute(
        sa.select(Withdrawal.told).where(Withdrawal.item_id == item_id, Withdrawal.ended_on.is_(None))
    ).scalar()
    last, out = answer.last, answer.withdrawn
    late = [
        spoken(duty.duty)
        for duty in answer.duties
        if duty.contractors and duty.standing in {Standing.OVERDUE, Standing.UNTESTED}
    ]
    number = out.tag_number if out is not None else ""
    following = next_number(connection)
    return Withdrawing(
        item_id=item_id, tag=answer.tag, description=answer.description, place=f"{answer.site_name}, {answer.area}",
        owner=owner, failure=last.why if last is not None and last.verdict is Result.FAIL else "",
        overdue=" and ".join(late), present=None if out is None else out.reason,
        number=number or following, given=bool(number), told=told or "",
        note=out.detail if out is not None and out.reason is WithdrawalReason.DAMAGED else "",
        removed=bool(answer.removed), cord=cord_asked(connection, item_id), next_number=following,
    )  # fmt: skip


def next_number(connection: Connection) -> str:
    """Return the number after the out-of-service tag used last; empty where none was used or it ends in no figure."""
    last = connection.execute(
        sa.select(Withdrawal.tag_number).where(Withdrawal.tag_number != "").order_by(Withdrawal.id.desc()).limit(1)
    ).scalar()
    match = _NUMBER.fullmatch(last or "")
    if match is None:
        return ""
    digits = match["digits"]
    return f"{match['before']}{int(digits) + 1:0{len(digits)}d}"
