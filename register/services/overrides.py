"""Another interval than the rulebook's for a site, an area or an item, by a documented decision."""

from dataclasses import dataclass
from datetime import date

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.domain.intervals import Interval
from register.domain.schedule import Scope
from register.domain.text import clean_text
from register.domain.words import Duty, spoken
from register.errors import Refused
from register.services.cases import cases
from register.services.projection import redate
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Area, Exposure, Item, Override, Site


@dataclass(frozen=True, slots=True)
class NewOverride:
    """A decision: for what, which duty, which interval, why, by whom, and when it is looked at again."""

    scope: Scope
    target_id: str
    duty: Duty
    interval: Interval
    reason: str
    approver: str
    approved_on: date
    review_on: date


def add_override(change: Change, new: NewOverride) -> str:
    """Put a decision in force and re-date the items it concerns; return its id.

    Refused without reason or approver, approved in the future, with a review date that has passed, or where it
    would lengthen an interval beyond a line that binds.
    """
    reason, approver = clean_text(new.reason), clean_text(new.approver)
    if not reason or not approver:
        raise Refused("Another interval needs its reason and the name of whoever approved it.")
    if new.approved_on > change.today:
        raise Refused(
            f"The day of approval, {day_words(new.approved_on)}, is in the future. Give the day it was approved."
        )
    if new.review_on < max(new.approved_on, change.today):
        raise Refused(f"The review date {day_words(new.review_on)} has passed. Give one still to come.")
    connection = change.session.connection()
    _check_target(change, new.scope, new.target_id)
    for known in cases(connection, items_of(connection, new.scope, new.target_id)):
        for each in known.duties():
            bound_by, longest = each.terms.bound_by, each.terms.longest
            if each.duty is not new.duty or each.until is not None or bound_by is None or longest is None:
                continue
            if longest < new.interval:
                raise Refused(
                    f"{spoken(new.duty).capitalize()} every {new.interval.words} is not possible: {longest.words} is a"
                    f" binding maximum by {bound_by.source.text}."
                )
    row = Override(
        scope=new.scope.name.lower(), target_id=new.target_id, duty=new.duty.value, interval=str(new.interval),
        reason=reason, approver=approver, approved_on=new.approved_on, review_on=new.review_on,
    )  # fmt: skip
    change.session.add(row)
    change.session.flush()
    audit.log(
        change, Name.OVERRIDE_ADD, row.id, scope=row.scope, target=row.target_id, duty=row.duty, interval=row.interval,
        reason=reason, approver=approver, approved_on=new.approved_on, review_on=new.review_on,
    )  # fmt: skip
    redate(change, concerned(connection, new.scope, new.target_id))
    return row.id


def end_override(change: Change, override_id: str, reason: str) -> None:
    """End a decision today, with the reason; the dates fall back to the rulebook's at once."""
    if not clean_text(reason):
        raise Refused("Ending another interval needs a reason.")
    row = change.session.get_one(Override, override_id)
    if row.ended_on is not None:
        raise Refused(f"That decision ended on {day_words(row.ended_on)} already: {row.end_reason}.")
    row.ended_on, row.end_reason = change.today, clean_text(reason)
    audit.log(change, Name.OVERRIDE_END, row.id, on=change.today, reason=row.end_reason)
    redate(change, concerned(change.session.connection(), Scope[row.scope.upper()], row.target_id))


def items_of(connection: Connection, scope: Scope, target_id: str) -> list[str]:
    """Return the items of a site or area, or the one item."""
    column = {Scope.SITE: Item.site_id, Scope.AREA: Item.area_id, Scope.ITEM: Item.id}[scope]
    return list(connection.execute(sa.select(Item.id).where(column == target_id)).scalars())


def concerned(connection: Connection, scope: Scope, target_id: str) -> list[str]:
    """Return the items whose dates a decision concerns: also those that left the place, as they may be untested since.

    The strictest place since the last test counts until the next one.
    """
    if scope is Scope.ITEM:
        return items_of(connection, scope, target_id)
    place = Exposure.site_id if scope is Scope.SITE else Exposure.area_id
    return list(connection.execute(sa.select(Exposure.item_id).where(place == target_id).distinct()).scalars())


def _check_target(change: Change, scope: Scope, target_id: str) -> None:
    """Raise where there is no such place or item."""
    table = {Scope.SITE: Site, Scope.AREA: Area, Scope.ITEM: Item}[scope]
    change.session.get_one(table, target_id)
