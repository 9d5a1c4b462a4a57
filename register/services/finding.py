"""Finding an item from a few letters: by its tags, what it is, or where."""

from dataclasses import dataclass
from datetime import date

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store.lists import ItemFilter, Sort, item_page
from register.store.tables import Site


@dataclass(frozen=True, slots=True)
class FoundItem:
    """An item that was found: what to show of it."""

    id: str
    tag: str
    description: str
    place: str


def find_items(connection: Connection, text: str, limit: int) -> list[FoundItem]:
    """Return the first items in whose text every word stands, by tag."""
    wanted = ItemFilter(date.max, text=text)
    rows = item_page(connection, wanted, sort=Sort.TAG, limit=limit)
    return [FoundItem(row.id, row.tag_number, row.description, f"{row.site_name}, {row.area}") for row in rows]


@dataclass(frozen=True, slots=True)
class SiteChoice:
    """A site to choose from."""

    id: str
    code: str
    name: str


def site_choices(connection: Connection) -> list[SiteChoice]:
    """Return all sites by name."""
    rows = connection.execute(sa.select(Site.id, Site.code, Site.name).order_by(Site.name, Site.code))
    return [SiteChoice(row.id, row.code, row.name) for row in rows]
