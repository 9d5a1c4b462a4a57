"""The tags of items as they are printed today: what stands on each, and which get none and why."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.explain import day_words
from register.domain.tag_face import Face, TagFacts, Value, face_of
from register.domain.tag_words import TagField, TagKind
from register.domain.words import CONTRACTORS_DUTIES, Condition, Result
from register.errors import Refused
from register.services.cases import cases
from register.services.items import find_item
from register.services.places import known_site
from register.services.projection import REMOVED, WITHDRAWN
from register.services.rulebooks import rulebook
from register.services.settings import setting
from register.services.withdrawals.listed import OutRow, out_of_service
from register.store.amended import stands
from register.store.bulk import chunks
from register.store.tables import Item, Record, RecordDuty, Site, Tester


@dataclass(frozen=True, slots=True)
class ItemFace:
    """The tag of one item."""

    item_id: str
    face: Face


@dataclass(frozen=True, slots=True)
class Faces:
    """The tags of some items, in order. `refused` are sentences on those that get none."""

    faces: tuple[ItemFace, ...]
    refused: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known of some items: their last passes, what keeps them out, since when they are there."""

    passes: Mapping[str, Row[Any]]
    out: Mapping[str, OutRow]
    since: Mapping[str, date | None]
    firm: str
    colours: bool


def items_at(connection: Connection, code: str) -> list[str]:
    """Return the items at a site that are not removed, by tag; refused where there is no such site."""
    statement = sa.select(Item.id).where(Item.site_id == known_site(connection, code), Item.state != REMOVED)
    return list(connection.execute(statement.order_by(Item.tag_number, Item.id)).scalars())


def items_tagged(connection: Connection, tags: Sequence[str]) -> list[str]:
    """Return the items that have or had these tags, in order; refused where one is unknown."""
    return [find_item(connection, tag) for tag in tags]


def tag_faces(connection: Connection, item_ids: Sequence[str], today: date, kind: TagKind | None = None) -> Faces:
    """Return the tags of items as they are printed on a day.

    Without a `kind` each gets what it needs: out of service where it is withdrawn, new to service where it is new
    and was never tested, a pass tag otherwise. A pass tag is given to an item in service alone, whose duties have
    all passed and none of which is overdue; its date is that of the earliest of the contractor's duties.
    """
    wanted = list(dict.fromkeys(item_ids))
    rows = {row.id: row for some in chunks(wanted, 500) for row in connection.execute(_items(some))}
    known = _known(connection, rows, today)
    faces, refused = [], []
    for key in wanted:
        row = rows[key]
        try:
            facts = _facts(row, kind or _needed(row, known), known, today)
            faces.append(ItemFace(key, face_of(facts, rulebook(row.rulebook), colours=known.colours)))
        except Refused as why:
            refused.append(str(why))
    return Faces(tuple(faces), tuple(refused))


def _items(some: Sequence[str]) -> sa.Select[*tuple[Any, ...]]:
    columns = (
        Item.id, Item.tag_number, Item.state, Item.untested, Item.next_due, Item.condition, Item.condition_since,
        Item.present_environment, Site.rulebook,
    )  # fmt: skip
    statement: sa.Select[*tuple[Any, ...]] = sa.select(*columns).join(Site, Site.id == Item.site_id)
    return statement.where(Item.id.in_(some))


def _known(connection: Connection, rows: Mapping[str, Row[Any]], today: date) -> _Known:
    ids = list(rows)
    out = {}
    if any(row.state == WITHDRAWN for row in rows.values()):
        out = {row.item_id: row for row in out_of_service(connection, today)}
    new = [key for key, row in rows.items() if row.condition == Condition.NEW.value]
    since = {case.id: case.item.since for case in cases(connection, new)} if new else {}
    firm = str(setting(connection, "firm", ""))
    return _Known(_passes(connection, ids), out, since, firm, setting(connection, "tag_colours", "on") == "on")


def _passes(connection: Connection, ids: Sequence[str]) -> dict[str, Row[Any]]:
    """Return each item's latest pass of a contractor's duty, with who tested and his licence."""
    found: dict[str, Row[Any]] = {}
    for some in chunks(ids, 500):
        statement = (
            sa.select(Record.item_id, Record.tested_on, Record.tester, Tester.licence)
            .join(RecordDuty, RecordDuty.record_id == Record.id)
            .outerjoin(Tester, Tester.name == Record.tester)
            .where(
                Record.item_id.in_(some), RecordDuty.verdict == Result.PASS.value,
                RecordDuty.duty.in_([duty.value for duty in CONTRACTORS_DUTIES]), stands(Record.id),
            )
            .order_by(Record.tested_on, sa.nulls_first(Record.tested_at), Record.id)
        )  # fmt: skip
        found |= {row.item_id: row for row in connection.execute(statement)}
    return found


def _needed(row: Row[Any], known: _Known) -> TagKind:
    """Return the sort of tag that an item needs as it stands."""
    if row.state == WITHDRAWN:
        return TagKind.OUT_OF_SERVICE
    if row.condition == Condition.NEW.value and row.id not in known.passes:
        return TagKind.NEW_TO_SERVICE
    return TagKind.PASS


def _facts(row: Row[Any], kind: TagKind, known: _Known, today: date) -> TagFacts:
    """Return what stands on an item's tag of a sort; refused where it may not have one."""
    if row.state == REMOVED:
        raise Refused(f"{row.tag_number} was removed for good, so it gets no tag.")
    make = {
        TagKind.PASS: _passed, TagKind.OUT_OF_SERVICE: _withdrawn, TagKind.NEW_TO_SERVICE: _new,
    }[kind]  # fmt: skip
    values = {field: value for field, value in make(row, known, today).items() if value}
    return TagFacts(kind, row.tag_number, row.present_environment, {TagField.FIRM: known.firm, **values})


def _passed(row: Row[Any], known: _Known, today: date) -> dict[TagField, Value | None]:
    last = known.passes.get(row.id)
    if row.state == WITHDRAWN:
        raise Refused(f"{row.tag_number} is out of service, so it gets no pass tag. Test it first.")
    if last is None or row.untested or row.next_due is None:
        raise Refused(f"{row.tag_number} has not passed all that is due, so it gets no pass tag. Test it first.")
    if row.next_due < today:
        raise Refused(
            f"{row.tag_number} is overdue since {day_words(row.next_due)}, so it gets no pass tag. Test it first."
        )
    return {
        TagField.TESTED: last.tested_on, TagField.RETEST: row.next_due, TagField.TESTER: last.tester,
        TagField.LICENCE: last.licence,
    }  # fmt: skip


def _withdrawn(row: Row[Any], known: _Known, _today: date) -> dict[TagField, Value | None]:
    out = known.out.get(row.id)
    if out is None:
        raise Refused(f"{row.tag_number} is in service, so it gets no out-of-service tag.")
    return {TagField.WITHDRAWN: out.since, TagField.REASON: out.short, TagField.OUT_NUMBER: out.tag_number}


def _new(row: Row[Any], known: _Known, today: date) -> dict[TagField, Value | None]:
    if row.state == WITHDRAWN or row.condition != Condition.NEW.value or row.id in known.passes:
        raise Refused(f"{row.tag_number} is not new and untested, so it gets no new-to-service tag.")
    if row.untested or row.next_due is None or row.next_due < today:
        raise Refused(f"{row.tag_number} must be tested before it is used, so it gets no new-to-service tag.")
    return {TagField.IN_SERVICE: row.condition_since or known.since.get(row.id), TagField.RETEST: row.next_due}
