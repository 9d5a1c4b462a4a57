"""Deciding on another interval: what may be decided for a place or an item, and what a decision does to the dates."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.domain.intervals import Interval
from register.domain.schedule import Scope
from register.domain.words import CONTRACTORS_DUTIES, Duty, counted, spoken
from register.errors import Refused
from register.services.overrides import NewOverride, add_override, concerned, end_override, items_of
from register.services.projection import REMOVED
from register.store.bulk import chunks
from register.store.engine import Change
from register.store.tables import Area, Item, Override, Site
from register.store.tables import Duty as DutyRow

REPLACED = "another decision took its place"


@dataclass(frozen=True, slots=True)
class InForce:
    """A decision that holds: how often, why, by whom, and when it is looked at again."""

    interval: Interval
    reason: str
    approver: str
    approved_on: date
    review_on: date


@dataclass(frozen=True, slots=True)
class Deciding:
    """What a decision can be about: a place or an item, its duties, and the decisions that hold for just that."""

    scope: Scope
    target_id: str
    name: str
    about: str
    items: int
    duties: tuple[Duty, ...]
    in_force: dict[Duty, InForce]


@dataclass(frozen=True, slots=True)
class Decided:
    """What a decision did: of so many items with the duty, how many got another date, and the first of those."""

    items: int
    earlier: int
    later: int
    first: date | None

    @property
    def words(self) -> str:
        """The same in a sentence."""
        moved = self.earlier + self.later
        if not moved:
            return "No date changes now."
        ways = [f"{number:,} {how}" for number, how in ((self.earlier, "earlier"), (self.later, "later")) if number]
        gets = "gets" if moved == 1 else "get"
        first = "" if self.first is None else f" The first of them is {day_words(self.first)}."
        return f"{moved:,} of {counted(self.items, 'item')} {gets} another date, {' and '.join(ways)}.{first}"


def deciding(connection: Connection, scope: Scope, target_id: str) -> Deciding:
    """Return what can be decided for a site, an area or an item."""
    items = items_of(connection, scope, target_id)
    asked: set[Duty] = set()
    for some in chunks(items, 500):
        found = sa.select(DutyRow.duty).where(DutyRow.item_id.in_(some)).distinct()
        asked |= {Duty(duty) for duty in connection.execute(found).scalars()}
    duties = sorted(asked or CONTRACTORS_DUTIES, key=list(Duty).index)
    name, about = _named(connection, scope, target_id)
    return Deciding(
        scope=scope,
        target_id=target_id,
        name=name,
        about=about,
        items=len(items),
        duties=tuple(duties),
        in_force=_in_force(connection, scope, target_id),
    )


def decide(change: Change, new: NewOverride) -> Decided:
    """Put a decision in force; one that holds for the same duty of just that place or item ends with it.

    Refused as `add_override` refuses, and for an item that was removed for good.
    """
    if new.scope is Scope.ITEM:
        item = change.session.get_one(Item, new.target_id)
        if item.state == REMOVED:
            raise Refused(f"{item.tag_number} was removed for good, so nothing is due on it. Check the tag.")
    before = _dates(change, new.scope, new.target_id, new.duty)
    _end(change, new.scope, new.target_id, new.duty, REPLACED)
    add_override(change, new)
    return _compared(before, _dates(change, new.scope, new.target_id, new.duty))


def end_decision(change: Change, scope: Scope, target_id: str, duty: Duty, reason: str) -> Decided:
    """End the decision that holds for a duty of a place or an item; refused where none does."""
    before = _dates(change, scope, target_id, duty)
    if not _end(change, scope, target_id, duty, reason):
        raise Refused(f"No decision holds for {spoken(duty)} there, so there is none to end. Check the duty.")
    return _compared(before, _dates(change, scope, target_id, duty))


def _named(connection: Connection, scope: Scope, target_id: str) -> tuple[str, str]:
    """Return what a place or an item is called, and more of it."""
    if scope is Scope.ITEM:
        found = sa.select(Item.tag_number, Item.description).where(Item.id == target_id)
    elif scope is Scope.SITE:
        found = sa.select(Site.code, Site.name).where(Site.id == target_id)
    else:
        found = sa.select(Area.name, Site.name).join(Site, Site.id == Area.site_id).where(Area.id == target_id)
    name, about = connection.execute(found).one()
    return name, about


def _end(change: Change, scope: Scope, target_id: str, duty: Duty, reason: str) -> int:
    """End whatever was decided for a duty of just this place or item; return how many decisions that were."""
    held = [each for each in _held(change.session.connection(), scope, target_id) if each.duty == duty.value]
    for each in held:
        end_override(change, each.id, reason)
    return len(held)


def _in_force(connection: Connection, scope: Scope, target_id: str) -> dict[Duty, InForce]:
    """Return the decision that holds for each duty: the latest approved."""
    return {
        Duty(row.duty): InForce(Interval.parse(row.interval), row.reason, row.approver, row.approved_on, row.review_on)
        for row in _held(connection, scope, target_id)
    }


def _held(connection: Connection, scope: Scope, target_id: str) -> Sequence[Any]:
    return connection.execute(
        sa.select(Override.__table__)
        .where(Override.scope == scope.name.lower(), Override.target_id == target_id, Override.ended_on.is_(None))
        .order_by(Override.approved_on, Override.id)
    ).all()


def _dates(change: Change, scope: Scope, target_id: str, duty: Duty) -> dict[str, date | None]:
    """Return when the duty falls due on each item concerned that wasn't removed."""
    change.session.flush()
    connection = change.session.connection()
    found: dict[str, date | None] = {}
    for some in chunks(concerned(connection, scope, target_id), 500):
        rows = connection.execute(
            sa.select(DutyRow.item_id, DutyRow.due)
            .join(Item, Item.id == DutyRow.item_id)
            .where(DutyRow.item_id.in_(some), DutyRow.duty == duty.value, Item.state != REMOVED)
        )
        found |= dict(rows.all())
    return found


def _compared(before: dict[str, date | None], after: dict[str, date | None]) -> Decided:
    """Count the dates that moved; none counts as the latest."""
    moved = {key: (before.get(key) or date.max, day or date.max) for key, day in after.items()}
    earlier = sum(new < old for old, new in moved.values())
    later = sum(new > old for old, new in moved.values())
    changed = [after[key] for key, (old, new) in moved.items() if new != old]
    return Decided(len(after), earlier, later, min((day for day in changed if day is not None), default=None))
