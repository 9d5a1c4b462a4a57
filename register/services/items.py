"""Items: entering them, and finding them by any tag they ever had."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any, Final, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.items import MOST_OUTLETS, SafetySwitch, environment_of, outlets_of
from register.domain.text import clean_tag, clean_text
from register.domain.words import Condition, Kind, first_word
from register.errors import Refused
from register.services.cases import switch_row
from register.services.item_texts import search_text
from register.services.places import check_environment, known_site
from register.services.projection import IN_SERVICE, REMOVED, redate
from register.store import audit
from register.store.audit import Entry, Name
from register.store.bulk import CHUNK, chunks, insert_rows, one_of, rows_of
from register.store.engine import Change
from register.store.search import add_texts
from register.store.tables import Area, Exposure, Item, Site, Tag
from register.store.types import new_keys


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


def add_item(change: Change, new: NewItem) -> str:
    """Enter an item, with its dates, and return its id; refused where the tag is another item's."""
    ids = enter_items(change, [new])
    redate(change, ids)
    return ids[0]


def enter_items(change: Change, news: Sequence[NewItem]) -> list[str]:
    """Enter items without working out their dates, and return their ids in order; refused where one of them is."""
    ids = []
    for entered in enter_each(change, news):
        if isinstance(entered, Refused):
            raise entered
        ids.append(entered)
    return ids


def enter_each(change: Change, news: Sequence[NewItem]) -> list[str | Refused]:
    """Enter those items that can be, without working out their dates; return each one's id, or why it was refused."""
    change.session.flush()
    connection = change.session.connection()
    places = _places(connection, {new.area_id for new in news})
    checked = [_checked(new, places[new.area_id]) for new in news]
    numbers = {tag for new in checked if isinstance(new, NewItem) for tag in (new.tag, *new.earlier_tags)}
    taken = taken_tags(connection, numbers)
    claimed = [new if isinstance(new, Refused) else _claimed(new, places[new.area_id], taken) for new in checked]
    keys = new_keys()
    fit = [_fit(next(keys), new, places[new.area_id]) for new in claimed if isinstance(new, NewItem)]
    _insert(connection, fit)
    audit.log_all(change, map(_added, fit))
    entered = iter(fit)
    return [each if isinstance(each, Refused) else next(entered).key for each in claimed]


class _Place(NamedTuple):
    """An area, and the site that it is in."""

    area_id: str
    area: str
    area_environment: str | None
    site_id: str
    code: str
    site: str
    environment: str
    rulebook: str
    owner_id: str


class _Fit(NamedTuple):
    """An item that can be entered, with its id, where it is, and the environment classes of it and of its place."""

    key: str
    new: NewItem
    at: _Place
    environment: str
    place: str
    switch: dict[str, str] | None


def _fit(key: str, new: NewItem, at: _Place) -> _Fit:
    classes = environment_of(new.environment, at.area_environment, at.environment)
    return _Fit(key, new, at, *classes, switch_row(new.safety_switch))


def _insert(connection: Connection, fit: Sequence[_Fit]) -> None:
    insert_rows(connection, Item, _ITEM_COLUMNS, map(_item_row, fit))
    keys = new_keys()
    insert_rows(connection, Tag, _TAG_COLUMNS, ((next(keys), *row) for each in fit for row in _tag_rows(each)))
    insert_rows(connection, Exposure, _EXPOSURE_COLUMNS, ((next(keys), *_exposure_row(each)) for each in fit))
    add_texts(connection, ((each.key, _text(each)) for each in fit))


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


def _places(connection: Connection, area_ids: Collection[str]) -> dict[str, _Place]:
    """Return the areas, each with its site."""
    of_area = (Area.id, Area.name, Area.environment)
    of_site = (Site.id, Site.code, Site.name, Site.environment, Site.rulebook, Site.owner_id)
    statement = sa.select(*of_area, *of_site).join(Site, Site.id == Area.site_id).where(Area.id.in_(area_ids))
    return {row[0]: _Place._make(row) for row in connection.execute(statement)}


def _checked(new: NewItem, at: _Place) -> NewItem | Refused:
    """Return the item with clean text and a sensible number of outlets, or why it can't be entered."""
    try:
        number = clean_tag(new.tag)
        earlier = dict.fromkeys(clean_tag(tag) for tag in new.earlier_tags)
        if new.environment is not None:
            check_environment(at.rulebook, new.environment)
    except Refused as refused:
        return refused
    outlets = outlets_of(new.kind, new.outlets)
    if not 0 <= outlets <= MOST_OUTLETS:
        return Refused(f"{number} can't have {outlets} outlets. Give a number from 0 to {MOST_OUTLETS}.")
    description = clean_text(new.description) or first_word(new.kind)
    serial, remarks = clean_text(new.serial), clean_text(new.remarks)
    others = tuple(tag for tag in earlier if tag != number)
    given = (new.tag, new.outlets, new.description, new.serial, new.remarks, new.earlier_tags)
    if given == (number, outlets, description, serial, remarks, others):
        return new
    return replace(
        new, tag=number, outlets=outlets, description=description, serial=serial, remarks=remarks, earlier_tags=others
    )


def taken_tags(connection: Connection, numbers: Collection[str]) -> dict[tuple[str, str], str]:
    """Return which of these tags an owner's items have or had: the site's code by owner and number."""
    statement = (
        sa.select(Tag.owner_id, Tag.number, Site.code)
        .join(Item, Item.id == Tag.item_id)
        .join(Site, Site.id == Item.site_id)
    )
    return {
        (owner, number): code
        for some in chunks(numbers, CHUNK)
        for owner, number, code in rows_of(connection, statement.where(one_of(connection, some)(Tag.number)))
    }


def _claimed(new: NewItem, at: _Place, taken: dict[tuple[str, str], str]) -> NewItem | Refused:
    """Take the item's tags, so that no other item gets them; or say whose they are: no tag is used twice."""
    mine = [(at.owner_id, number) for number in (new.tag, *new.earlier_tags)]
    for owner, number in mine:
        if (owner, number) in taken:
            return Refused(
                f"The tag {number} is, or was, another item's of this owner, at site {taken[owner, number]}. Tags are"
                " not used twice: give this item its own."
            )
    taken.update(dict.fromkeys(mine, at.code))
    return new


def _item_row(fit: _Fit) -> tuple[Any, ...]:
    new, at = fit.new, fit.at
    removed = new.removed_on is not None
    return (
        fit.key, 1, at.site_id, at.area_id, new.kind._value_, new.description, new.serial, new.environment, new.outlets,
        None if new.rated_current_a is None else f"{new.rated_current_a:f}", fit.switch,
        new.condition._value_, new.condition_since, "", new.battery_run, new.protected_by_switch, new.moved_in_use,
        new.risk_factor, new.not_found_on, new.removed_on, new.remarks if removed else "", new.remarks, new.tag,
        REMOVED if removed else IN_SERVICE, True, fit.environment,
    )  # fmt: skip


def _tag_rows(fit: _Fit) -> list[tuple[Any, ...]]:
    key, new, owner = fit.key, fit.new, fit.at.owner_id
    earlier = [(key, owner, tag, None, new.since) for tag in new.earlier_tags]
    return [*earlier, (key, owner, new.tag, new.since, None)]


def _exposure_row(fit: _Fit) -> tuple[Any, ...]:
    at = fit.at
    return (fit.key, 1, fit.new.since, at.site_id, at.area_id, fit.environment, fit.place, at.rulebook)


def _text(fit: _Fit) -> str:
    new, at = fit.new, fit.at
    tags = (new.tag, *new.earlier_tags)
    return search_text(tags, new.description, new.serial, new.kind, (at.code, at.site, at.area))


def _added(fit: _Fit) -> Entry:
    new = fit.new
    facts = {
        "tag": new.tag, "earlier_tags": list(new.earlier_tags), "site": fit.at.site_id, "area": new.area_id,
        "kind": new.kind._value_, "description": new.description, "serial": new.serial,
        "environment": new.environment, "outlets": new.outlets, "rated_current_a": new.rated_current_a,
        "switch": fit.switch, "condition": new.condition._value_,
        "condition_since": new.condition_since, "since": new.since, "removed_on": new.removed_on,
    }  # fmt: skip
    return Entry(Name.ITEM_ADD, fit.key, facts)


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
    code = "" if site is None else clean_text(site).upper()
    if code:
        statement = statement.where(Site.code == code)
    found = connection.execute(statement).all()
    if not found:
        if code:
            known_site(connection, code)
        where = f" at site {code}" if code else ""
        raise Refused(f"No item has or had the tag {number}{where}. Check the number on the tag.")
    present = [row for row in found if row.until is None] or found
    if len(present) > 1:
        codes = ", ".join(sorted(row.code for row in present))
        raise Refused(f"The tag {number} is on items at several sites: {codes}. Name the site as well.")
    return str(present[0].item_id)
