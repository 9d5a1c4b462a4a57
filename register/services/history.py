"""The history in words: what was done lately, by whom, to which item or place."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.services.settings import BY_NAME
from register.store.audit import Name
from register.store.tables import Area, Event, Instrument, Item, Owner, Site, Tester

LATEST: Final = 200

WORDS: Final = {
    Name.REGISTER_CREATE: "Register begun",
    Name.REGISTER_RESTORE: "Put back from a copy",
    Name.REGISTER_UPGRADE: "Brought up to date",
    Name.SETTING_CHANGE: "Setting changed",
    Name.TEAM_IN: "Let into the team",
    Name.TEAM_OUT: "Let out of the team",
    Name.OWNER_ADD: "Owner entered",
    Name.OWNER_CHANGE: "Owner changed",
    Name.SITE_ADD: "Site entered",
    Name.SITE_CHANGE: "Site changed",
    Name.AREA_ADD: "Area entered",
    Name.AREA_CHANGE: "Area changed",
    Name.ITEM_ADD: "Item entered",
    Name.ITEM_CHANGE: "Item changed",
    Name.ITEM_MOVE: "Item moved",
    Name.ITEM_REMOVE: "Item removed for good",
    Name.TAG_ADD: "New tag put on",
    Name.TAG_RANGE_ADD: "Range of tag numbers entered",
    Name.TAG_RANGE_END: "Range of tag numbers ended",
    Name.RECORD_ADD: "Test recorded",
    Name.RECORD_CORRECT: "Record corrected",
    Name.MARK_ADD: "Duty marked as done",
    Name.WITHDRAWAL_OPEN: "Taken out of service",
    Name.WITHDRAWAL_CHANGE: "Withdrawal changed",
    Name.WITHDRAWAL_END: "Withdrawal ended",
    Name.PHOTO_ADD: "Photo added",
    Name.LET_GO: "What was kept long enough removed",
    Name.OVERRIDE_ADD: "Interval set by decision",
    Name.OVERRIDE_END: "Decision on an interval ended",
    Name.TESTER_ADD: "Tester entered",
    Name.TESTER_CHANGE: "Tester changed",
    Name.INSTRUMENT_ADD: "Instrument entered",
    Name.INSTRUMENT_CHANGE: "Instrument changed",
    Name.CODE_ASIDE: "Unknown code set aside",
    Name.CODE_SETTLE: "Code set aside settled",
    Name.INTAKE: "Spreadsheet taken in",
    Name.REVIEW_TAKE: "Owner's answers taken in",
    Name.BOOK_SEND: "Owner workbook handed over",
    Name.QUERY_ADD: "Owner's query noted",
    Name.QUERY_SETTLE: "Owner's query answered",
    Name.REDATE: "All dates worked out anew",
    Name.SITE_VISITING: "How a site is visited changed",
    Name.VAN_ADD: "Van entered",
    Name.VAN_CHANGE: "Van changed",
    Name.WEEK_PLAN: "Week planned",
    Name.PACK_MAKE: "Field pack made",
    Name.PACK_OPEN: "Field pack opened",
    Name.PACK_BACK: "Field work sent back",
    Name.PACK_MERGE: "Field work merged",
    Name.PACK_SETTLE: "Brought in line after a merge",
    Name.UNDO: "Undone",
    Name.REDO: "Done again",
}
"""What each event is called."""


@dataclass(frozen=True, slots=True)
class Happened:
    """One event in words. `item_id` is given where it happened to an item, so that it can be shown."""

    seq: int
    at: datetime
    who: str
    what: str
    to: str
    item_id: str | None


def history(connection: Connection, limit: int = LATEST) -> list[Happened]:
    """Return the latest events, the last one first."""
    columns = (Event.seq, Event.at, Event.actor, Event.name, Event.subject, Event.data)
    rows = connection.execute(sa.select(*columns).order_by(Event.seq.desc()).limit(limit)).all()
    told = [(row, json.loads(row.data)) for row in rows]
    keys = {str(key) for row, data in told for key in (row.subject, data.get("item"), data.get("target")) if key}
    items, places = _items(connection, keys), _others(connection, keys)
    return [_happened(row, data, items, places) for row, data in told]


def _happened(row: Any, data: dict[str, Any], items: dict[str, str], places: dict[str, str]) -> Happened:  # noqa: ANN401 - a row
    keys = [str(key) for key in (data.get("item"), data.get("target"), row.subject) if key]
    item = next((key for key in keys if key in items), None)
    to = items[item] if item else next((places[key] for key in keys if key in places), "") or _facts(row.name, data)
    what = WORDS[Name(row.name)] if row.name in set(Name) else row.name
    return Happened(row.seq, datetime.fromisoformat(row.at), row.actor, what, to, item)


def _facts(event: str, data: dict[str, Any]) -> str:
    """Return what an event is about that has no row of its own: a setting, a file, a copy, a firm."""
    name = data.get("setting")
    if name in BY_NAME:
        return BY_NAME[name].label
    return named(event, str(next((data[key] for key in ("file", "name", "firm", "what") if data.get(key)), "")))


def named(event: str, name: str) -> str:
    """Return a name that stands in an event in words: a week is kept by the day on which it begins."""
    return day_words(date.fromisoformat(name)) if event == Name.WEEK_PLAN.value and name else name


def _items(connection: Connection, keys: Iterable[str]) -> dict[str, str]:
    statement = (
        sa.select(Item.id, Item.tag_number, Site.name)
        .join(Site, Site.id == Item.site_id)
        .where(Item.id.in_(list(keys)))
    )
    return {key: f"{tag}, {site}" for key, tag, site in connection.execute(statement)}


def _others(connection: Connection, keys: Iterable[str]) -> dict[str, str]:
    wanted = list(keys)
    found: dict[str, str] = {}
    for key, words in (
        (Owner.id, Owner.name), (Site.id, Site.name), (Tester.id, Tester.name), (Instrument.id, Instrument.serial)
    ):  # fmt: skip
        found |= dict(connection.execute(sa.select(key, words).where(key.in_(wanted))).all())
    areas = sa.select(Area.id, Area.name, Site.name).join(Site, Site.id == Area.site_id).where(Area.id.in_(wanted))
    return found | {key: f"{area}, {site}" for key, area, site in connection.execute(areas)}
