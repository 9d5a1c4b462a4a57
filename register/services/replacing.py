"""Replacing an item by another: the old one leaves for good, the new one takes its place, each names the other."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.text import clean_tag
from register.domain.words import Condition
from register.errors import Refused
from register.services.cases import case
from register.services.items import NewItem, enter_items
from register.services.projection import REMOVED, redate
from register.services.withdrawals.deeds import remove
from register.store.engine import Change
from register.store.tables import Item


@dataclass(frozen=True, slots=True)
class Replaced:
    """An item that was replaced, and the one in its place."""

    old_id: str
    old_tag: str
    new_id: str
    new_tag: str


@dataclass(frozen=True, slots=True)
class Neighbour:
    """The item that another one replaces, or is replaced by."""

    item_id: str
    tag: str


@dataclass(frozen=True, slots=True)
class Succession:
    """What an item replaces, and what replaces it; None where nothing does."""

    replaces: Neighbour | None
    replaced_by: Neighbour | None


def replace_item(change: Change, item_id: str, *, tag: str, serial: str = "", new: bool = False) -> Replaced:
    """Remove an item for good and enter another in its place, of the same kind, description and rating.

    The other has no test yet, so it must pass before use unless it is `new` and the rulebook says otherwise. Refused
    for a removed item, and for a tag that is or was another item's.
    """
    old = change.session.get_one(Item, item_id)
    number = clean_tag(tag)
    if old.state == REMOVED:
        raise Refused(f"{old.tag_number} was removed for good, so it can't be replaced. Check the tag.")
    known = case(change.session.connection(), item_id).item
    (key,) = enter_items(change, [NewItem(
        tag=number, area_id=old.area_id, kind=known.kind, since=change.today, description=old.description,
        serial=serial, environment=old.environment, outlets=old.outlets, safety_switch=known.safety_switch,
        rated_current_a=known.rated_current_a, condition=Condition.NEW if new else Condition.IN_USE,
        condition_since=change.today if new else None, moved_in_use=old.moved_in_use,
        protected_by_switch=old.protected_by_switch, risk_factor=old.risk_factor, battery_run=old.battery_run,
    )])  # fmt: skip
    entered = change.session.get_one(Item, key)
    entered.lead, entered.replaces_id = old.lead, item_id
    old.replaced_by_id = key
    change.session.flush()
    redate(change, [key])
    remove(change, item_id, reason=f"replaced by {number}")
    return Replaced(item_id, old.tag_number, key, number)


def succession(connection: Connection, item_id: str) -> Succession:
    """Return what an item replaces and is replaced by."""
    row = connection.execute(sa.select(Item.replaces_id, Item.replaced_by_id).where(Item.id == item_id)).one()
    return Succession(_neighbour(connection, row.replaces_id), _neighbour(connection, row.replaced_by_id))


def _neighbour(connection: Connection, item_id: str | None) -> Neighbour | None:
    if item_id is None:
        return None
    return Neighbour(item_id, connection.execute(sa.select(Item.tag_number).where(Item.id == item_id)).scalar_one())
