"""Where items are and how harshly they are used: each change is written down, and the dates follow at once."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Final

import sqlalchemy as sa

from register.domain.items import environment_of
from register.errors import Refused
from register.services.cases import spans
from register.services.item_texts import index_anew
from register.services.items import taken_tags
from register.services.places import check_environment
from register.services.projection import REMOVED, redate
from register.store import audit
from register.store.audit import Name
from register.store.bulk import insert_rows, rows_of
from register.store.engine import Change
from register.store.tables import Area, Exposure, Item, Site, Tag
from register.store.types import new_keys


@dataclass(frozen=True, slots=True)
class Moved:
    """What a move did: where the item is now, and its earliest date before and after."""

    item_id: str
    environment: str
    due_before: date | None
    due_after: date | None


def move_item(change: Change, item_id: str, area_id: str) -> Moved:
    """Move an item to another area or site; its dates follow at once, and its own environment class goes with it.

    The strictest place since the last test counts until the next one, so a date only ever moves earlier. Refused
    where the other site's rulebook doesn't have the item's own class, or its owner has the tag on another item.
    """
    item = change.session.get_one(Item, item_id)
    area = change.session.get_one(Area, area_id)
    site = change.session.get_one(Site, area.site_id)
    if item.state == REMOVED:
        raise Refused(f"{item.tag_number} was removed for good, so it can't be moved. Check the tag.")
    if item.environment is not None:
        check_environment(site.rulebook, item.environment)
    _own_tags(change, item, site)
    came_from, due_before = item.area_id, item.next_due
    item.site_id, item.area_id = site.id, area.id
    expose(change, [item.id])
    index_anew(change, [item.id])
    audit.log(change, Name.ITEM_MOVE, item.id, before=came_from, after=area.id, on=change.today)
    redate(change, [item.id])
    return Moved(item.id, item.present_environment, due_before, item.next_due)


def _own_tags(change: Change, item: Item, site: Site) -> None:
    """Give an item's tags to the owner of the site it comes to; refused where another item of his has one of them."""
    tags = change.session.scalars(sa.select(Tag).where(Tag.item_id == item.id, Tag.owner_id != site.owner_id)).all()
    taken = taken_tags(change.session.connection(), [tag.number for tag in tags])
    for tag in tags:
        if (site.owner_id, tag.number) in taken:
            raise Refused(
                f"{item.tag_number} can't be moved to {site.code}: another item of its owner has or had the tag"
                f" {tag.number}."
            )
        tag.owner_id = site.owner_id


def expose(change: Change, item_ids: Collection[str]) -> None:
    """Write how harshly items are used from today on, where that changed; nothing of those that were removed."""
    change.session.flush()
    connection, keys = change.session.connection(), new_keys()
    for among in spans(connection, item_ids):
        stays = sa.select(Exposure.item_id, Exposure.seq, Exposure.since, *_WHERE).where(among(Exposure.item_id))
        latest = {stay[0]: stay[1:] for stay in rows_of(connection, stays.order_by(Exposure.item_id, Exposure.seq))}
        fresh = []
        for key, own, of_area, of_site, site, area, rules in rows_of(connection, _PRESENT.where(among(Item.id))):
            environment, place = environment_of(own, of_area, of_site)
            seq, since, *before = latest[key]
            now = (site, area, environment, place, rules)
            if tuple(before) != now:
                fresh.append((next(keys), key, seq + 1, max(change.today, since), *now))
        insert_rows(connection, Exposure, ("id", "item_id", "seq", "since", *(each.key for each in _WHERE)), fresh)


_WHERE: Final = (Exposure.site_id, Exposure.area_id, Exposure.environment, Exposure.place, Exposure.rulebook)
_PRESENT: Final = (
    sa.select(Item.id, Item.environment, Area.environment, Site.environment, Site.id, Area.id, Site.rulebook)
    .join(Area, Area.id == Item.area_id)
    .join(Site, Site.id == Item.site_id)
    .where(Item.state != REMOVED)
)


def change_area_class(change: Change, area_id: str, environment: str | None) -> int:
    """Give an area another environment class; the dates of its items follow at once. Returns how many items."""
    area = change.session.get_one(Area, area_id)
    site = change.session.get_one(Site, area.site_id)
    if environment is not None:
        check_environment(site.rulebook, environment)
    before, area.environment = area.environment, environment
    items = change.session.scalars(sa.select(Item.id).where(Item.area_id == area_id, Item.state != REMOVED)).all()
    expose(change, items)
    audit.log(change, Name.AREA_CHANGE, area.id, before=before, after=environment, on=change.today)
    return redate(change, items)
