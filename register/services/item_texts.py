"""The text by which items are searched: made from what they are and where, and kept beside them."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.words import Kind, spoken
from register.store.bulk import chunks
from register.store.engine import Change
from register.store.search import change_text
from register.store.tables import Area, Item, ItemText, Site, Tag


def search_text(tags: Iterable[str], description: str, serial: str, kind: Kind, places: Iterable[str]) -> str:
    """Return all the text by which an item is found, in lower case. `places` are the site's code and name, the area."""
    parts = (*sorted(tags), description, serial, spoken(kind), *places)
    return " ".join(dict.fromkeys(part for part in parts if part)).casefold()


def texts(connection: Connection, item_ids: Collection[str] | None = None) -> dict[str, str]:
    """Return the text that each of these items should have, or of all."""
    if item_ids is None:
        return _texts(connection, None)
    return {key: text for some in chunks(item_ids, 500) for key, text in _texts(connection, some).items()}


def _texts(connection: Connection, some: list[str] | None) -> dict[str, str]:
    items: Any = (
        sa.select(Item.id, Item.description, Item.serial, Item.kind, Site.code, Site.name, Area.name)
        .join(Site, Site.id == Item.site_id)
        .join(Area, Area.id == Item.area_id)
    )
    numbers: Any = sa.select(Tag.item_id, Tag.number)
    if some is not None:
        items, numbers = items.where(Item.id.in_(some)), numbers.where(Tag.item_id.in_(some))
    tags: dict[str, list[str]] = defaultdict(list)
    for item_id, number in connection.execute(numbers):
        tags[item_id].append(number)
    return {
        key: search_text(tags[key], description, serial, Kind(kind), places)
        for key, description, serial, kind, *places in connection.execute(items)
    }


def index_anew(change: Change, item_ids: Collection[str]) -> None:
    """Let the items be found by what they say and where they are now."""
    change.session.flush()
    connection = change.session.connection()
    for key, text in texts(connection, item_ids).items():
        change_text(connection, key, text)


def stale(connection: Connection) -> list[str]:
    """Return the items that are not found by what they say and where they are."""
    kept = {row.item_id: row.text for row in connection.execute(sa.select(ItemText.item_id, ItemText.text))}
    return [key for key, text in texts(connection).items() if kept.get(key) != text]
