"""Repairs: who did what on which day, after which every contractor's duty must pass anew."""

import json
from dataclasses import dataclass
from datetime import date

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.domain.text import clean_text
from register.domain.words import Condition
from register.errors import Refused
from register.services.conditions import change_condition
from register.services.withdrawals.kept import open_withdrawal
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Event, Item


@dataclass(frozen=True, slots=True)
class Repair:
    """A repair that somebody reported: who did it, on which day, and what was done."""

    on: date
    by: str
    what: str


def repaired(change: Change, item_id: str, repair: Repair) -> Repair:
    """Note a repair; the item must then pass every contractor's duty anew. Returns it with clean text.

    It does not bring the item back into service. Refused without who and what, for a day before the item was
    withdrawn, for days that can't be, and for a removed item.
    """
    item = change.session.get_one(Item, item_id)
    kept = Repair(repair.on, clean_text(repair.by), clean_text(repair.what))
    if not kept.by or not kept.what:
        raise Refused(f"The repair of {item.tag_number} needs who did it and what was done. Give both.")
    out = open_withdrawal(change, item_id)
    if out is not None and kept.on < out.withdrawn_on:
        raise Refused(
            f"{item.tag_number} was taken out of service on {day_words(out.withdrawn_on)}, after the repair of"
            f" {day_words(kept.on)}. Give the day of the repair that followed."
        )
    change_condition(change, item_id, Condition.REPAIRED, since=kept.on)
    audit.log(change, Name.ITEM_CHANGE, item_id, repair={"on": kept.on, "by": kept.by, "what": kept.what})
    return kept


def repairs(connection: Connection, item_id: str) -> tuple[Repair, ...]:
    """Return the repairs of an item that were reported, the latest report first."""
    said = connection.execute(
        sa.select(Event.data)
        .where(Event.subject == item_id, Event.name == Name.ITEM_CHANGE.value, Event.data.contains('"repair":'))
        .order_by(Event.seq.desc())
    ).scalars()
    facts = [json.loads(data)["repair"] for data in said]
    return tuple(Repair(date.fromisoformat(each["on"]), each["by"], each["what"]) for each in facts)
