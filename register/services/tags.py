"""A new tag for an item: the old number stays in its history, and still finds it."""

from dataclasses import dataclass
from datetime import date

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.text import clean_tag
from register.errors import Refused
from register.services.item_texts import index_anew
from register.services.items import taken_tags
from register.services.projection import REMOVED
from register.services.tag_ranges import RangeRow, check_holder, ranges, take_following
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Area, Item, Site, Tag


@dataclass(frozen=True, slots=True)
class NewTag:
    """An item's new tag, and the one that it replaces."""

    item_id: str
    number: str
    before: str


@dataclass(frozen=True, slots=True)
class Retagging:
    """An item that is about to get a new tag, and the ranges in use from which the number can come."""

    item_id: str
    tag: str
    description: str
    place: str
    ranges: tuple[RangeRow, ...]


def retagging(connection: Connection, item_id: str) -> Retagging:
    """Return what somebody needs to see before he gives an item a new tag."""
    row = connection.execute(
        sa.select(Item.tag_number, Item.description, Site.name, Area.name.label("area"))
        .join(Site, Site.id == Item.site_id)
        .join(Area, Area.id == Item.area_id)
        .where(Item.id == item_id)
    ).one()
    open_ranges = tuple(each for each in ranges(connection) if each.ended_on is None)
    return Retagging(item_id, row.tag_number, row.description, f"{row.name}, {row.area}", open_ranges)


def new_tag(change: Change, item_id: str, *, number: str = "", range_id: str | None = None) -> NewTag:
    """Give an item a new tag: the number given, or without one the next of a range.

    All its records and dates stay. Refused for a removed item, for a number that any item of the owner has or had,
    and for one that is kept for another holder than the range's.
    """
    item = change.session.get_one(Item, item_id)
    if item.state == REMOVED:
        raise Refused(f"{item.tag_number} was removed for good, so it gets no new tag. Check the tag.")
    if not number and range_id is None:
        raise Refused(f"Scan or type the number of the new tag of {item.tag_number}, or choose a range.")
    chosen = clean_tag(number) if number else take_following(change, range_id or "")
    change.session.flush()
    _check_free(change, item, chosen, range_id)
    before = item.tag_number
    _put_on(change, item, chosen, change.today)
    audit.log(change, Name.TAG_ADD, item_id, number=chosen, before=before, on=change.today)
    index_anew(change, [item_id])
    return NewTag(item_id, chosen, before)


def _check_free(change: Change, item: Item, number: str, range_id: str | None) -> None:
    connection = change.session.connection()
    site = change.session.get_one(Site, item.site_id)
    check_holder(connection, number, range_id)
    code = taken_tags(connection, {number}).get((site.owner_id, number))
    if code is None:
        return
    mine = connection.execute(sa.select(Tag.id).where(Tag.item_id == item.id, Tag.number == number)).first()
    whose = "this item's already" if mine else f"another item's of this owner, at site {code}"
    raise Refused(f"The tag {number} is, or was, {whose}. Tags are not used twice: take a new one.")


def _put_on(change: Change, item: Item, number: str, today: date) -> None:
    session = change.session
    for worn in session.scalars(sa.select(Tag).where(Tag.item_id == item.id, Tag.until.is_(None))):
        worn.until = today
    owner = session.get_one(Site, item.site_id).owner_id
    session.add(Tag(item_id=item.id, owner_id=owner, number=number, since=today, until=None))
    item.tag_number = number
    session.flush()
