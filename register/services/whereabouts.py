"""Items that nobody finds on a visit: marked so, asked for again at the next one, and found again."""

from dataclasses import dataclass
from datetime import date

from register.errors import Refused
from register.services.projection import REMOVED
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Item


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """An item, and since when nobody finds it; None once it is there again."""

    item_id: str
    tag: str
    missing_since: date | None


def mark_missing(change: Change, item_id: str) -> Whereabouts:
    """Note that nobody found an item today. Its dates stay, and it is asked for again; twice changes nothing.

    It is no withdrawal: an item that is out of service stays out. Refused for a removed item.
    """
    item = _living(change, item_id)
    if item.not_found_on is None:
        _write(change, item, change.today)
    return Whereabouts(item_id, item.tag_number, item.not_found_on)


def found_again(change: Change, item_id: str) -> Whereabouts:
    """Take back that nobody found an item; a test of it does so by itself. Refused where it isn't missed."""
    item = _living(change, item_id)
    if item.not_found_on is None:
        raise Refused(f"{item.tag_number} is not marked as not found, so there is nothing to take back.")
    _write(change, item, None)
    return Whereabouts(item_id, item.tag_number, None)


def _living(change: Change, item_id: str) -> Item:
    item = change.session.get_one(Item, item_id)
    if item.state == REMOVED:
        raise Refused(f"{item.tag_number} was removed for good, so nobody looks for it. Check the tag.")
    return item


def _write(change: Change, item: Item, day: date | None) -> None:
    audit.log(change, Name.ITEM_CHANGE, item.id, field="not_found_on", before=item.not_found_on, after=day)
    item.not_found_on = day
