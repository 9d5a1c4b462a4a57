"""Items: entering them, finding them by any tag they ever had, and moving them with their dates."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.items import MOST_OUTLETS, SafetySwitch, environment_of, outlets_of
from register.domain.text import clean_tag, clean_text
from register.domain.words import Condition, Kind, spoken
from register.errors import Refused
from register.services.cases import switch_row
from register.services.places import check_environment
from register.services.projection import IN_SERVICE, REMOVED, redate
from register.store import audit
from register.store.audit import Entry, Name
from register.store.bulk import chunks, insert_rows
from register.store.engine import Change
from register.store.search import add_texts, change_text
from register.store.tables import Area, Exposure, Item, Site, Tag
from register.store.types import new_key


@dataclass(frozen=True, slots=True)
class NewItem:
    """What is needed to enter an item. `since` is the day from which it is known to be in its place."""

    tag: str
    area_id: str
    kind: Kind
    since: date
    description: str = ""
    serial: str = ""
    environment: str | None = None
    outlets: int | None = None
    safety_switch: SafetySwitch | None = None
    rated_current_a: Decimal | None = None
    condition: Condition = Condition.IN_USE
    condition_since: date | None = None
    moved_in_use: bool | None = None
    protected_by_switch: bool | None = None
    risk_factor: bool | None = None
    battery_run: bool = False
    earlier_tags: tuple[str, ...] = ()
    not_found_on: date | None = None
    removed_on: date | None = None
    remarks: str = ""


@dataclass(frozen=True, slots=True)
class Moved:
    """What a move did: where the item is now, and its earliest date before and after."""

    item_id: str
    environment: str
    due_before: date | None
    due_after: date | None


def add_item(change: Change, new: NewItem) -> str:
    """Enter an item, with its dates, and return its id; refused where the tag is another item's."""
    ids = enter_items(change, [new])
    redate(change, ids)
    return ids[0]


def enter_items(change: Change, news: Sequence[NewItem]) -> list[str]:
    """Enter items without working out their dates, and return their ids in order; all or none."""
    change.session.flush()
    connection = change.session.connection()
    places = _places(connection, {new.area_id for new in news})
    ids = [new_key() for _ in news]
    checked = [_checked(new, places[new.area_id][1]) for new in news]
    tags = [row for key, new in zip(ids, checked, strict=True) for row in _tag_rows(key, new, places[new.area_id][1])]
    check_tags(connection, tags)
    insert_rows(
        connection, Item, _ITEM_COLUMNS,
        (_item_row(key, new, *places[new.area_id]) for key, new in zip(ids, checked, strict=True)),
    )  # fmt: skip
    insert_rows(connection, Tag, _TAG_COLUMNS, tags)
    insert_rows(
        connection, Exposure, _EXPOSURE_COLUMNS,
        (_exposure_row(key, new, *places[new.area_id]) for key, new in zip(ids, checked, strict=True)),
    )  # fmt: skip
    add_texts(
        connection,
        ((key, _text(new, *places[new.area_id])) for key, new in zip(ids, checked, strict=True)),
    )  # fmt: skip
    audit.log_all(change, (_added(key, new, places[new.area_id][1]) for key, new in zip(ids, checked, strict=True)))
    return ids


_ITEM_COLUMNS: Final = (
    "id", "version", "site_id", "area_id", "kind", "description", "serial", "environment", "outlets",
    "rated_current_a", "switch", "condition", "condition_since", "scope_reason", "battery_run",
    "protected_by_switch", "moved_in_use", "risk_factor", "not_found_on", "removed_on", "removal_reason", "remarks",
    "tag_number", "state", "untested", "present_environment",
)  # fmt: skip
_TAG_COLUMNS: Final = ("id", "item_id", "owner_id", "number", "since", "until")
_EXPOSURE_COLUMNS: Final = (
    "id", "item_id", "seq", "since", "site_id", "area_id", "environment", "place", "rulebook",
)  # fmt: skip


def _places(connection: Connection, area_ids: Collection[str]) -> dict[str, tuple[Row[Any], Row[Any]]]:
    """Return each area with its site."""
    sites = {row.id: row for row in connection.execute(sa.select(Site.__table__))}
    areas = connection.execute(sa.select(Area.__table__).where(Area.id.in_(area_ids)))
    return {row.id: (row, sites[row.site_id]) for row in areas}


def _checked(new: NewItem, site: Row[Any]) -> NewItem:
    """Return the item with clean text and a sensible number of outlets; refused where it can't be entered."""
    number = clean_tag(new.tag)
    if not number:
        raise Refused(f"The item “{new.description}” needs a tag number. Give the number on its tag.")
    if new.environment is not None:
        check_environment(site.rulebook, new.environment)
    outlets = outlets_of(new.kind, new.outlets)
    if not 0 <= outlets <= MOST_OUTLETS:
        raise Refused(f"{number} can't have {outlets} outlets. Give a number from 0 to {MOST_OUTLETS}.")
    earlier = dict.fromkeys(clean_tag(tag) for tag in new.earlier_tags)
    return replace(
        new,
        tag=number,
        outlets=outlets,
        description=clean_text(new.description) or spoken(new.kind).capitalize(),
        serial=clean_text(new.serial),
        remarks=clean_text(new.remarks),
        earlier_tags=tuple(tag for tag in earlier if tag and tag != number),
    )


def _item_row(key: str, new: NewItem, area: Row[Any], site: Row[Any]) -> tuple[Any, ...]:
    environment, _place = environment_of(new.environment, area.environment, site.environment)
    removed = new.removed_on is not None
    return (
        key, 1, site.id, area.id, new.kind.value, new.description, new.serial, new.environment, new.outlets,
        None if new.rated_current_a is None else f"{new.rated_current_a:f}", switch_row(new.safety_switch),
        new.condition.value, new.condition_since, "", new.battery_run, new.protected_by_switch, new.moved_in_use,
        new.risk_factor, new.not_found_on, new.removed_on, new.remarks if removed else "", new.remarks, new.tag,
        REMOVED if removed else IN_SERVICE, True, environment,
    )  # fmt: skip


def _tag_rows(key: str, new: NewItem, site: Row[Any]) -> list[tuple[Any, ...]]:
    earlier = [(new_key(), key, site.owner_id, tag, None, new.since) for tag in new.earlier_tags]
    return [*earlier, (new_key(), key, site.owner_id, new.tag, new.since, None)]


def _exposure_row(key: str, new: NewItem, area: Row[Any], site: Row[Any]) -> tuple[Any, ...]:
    environment, place = environment_of(new.environment, area.environment, site.environment)
    return (new_key(), key, 1, new.since, site.id, area.id, environment, place, site.rulebook)


def _text(new: NewItem, area: Row[Any], site: Row[Any]) -> str:
    return search_text((new.tag, *new.earlier_tags), new.description, new.serial, new.kind, site=site, area=area)


def _added(key: str, new: NewItem, site: Row[Any]) -> Entry:
    facts = {
        "tag": new.tag, "earlier_tags": list(new.earlier_tags), "site": site.id, "area": new.area_id,
        "kind": new.kind.value, "description": new.description, "serial": new.serial,
        "environment": new.environment, "outlets": new.outlets, "rated_current_a": new.rated_current_a,
        "switch": switch_row(new.safety_switch), "condition": new.condition.value,
        "condition_since": new.condition_since, "since": new.since, "removed_on": new.removed_on,
    }  # fmt: skip
    return Entry(Name.ITEM_ADD, key, facts)


def check_tags(connection: Connection, rows: Sequence[tuple[Any, ...]]) -> None:
    """Refuse tag numbers that another item of the same owner has or had, among these rows too: no tag is reused."""
    seen: dict[tuple[str, str], str] = {}
    for _id, item, owner, number, _since, _until in rows:
        if seen.setdefault((owner, number), item) != item:
            raise Refused(f"The tag {number} is given to two items. Tags are not reused: give one of them another.")
    for some in chunks({number for _owner, number in seen}, 500):
        for row in connection.execute(sa.select(Tag.owner_id, Tag.number, Tag.item_id).where(Tag.number.in_(some))):
            if seen.get((row.owner_id, row.number), row.item_id) != row.item_id:
                raise Refused(
                    f"The tag {row.number} belongs to another item of this owner. Tags are not reused: give a new one."
                )


def search_text(
    tags: Sequence[str], description: str, serial: str, kind: Kind, *, site: Site | Row[Any], area: Area | Row[Any]
) -> str:
    """Return all the text by which an item is found, in lower case."""
    parts = (*tags, description, serial, spoken(kind), site.code, site.name, area.name)
    return " ".join(dict.fromkeys(part for part in parts if part)).casefold()


def find_item(connection: Connection, tag: str, *, site: str | None = None) -> str:
    """Return the id of the item that has or had this tag, at a site where one is named.

    Refused where no item has it, or where two owners' items do and no site tells them apart.
    """
    number = clean_tag(tag)
    statement = (
        sa.select(Tag.item_id, Site.code, Tag.until)
        .join(Item, Item.id == Tag.item_id)
        .join(Site, Site.id == Item.site_id)
        .where(Tag.number == number)
    )
    if site is not None:
        statement = statement.where(Site.code == clean_text(site).upper())
    found = connection.execute(statement).all()
    if not found:
        where = f" at site {clean_text(site).upper()}" if site else ""
        raise Refused(f"No item has or had the tag {number or tag!r}{where}. Check the number on the tag.")
    present = [row for row in found if row.until is None] or found
    if len(present) > 1:
        codes = ", ".join(sorted(row.code for row in present))
        raise Refused(f"The tag {number} is on items at several sites: {codes}. Name the site as well.")
    return str(present[0].item_id)


def move_item(change: Change, item_id: str, area_id: str, *, environment: str | None = None) -> Moved:
    """Move an item to another area or site, or give it another class of its own; its dates follow at once.

    The strictest place since the last test counts until the next one, so a date only ever moves earlier.
    """
    item = change.session.get_one(Item, item_id)
    area = change.session.get_one(Area, area_id)
    site = change.session.get_one(Site, area.site_id)
    if item.state == REMOVED:
        raise Refused(f"{item.tag_number} was removed for good, so it can't be moved.")
    if environment is not None:
        check_environment(site.rulebook, environment)
    before, came_from = item.next_due, item.area_id
    item.site_id, item.area_id, item.environment = site.id, area.id, environment
    expose(change, item, area, site)
    tags = list(change.session.scalars(sa.select(Tag.number).where(Tag.item_id == item.id)))
    text = search_text(tags, item.description, item.serial, Kind(item.kind), site=site, area=area)
    change.session.flush()
    change_text(change.session.connection(), item.id, text)
    audit.log(
        change, Name.ITEM_MOVE, item.id, before=came_from, after=area.id, environment=environment, on=change.today
    )
    redate(change, [item.id])
    change.session.refresh(item)
    return Moved(item.id, item.present_environment, before, item.next_due)


def expose(change: Change, item: Item, area: Area, site: Site) -> None:
    """Write how harshly an item is used from today on, where that changed."""
    environment, place = environment_of(item.environment, area.environment, site.environment)
    last = change.session.scalars(
        sa.select(Exposure).where(Exposure.item_id == item.id).order_by(Exposure.seq.desc()).limit(1)
    ).one()
    now = (site.id, area.id, environment, place, site.rulebook)
    if (last.site_id, last.area_id, last.environment, last.place, last.rulebook) == now:
        return
    change.session.add(
        Exposure(
            item_id=item.id,
            seq=last.seq + 1,
            since=max(change.today, last.since),
            site_id=site.id,
            area_id=area.id,
            environment=environment,
            place=place,
            rulebook=site.rulebook,
        )
    )
    change.session.flush()


def change_area_class(change: Change, area_id: str, environment: str | None) -> int:
    """Give an area another environment class; the dates of its items follow at once. Returns how many items."""
    area = change.session.get_one(Area, area_id)
    site = change.session.get_one(Site, area.site_id)
    if environment is not None:
        check_environment(site.rulebook, environment)
    before, area.environment = area.environment, environment
    items = change.session.scalars(sa.select(Item).where(Item.area_id == area_id, Item.state != REMOVED)).all()
    for item in items:
        expose(change, item, area, site)
    audit.log(change, Name.AREA_CHANGE, area.id, before=before, after=environment, on=change.today)
    return redate(change, [item.id for item in items])
