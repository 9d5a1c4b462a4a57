"""Checking the register: the file, the history, and every date recomputed from records and rules."""

import sqlite3
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.domain.items import environment_of
from register.domain.words import Duty as DutyWord
from register.domain.words import spoken
from register.errors import Refused
from register.services.item_texts import stale
from register.services.photos import photo_faults
from register.services.projection import DUTY_COLUMNS, IN_SERVICE, REMOVED, WITHDRAWN, Projected, projected
from register.services.retention import let_go_faults
from register.services.sealed import sealed_faults
from register.store import chain, integrity
from register.store.bulk import chunks
from register.store.layout import guards_missing
from register.store.rights import sees_all
from register.store.tables import Area, Duty, Exposure, Item, ItemText, Reading, Record, Site, Tag, Withdrawal
from register.store.types import SQLITE

_MOST: Final = 100
_NOT_UNDERSTOOD: Final = (ValueError, LookupError, ArithmeticError, TypeError, Refused)
"""What reading a row raises that was overwritten with what can't stand there."""


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check counted, removed items too, and found.

    `faults` are sentences, at most a hundred; `more` counts the rest.
    """

    counts: dict[str, int]
    events: int
    head: str
    faults: tuple[str, ...]
    more: int = 0


def check(connection: Connection) -> Checked:
    """Check everything that can be checked without changing anything; a damaged file is not read any further."""
    if connection.dialect.name != SQLITE and not sees_all(connection):
        raise Refused("Only somebody who sees all owners can check a register. Leave it to him.")
    found = integrity.damage(connection)
    if not found:
        found = list(integrity.faults(connection))
        for part in (_references, _places, _texts, photo_faults, let_go_faults, _dates, sealed_faults, _guards):
            found += _as_far_as_understood(part(connection))
    end = chain.head(connection)
    counts = {
        "sites": _count(connection, Site), "items": _count(connection, Item), "records": _count(connection, Record),
        "readings": _count(connection, Reading), "duties": _count(connection, Duty),
    }  # fmt: skip
    return Checked(counts, end.count, end.hash, tuple(found[:_MOST]), max(0, len(found) - _MOST))


def _as_far_as_understood(faults: Iterator[str]) -> Iterator[str]:
    try:
        yield from faults
    except _NOT_UNDERSTOOD as error:
        yield f"What the register keeps can't be understood any further: {_said(error)}."
    except sa.exc.OperationalError as error:  # a name in the layout was overwritten
        if getattr(error.orig, "sqlite_errorcode", None) != sqlite3.SQLITE_ERROR:
            raise
        yield f"What the register keeps can't be understood any further: {error.orig}."


def _said(error: Exception) -> str:
    return str(error).rstrip(".") or type(error).__name__


def _count(connection: Connection, table: Any) -> int:  # noqa: ANN401 - a table class
    return int(connection.execute(sa.select(sa.func.count()).select_from(table)).scalar_one())


def _guards(connection: Connection) -> Iterator[str]:
    """Yield what no longer keeps the history as it was written; on a server its rights do that."""
    if connection.dialect.name == SQLITE:
        for name in guards_missing(connection):
            yield f"The guard {name} of the history is gone: it was taken out of the file from outside."


def _references(connection: Connection) -> Iterator[str]:
    """Yield what is missing or contradicts itself between tables."""
    for table, what in ((Tag, "tag"), (ItemText, "search text"), (Exposure, "place")):
        lost = sa.select(Item.tag_number).where(Item.id.not_in(sa.select(table.item_id)))
        for number in connection.execute(lost).scalars():
            yield f"{number} has no {what} on record."
    carried = sa.select(Tag.id).where(Tag.item_id == Item.id, Tag.number == Item.tag_number, Tag.until.is_(None))
    for number in connection.execute(sa.select(Item.tag_number).where(~carried.exists())).scalars():
        yield f"{number} is shown as the tag of an item that does not carry it."
    known = (IN_SERVICE, WITHDRAWN, REMOVED)
    for number, state in connection.execute(sa.select(Item.tag_number, Item.state).where(Item.state.not_in(known))):
        yield f"{number} is kept as “{state}”, which is none of: {', '.join(known)}."
    out = sa.select(Withdrawal.item_id).where(Withdrawal.ended_on.is_(None))
    unlike = sa.select(Item.tag_number).where((Item.state == WITHDRAWN) != Item.id.in_(out))
    for number in connection.execute(unlike).scalars():
        yield f"{number} is shown as in or out of service against its withdrawals."


def _places(connection: Connection) -> Iterator[str]:
    """Yield each item whose latest place on record is not where, and how harshly, it is used now."""
    latest = sa.select(Exposure.item_id, sa.func.max(Exposure.seq).label("seq")).group_by(Exposure.item_id).subquery()
    statement = (
        sa.select(
            Item.tag_number, Item.environment, Area.environment, Site.environment, Item.site_id, Item.area_id,
            Site.rulebook, Exposure.site_id, Exposure.area_id, Exposure.rulebook, Exposure.environment, Exposure.place,
        )
        .join(Area, Area.id == Item.area_id)
        .join(Site, Site.id == Item.site_id)
        .join(latest, latest.c.item_id == Item.id)
        .join(Exposure, (Exposure.item_id == Item.id) & (Exposure.seq == latest.c.seq))
        .where(Item.state != REMOVED)
    )  # fmt: skip
    for number, own, of_area, of_site, *places in connection.execute(statement):
        now = (*places[:3], *environment_of(own, of_area, of_site))
        if now != tuple(places[3:]):
            yield f"{number} is in another place, or used otherwise, than its latest place on record says."


def _texts(connection: Connection) -> Iterator[str]:
    for some in chunks(stale(connection), 500):
        for number in connection.execute(sa.select(Item.tag_number).where(Item.id.in_(some))).scalars():
            yield f"{number} is not found by its own words: its search text is out of date."


def _dates(connection: Connection) -> Iterator[str]:
    """Yield each date that differs from what records and rules say."""
    kept: dict[str, dict[str, Sequence[Any]]] = defaultdict(dict)
    for key, duty, *row in connection.execute(sa.select(*_DUTIES)):
        kept[key][duty] = row
    columns = (Item.id, Item.tag_number, Item.present_environment, Item.next_due, Item.untested)
    items = {row.id: row for row in connection.execute(sa.select(*columns))}
    for item_id, each in _understood(connection, list(items)):
        _id, number, *facts = items[item_id]
        if isinstance(each, str):
            yield f"What is kept of {number} can't be understood: {each}."
            continue
        yield from _differences(number, _ITEM_WORDS, facts, (each.environment, each.next_due, each.untested))
        asked = {duty: row for _key, duty, *row in each.duties}
        for duty in sorted({*asked, *kept[item_id]}):
            yield from _duty_faults(f"{number}, {_spoken(duty)}", kept[item_id].get(duty), asked.get(duty))
    yield from (f"A duty is kept of an item that does not exist: {stray}." for stray in sorted(kept.keys() - items))


_DUTIES: Final = tuple(getattr(Duty, name) for name in DUTY_COLUMNS)
_ITEM_WORDS: Final = ("environment class", "next date", "never tested")
_DUTY_WORDS: Final = (
    "site", "the contractor's duty", "in the plan of visits", "interval", "last done", "due", "never done",
)  # fmt: skip


def _understood(connection: Connection, ids: list[str]) -> Iterator[tuple[str, Projected | str]]:
    """Yield what each item's schedule should be, or why nobody can tell."""
    for some in chunks(ids, 500):
        try:
            made = list(projected(connection, some))
        except _NOT_UNDERSTOOD:
            yield from ((each, _one(connection, each)) for each in some)
        else:
            yield from ((each.item_id, each) for each in made)


def _one(connection: Connection, item_id: str) -> Projected | str:
    try:
        return next(iter(projected(connection, [item_id])))
    except _NOT_UNDERSTOOD as error:
        return _said(error)


def _spoken(duty: str) -> str:
    """Return a duty in words; one that was overwritten as it stands there."""
    try:
        return spoken(DutyWord(duty))
    except ValueError:
        return duty


def _duty_faults(what: str, found: Sequence[Any] | None, right: Sequence[Any] | None) -> Iterator[str]:
    if found is None:
        yield f"{what}: not kept, though the rules ask it."
    elif right is None:
        yield f"{what}: kept, though the rules ask no such duty."
    else:
        yield from _differences(what, _DUTY_WORDS, found, right)


def _differences(what: str, names: Sequence[str], kept: Sequence[Any], right: Sequence[Any]) -> Iterator[str]:
    for name, found, said in zip(names, kept, right, strict=True):
        if found != said:
            yield f"{what}: {name} is kept as {_cell(found)}; records and rules say {_cell(said)}."


def _cell(value: Any) -> str:  # noqa: ANN401 - whatever a column holds
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return day_words(value) if isinstance(value, date) else str(value)
