"""The items of a file that is taken in: new ones entered, known ones brought up to what the rows say."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.explain import day_words
from register.domain.items import SAFETY_SWITCHES, SafetySwitch, outlets_of
from register.domain.text import clean_tag, clean_text
from register.domain.words import Condition, Delay, Kind, spoken
from register.errors import Refused
from register.services.cases import switch_row
from register.services.intake.alike import alike
from register.services.intake.rows import Became, IntakeItem, RowPlace, RowProblem
from register.services.item_texts import index_anew
from register.services.items import NewItem, enter_each
from register.services.places import area_named
from register.services.projection import REMOVED
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Area, Item, Tag


@dataclass(slots=True)
class Entered:
    """How many items were new, changed or as they were, and the ids of those whose dates are to be worked out.

    `out_of_service` are the new ones that their rows say are out of service; `became` says it of each row.
    """

    new: int = 0
    changed: int = 0
    same: int = 0
    touched: list[str] = field(default_factory=list)
    out_of_service: list[str] = field(default_factory=list)
    became: dict[RowPlace, Became] = field(default_factory=dict)


def take_items(
    change: Change,
    items: Sequence[IntakeItem],
    sites: Mapping[str, str],
    first_seen: Mapping[tuple[str, str], date],
    problems: list[RowProblem],
) -> Entered:
    """Enter new items and change known ones where the rows say something else. `sites` are ids by code.

    `first_seen` tells the first day on which the rows show an item, by site code and tag. What can't be taken, and
    what is to be looked at, is added to the problems.
    """
    known = _known(change.session.connection(), sites)
    entered = Entered()
    areas: dict[tuple[str, str], str] = {}
    fresh: list[tuple[IntakeItem, NewItem]] = []
    for key, item in _once_each(items, problems):
        present = known.get(key)
        if present is None:
            new = _new(change, item, sites[item.site], areas, first_seen.get(key, change.today), problems)
            fresh += [(item, new)] if new is not None else []
            continue
        problems += _unlike(present, item)
        if _change(change, present, item):
            entered.changed += 1
            entered.touched.append(present.id)
            entered.became[item.place] = Became.CHANGED
        else:
            entered.same += 1
            entered.became[item.place] = Became.SAME
    index_anew(change, entered.touched)
    problems += alike(known, (item for item, _new_item in fresh))
    _enter(change, fresh, entered, problems)
    return entered


def _enter(
    change: Change, fresh: Sequence[tuple[IntakeItem, NewItem]], entered: Entered, problems: list[RowProblem]
) -> None:
    ids = enter_each(change, [new for _item, new in fresh])
    for (item, _new_item), item_id in zip(fresh, ids, strict=True):
        if isinstance(item_id, Refused):
            problems.append(RowProblem(item.place, "", item.tag, str(item_id)))
        else:
            entered.new += 1
            entered.became[item.place] = Became.NEW
            entered.touched.append(item_id)
            entered.out_of_service += [item_id] * item.out_of_service


def _once_each(items: Sequence[IntakeItem], problems: list[RowProblem]) -> Iterator[tuple[tuple[str, str], IntakeItem]]:
    """Yield each item with its site's code and its tag; rows without a tag, or with one seen before, are problems."""
    seen: dict[tuple[str, str], IntakeItem] = {}
    for item in items:
        try:
            key = (item.site, clean_tag(item.tag))
        except Refused as refused:
            problems.append(RowProblem(item.place, "tag", item.tag, str(refused)))
            continue
        first = seen.setdefault(key, item)
        if first is item:
            yield key, item
        else:
            reason = f"The tag stands in row {first.place.row} already; this row was left out. Give it its own tag."
            problems.append(RowProblem(item.place, "tag", item.tag, reason))


def _known(connection: Connection, sites: Mapping[str, str]) -> dict[tuple[str, str], Row[Any]]:
    """Return the items of the rows' sites by site code and each tag they have or had."""
    codes = {key: code for code, key in sites.items()}
    columns = (
        Item.id, Item.site_id, Item.kind, Item.description, Item.serial, Item.outlets, Item.switch, Item.environment,
        Item.rated_current_a, Item.state, Item.condition, Item.not_found_on, Tag.number, Area.name.label("area"),
    )  # fmt: skip
    statement = (
        sa.select(*columns)
        .join(Tag, Tag.item_id == Item.id)
        .join(Area, Area.id == Item.area_id)
        .where(Item.site_id.in_(list(codes)))
    )
    return {(codes[row.site_id], row.number): row for row in connection.execute(statement)}


def _new(
    change: Change,
    item: IntakeItem,
    site: str,
    areas: dict[tuple[str, str], str],
    since: date,
    problems: list[RowProblem],
) -> NewItem | None:
    """Return the new item of a row, its area entered; None, with the reason noted, where it can't be one."""
    if item.kind is None:
        problems.append(RowProblem(item.place, "kind", "", "A new item needs a kind. Say what it is."))
        return None
    try:
        area = areas.get((site, item.area)) or area_named(change, site, item.area, item.area_environment)
    except Refused as refused:
        problems.append(RowProblem(item.place, "area", item.area, str(refused)))
        return None
    areas[site, item.area] = area
    return NewItem(
        tag=item.tag, area_id=area, kind=item.kind, since=since, description=item.description, serial=item.serial,
        environment=item.environment, outlets=outlets_of(item.kind, item.outlets),
        safety_switch=_switch(item, item.kind), rated_current_a=item.rated_current_a, condition=item.condition,
        condition_since=item.since, moved_in_use=item.moved_in_use, protected_by_switch=item.protected_by_switch,
        risk_factor=item.risk_factor, earlier_tags=item.earlier_tags,
        not_found_on=change.today if item.not_found else None, removed_on=item.removed_on, remarks=item.remarks,
    )  # fmt: skip


def _switch(item: IntakeItem, kind: Kind) -> SafetySwitch | None:
    """A safety switch whose plate the row says nothing of is one all the same, with an unknown plate."""
    return item.safety_switch or (SafetySwitch() if kind in SAFETY_SWITCHES else None)


def _change(change: Change, present: Row[Any], item: IntakeItem) -> bool:
    """Bring a known item up to what the row says; empty cells say nothing. Returns whether anything changed."""
    stated: dict[str, Any] = {
        "description": clean_text(item.description),
        "serial": clean_text(item.serial),
        "switch": _plate(present.switch, item.safety_switch),
        "outlets": item.outlets,
        "rated_current_a": None if item.rated_current_a is None else f"{item.rated_current_a:f}",
    }
    fresh = {name: value for name, value in stated.items() if value and getattr(present, name) != value}
    if not fresh:
        return False
    row = change.session.get_one(Item, present.id)
    before = {name: getattr(row, name) for name in fresh}
    for name, value in fresh.items():
        setattr(row, name, value)
    audit.log(change, Name.ITEM_CHANGE, row.id, before=before, after=fresh)
    return True


def _plate(kept: dict[str, str] | None, said: SafetySwitch | None) -> dict[str, str] | None:
    """Return the rating plate as it is kept with what the row adds; a delay it does not name is the kept one."""
    row = switch_row(said)
    if row is None or said is None or kept is None:
        return row
    if said.delay is Delay.GENERAL:
        del row["delay"]
    return kept | row


def _unlike(present: Row[Any], item: IntakeItem) -> Iterator[RowProblem]:
    """Yield what the row says otherwise than the register and a file does not change by itself."""
    for column, said, kept in _compared(present, item):
        if said and kept != said:
            reason = (
                f"The register has {kept or 'nothing'} here; it was left so. Change it there if the sheet is right."
            )
            yield RowProblem(item.place, column, said, reason, refused=False)
    removed = present.state == REMOVED
    if item.removed_on is not None and not removed:
        reason = "The register still has it. Remove it there if it is gone for good."
        yield RowProblem(item.place, "removed", day_words(item.removed_on), reason, refused=False)
    if item.not_found and not removed and present.not_found_on is None:
        reason = "The register does not say so, and was left as it is. Look for the item at the next visit."
        yield RowProblem(item.place, "not found", item.tag, reason, refused=False)


def _compared(present: Row[Any], item: IntakeItem) -> Iterator[tuple[str, str, str]]:
    """Yield each of those columns: its name, what the row says in words, and what the register has."""
    yield "kind", spoken(item.kind) if item.kind else "", spoken(Kind(present.kind))
    yield "area", clean_text(item.area), present.area
    yield "environment", item.environment or "", present.environment or ""
    stated = item.condition is not Condition.IN_USE
    yield "condition", spoken(item.condition) if stated else "", spoken(Condition(present.condition))
