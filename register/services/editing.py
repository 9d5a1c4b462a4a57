"""Entering and changing items by hand: what they are, what their plate says, where they are, and their dates."""

from dataclasses import asdict, dataclass, fields
from datetime import date
from decimal import Decimal
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words, why
from register.domain.items import MOST_OUTLETS, SafetySwitch
from register.domain.plate import contradiction
from register.domain.text import clean_text
from register.domain.words import Condition, Duty, Kind, first_word, spoken
from register.errors import Refused
from register.services.cases import case, switch_row
from register.services.clashes import check_unchanged
from register.services.item_texts import index_anew
from register.services.items import NewItem, add_item
from register.services.moves import expose, move_item
from register.services.places import area_named, check_environment
from register.services.projection import REMOVED, redate
from register.services.rulebooks import rulebook
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Area, Item, Site


@dataclass(frozen=True, slots=True)
class ItemFacts:
    """What can be changed of an item by hand. `environment` is its own class, None where its place's holds."""

    kind: Kind
    description: str = ""
    serial: str = ""
    environment: str | None = None
    outlets: int = 0
    rated_current_a: Decimal | None = None
    safety_switch: SafetySwitch | None = None
    battery_run: bool = False
    protected_by_switch: bool | None = None
    moved_in_use: bool | None = None
    risk_factor: bool | None = None
    remarks: str = ""


@dataclass(frozen=True, slots=True)
class ItemForm:
    """An item as it is opened for changing. `version` tells whether somebody else changed it in the meantime."""

    item_id: str
    tag: str
    version: int
    site_id: str
    site: str
    area: str
    facts: ItemFacts


@dataclass(frozen=True, slots=True)
class DutyMove:
    """One of the contractor's duties before and after a change, and why it is due then."""

    duty: Duty
    before: date | None
    after: date | None
    why: str


@dataclass(frozen=True, slots=True)
class Changed:
    """What a change did to an item: where it is now, how it is used, and the dates of its duties."""

    item_id: str
    tag: str
    site: str
    area: str
    environment: str
    duties: tuple[DutyMove, ...]

    @property
    def moved(self) -> tuple[DutyMove, ...]:
        """The duties whose date is another one now."""
        return tuple(duty for duty in self.duties if duty.before != duty.after)


def item_form(connection: Connection, item_id: str) -> ItemForm:
    """Return an item as it is opened for changing."""
    row = connection.execute(
        sa.select(Item.__table__, Site.name.label("site"), Area.name.label("area"))
        .join(Site, Site.id == Item.site_id)
        .join(Area, Area.id == Item.area_id)
        .where(Item.id == item_id)
    ).one()
    known = case(connection, item_id).item
    facts = ItemFacts(
        kind=known.kind, description=row.description, serial=row.serial, environment=row.environment,
        outlets=known.outlets, rated_current_a=known.rated_current_a, safety_switch=known.safety_switch,
        battery_run=known.battery_run, protected_by_switch=known.protected_by_switch,
        moved_in_use=known.moved_in_use, risk_factor=known.risk_factor, remarks=row.remarks,
    )  # fmt: skip
    return ItemForm(
        item_id=item_id,
        tag=row.tag_number,
        version=row.version,
        site_id=row.site_id,
        site=row.site,
        area=row.area,
        facts=facts,
    )


def enter_by_hand(
    change: Change, tag: str, facts: ItemFacts, *, site_id: str, area: str, since: date | None, new: bool
) -> str:
    """Enter an item in an area of a site, which is made where there is none of the name; return its id.

    `since` is the day from which it is known to be there, today where nobody says; `new` one that was looked over then
    and not yet tested.
    """
    return add_item(change, NewItem(
        tag=tag, area_id=area_named(change, site_id, area), since=since or change.today,
        condition=Condition.NEW if new else Condition.IN_USE, condition_since=since if new else None,
        **{each.name: getattr(facts, each.name) for each in fields(facts)},
    ))  # fmt: skip


def change_item(
    change: Change, item_id: str, facts: ItemFacts, *, version: int, opened: ItemFacts | None = None
) -> Changed:
    """Change what an item is; its dates follow at once.

    Refused for removed items, where somebody else changed it since it was opened (with the facts as they were `opened`
    beside his and these), or where the facts can't be.
    """
    item = change.session.get_one(Item, item_id)
    site = change.session.get_one(Site, item.site_id)
    _check_version(change, item, version, opened, facts)
    _check(item.tag_number, facts, site)
    before_dates = _dates(change, item_id)
    after = _columns(facts)
    before = {name: getattr(item, name) for name in after}
    different = {name: value for name, value in after.items() if before[name] != value}
    if different:
        for name, value in different.items():
            setattr(item, name, value)
        expose(change, [item_id])
        index_anew(change, [item_id])
        audit.log(change, Name.ITEM_CHANGE, item_id, before={name: before[name] for name in different}, after=different)
        redate(change, [item_id])
    return _changed(change, item_id, before_dates)


def move_to(change: Change, item_id: str, site_id: str, area: str, *, version: int) -> Changed:
    """Move an item to an area of a site, entering the area where it is new; its dates follow at once."""
    _check_version(change, change.session.get_one(Item, item_id), version)
    before = _dates(change, item_id)
    move_item(change, item_id, area_named(change, site_id, area))
    return _changed(change, item_id, before)


def _check_version(
    change: Change, item: Item, version: int, opened: ItemFacts | None = None, meant: ItemFacts | None = None
) -> None:
    if item.state == REMOVED:
        raise Refused(f"{item.tag_number} was removed for good, so nothing about it changes any more.")
    if item.version != version:
        theirs = None if opened is None else item_form(change.session.connection(), item.id).facts
        check_unchanged(item.tag_number, found=item.version, opened=version, before=opened, theirs=theirs, mine=meant)


def _check(tag: str, facts: ItemFacts, site: Site) -> None:
    if not 0 <= facts.outlets <= MOST_OUTLETS:
        raise Refused(f"{tag} can't have {facts.outlets} outlets. Give a number from 0 to {MOST_OUTLETS}.")
    if facts.environment is not None:
        check_environment(site.rulebook, facts.environment)
    wrong = contradiction(facts.safety_switch) if facts.safety_switch is not None else ""
    if wrong:
        raise Refused(f"{wrong} Read the rating plate again.")


def _columns(facts: ItemFacts) -> dict[str, Any]:
    """Return the facts as the item's columns hold them."""
    named = {name: value for name, value in asdict(facts).items() if name not in {"safety_switch", "rated_current_a"}}
    current = facts.rated_current_a
    return {
        **named,
        "kind": facts.kind.value,
        "description": clean_text(facts.description) or first_word(facts.kind),
        "serial": clean_text(facts.serial),
        "remarks": clean_text(facts.remarks),
        "rated_current_a": None if current is None else f"{current:f}",
        "switch": switch_row(facts.safety_switch),
    }


def _dates(change: Change, item_id: str) -> dict[Duty, date | None]:
    change.session.flush()
    known = case(change.session.connection(), item_id)
    return {duty.duty: duty.due for duty in known.duties() if duty.contractors and not duty.terms.relieved}


def _changed(change: Change, item_id: str, before: dict[Duty, date | None]) -> Changed:
    change.session.flush()
    item = change.session.get_one(Item, item_id)
    area = change.session.get_one(Area, item.area_id)
    site = change.session.get_one(Site, item.site_id)
    known = case(change.session.connection(), item_id)
    now = [duty for duty in known.duties() if duty.contractors and not duty.terms.relieved]
    moves = [
        DutyMove(duty.duty, before.get(duty.duty), duty.due, why(known.item, duty, known.rulebooks)[0]) for duty in now
    ]
    gone = [
        DutyMove(duty, due, None, "No longer asked of it.")
        for duty, due in before.items()
        if duty not in {each.duty for each in now}
    ]
    environment = rulebook(site.rulebook).environments[item.present_environment].title
    return Changed(item_id, item.tag_number, site.name, area.name, environment, (*moves, *gone))


def moved_words(changed: Changed) -> str:
    """Return what a change did to the dates, in one sentence for the status line; empty where nothing moved."""
    parts = [f"{spoken(duty.duty)} now {_on(duty.after)} (was {_on(duty.before)})" for duty in changed.moved]
    return f"{'; '.join(parts)}." if parts else ""


def _on(day: date | None) -> str:
    return "without a date" if day is None else day_words(day)
