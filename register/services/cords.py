"""Detachable cords: a cord and its appliance each carry a tag of their own, so the cord is offered as an item."""

from dataclasses import dataclass
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.look import CORD
from register.domain.text import clean_tag, clean_text
from register.domain.words import Kind, Result, WithdrawalReason
from register.errors import Refused
from register.services.items import NewItem, add_item
from register.services.projection import REMOVED
from register.services.withdrawals.deeds import withdraw
from register.store.amended import stands
from register.store.engine import Change
from register.store.tables import Item, Record

WITH_CORDS: Final = frozenset({Kind.APPLIANCE_CLASS_1, Kind.APPLIANCE_CLASS_2})
"""The kinds whose cord may be detachable: other kinds have one that belongs to them (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class CordAsked:
    """Whether an item may have a detachable cord that is no item yet, and whether its last look found it wrong."""

    possible: bool
    wrong: bool


@dataclass(frozen=True, slots=True)
class Cord:
    """A cord that was added: its id and tag, and the number of its out-of-service tag, empty while in service."""

    item_id: str
    tag: str
    out: str


def description_of(tag: str) -> str:
    """Return what the cord of an item with a tag is called, so that the tag finds both."""
    return f"Detachable cord of {tag}"


def cord_asked(connection: Connection, item_id: str) -> CordAsked:
    """Return whether the detachable cord of an item can be offered as an item of its own."""
    item = connection.execute(sa.select(Item.kind, Item.state, Item.tag_number, Item.site_id).where(Item.id == item_id))
    kind, state, tag, site = item.one()
    known = sa.select(Item.id).where(
        Item.site_id == site, Item.kind == Kind.CORD_SET.value, Item.description == description_of(tag),
        Item.state != REMOVED,
    )  # fmt: skip
    fit = Kind(kind) in WITH_CORDS and state != REMOVED
    possible = fit and connection.execute(known).first() is None
    return CordAsked(possible, possible and _wrong(connection, item_id))


def _wrong(connection: Connection, item_id: str) -> bool:
    """Whether the last record that counts failed, and says of the look that the cord was wrong."""
    last = (
        sa.select(Record.verdict, Record.remarks)
        .where(Record.item_id == item_id, stands(Record.id))
        .order_by(Record.tested_on.desc(), Record.id.desc())
        .limit(1)
    )
    row = connection.execute(last).first()
    return row is not None and row.verdict == Result.FAIL and CORD.title in row.remarks


def add_cord(change: Change, item_id: str, tag: str, *, out: str = "") -> Cord:
    """Enter the detachable cord of an item as an item of its own, beside it; with `out` it is out of service at once.

    `out` is the number of the cord's out-of-service tag. Refused for an item that has no such cord, for a tag that is
    another item's, and for a number that another item carries.
    """
    item = change.session.get_one(Item, item_id)
    asked = cord_asked(change.session.connection(), item_id)
    if not asked.possible:
        raise Refused(
            f"{item.tag_number} has no detachable cord that could be added: it is none that has one, or its cord is an"
            " item already. Look at its card."
        )
    number, name = clean_tag(tag), description_of(item.tag_number)
    key = add_item(change, NewItem(
        number, item.area_id, Kind.CORD_SET, change.today, description=name, environment=item.environment,
        moved_in_use=item.moved_in_use, protected_by_switch=item.protected_by_switch, risk_factor=item.risk_factor,
        remarks=f"{name}, {item.description}." if item.description else f"{name}.",
    ))  # fmt: skip
    fault = clean_text(out)
    if fault:
        withdraw(change, key, reason=WithdrawalReason.DAMAGED, tag_number=fault, detail=f"{name}: at fault.")
    return Cord(key, number, fault)
