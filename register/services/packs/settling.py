"""What follows for an item from all that came together: where it is, which tag it carries, whether it is there.

Everything here is worked out from the rows themselves, so that it is the same in whatever order packs came.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any, Final
from uuid import UUID, uuid5

import sqlalchemy as sa

from register.domain.items import environment_of
from register.services.packs.joining import Joining, claim
from register.services.packs.timeline import settle_withdrawals
from register.services.projection import REMOVED
from register.store.amended import stands
from register.store.tables import Area, Exposure, Item, Record, Site, Tag

_MADE: Final = UUID("6a0f6b54-3a0e-5f5e-8a3c-0a4f1f6d9b21")
"""The name space of places that follow from others: the same in every register."""

_MADE_VERSION: Final = "5"
_BEHIND: Final = 1_000_000_000


def settle(joining: Joining, since: date) -> None:
    """Work out where the items of a merge stand; `since` is the day from which withdrawals are gone through anew."""
    session = joining.change.session
    session.flush()
    session.expire_all()
    for item_id in sorted(joining.touched):
        item = session.get_one(Item, item_id)
        area = session.get_one(Area, item.area_id)
        _own_site(item, area)
        site = session.get_one(Site, item.site_id)
        _tags(joining, item, site)
        _places(joining, item, area, site)
        _seen(joining, item)
        session.flush()
    settle_withdrawals(joining, since)


def _own_site(item: Item, area: Area) -> None:
    """An area decides the site: one laptop's move can't leave an item at another's."""
    item.site_id = area.site_id


def _tags(joining: Joining, item: Item, site: Site) -> None:
    """Let the item's tags be its owner's, and the tag put on last the one that it carries."""
    session = joining.change.session
    tags = list(session.scalars(sa.select(Tag).where(Tag.item_id == item.id)))
    for tag in [each for each in tags if each.owner_id != site.owner_id]:
        row = {name: getattr(tag, name) for name in ("id", "item_id", "owner_id", "number", "since", "until")}
        session.delete(tag)
        session.flush()
        claim(joining, row | {"owner_id": site.owner_id})
    if any(each.owner_id != site.owner_id for each in tags):
        session.expire_all()
        tags = list(session.scalars(sa.select(Tag).where(Tag.item_id == item.id)))
    carried = [each for each in tags if each.until is None] or tags
    last = max(carried, key=lambda each: (each.since or date.min, each.id))
    for tag in carried:
        if tag is not last:
            tag.until = last.since
            joining.clash(item.id, f"It was given two new tags; it carries {last.number}, put on last.")
    last.until = None
    item.tag_number = last.number


def _places(joining: Joining, item: Item, area: Area, site: Site) -> None:
    """Put the places where an item was in their order, the last one being where, and how, it is used now."""
    session = joining.change.session
    rows = list(session.scalars(sa.select(Exposure).where(Exposure.item_id == item.id)))
    for row in [each for each in rows if _made(each)]:
        session.delete(row)
    known = sorted((each for each in rows if not _made(each)), key=_when)
    last = known[-1]
    environment, place = environment_of(item.environment, area.environment, site.environment)
    now = (site.id, area.id, environment, place, site.rulebook)
    session.flush()
    _number(joining, known)
    if item.removed_on is None and _facts(last) != now:
        said = (last.id, site.id, area.name, environment, place, site.rulebook)  # the area may have been entered twice
        key = str(uuid5(_MADE, " ".join(said)))
        names = ("site_id", "area_id", "environment", "place", "rulebook")
        facts: dict[str, Any] = dict(zip(names, now, strict=True))
        session.add(Exposure(id=key, item_id=item.id, seq=len(known) + 1, since=last.since, **facts))
    item.present_environment = environment
    session.flush()


def _made(row: Exposure) -> bool:
    return row.id[14] == _MADE_VERSION


def _when(row: Exposure) -> tuple[date, str, int, str]:
    """Order places by their days, then by the moment in their ids, then as they were numbered."""
    return row.since, row.id[:13], row.seq, row.id


def _facts(row: Exposure) -> tuple[str, str, str, str, str]:
    return row.site_id, row.area_id, row.environment, row.place, row.rulebook


def _number(joining: Joining, rows: Sequence[Exposure]) -> None:
    """Number places anew where they are not in order, in two steps, because no number may stand twice."""
    if [row.seq for row in rows] == list(range(1, len(rows) + 1)):
        return
    for start in (_BEHIND, 1):
        for place, row in enumerate(rows):
            row.seq = start + place
        joining.change.session.flush()


def _seen(joining: Joining, item: Item) -> None:
    """Take back the mark *not found* of an item that was tested since; and let removal decide its state."""
    if item.removed_on is not None:
        item.state = REMOVED
    if item.not_found_on is None:
        return
    seen = sa.select(Record.id).where(
        Record.item_id == item.id, Record.tested_on >= item.not_found_on, stands(Record.id)
    )
    if joining.change.session.scalar(seen.limit(1)) is not None:
        item.not_found_on = None
