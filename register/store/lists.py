"""The queries behind every list: searched, filtered, sorted and counted by the database, a page at a time.

A statement is built once for each shape of question and kept; what was asked is bound to it. Building it anew would
take longer than many an answer.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum, StrEnum
from functools import lru_cache
from typing import Any, Final, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.words import Standing
from register.store.bulk import rows_of
from register.store.search import matching, word_values, words_of
from register.store.tables import Area, Duty, Item, Site
from register.store.types import Day, Key

Select = sa.Select[*tuple[Any, ...]]
Condition = sa.ColumnElement[bool]

PAGE: Final = 200


class Sort(StrEnum):
    """What a list of items can be sorted by."""

    DUE = "due"
    TAG = "tag"
    DESCRIPTION = "description"
    KIND = "kind"
    SITE = "site"


@dataclass(frozen=True, slots=True)
class ItemFilter:
    """What a list of items shows; empty means all. `today` and `soon_days` decide the standings.

    `due_from` and `due_to`, both included, ask for items with a planned duty of the contractor's in that time.
    """

    today: date
    text: str = ""
    standings: frozenset[Standing] = frozenset()
    kinds: frozenset[str] = frozenset()
    environments: frozenset[str] = frozenset()
    site: str | None = None
    area: str | None = None
    soon_days: int = 14
    due_from: date | None = None
    due_to: date | None = None


class _Behind(Enum):
    """Where a page begins: at the start, behind a row without a value, or behind one with a value."""

    NOTHING = 0
    NO_VALUE = 1
    VALUE = 2


class _Shape(NamedTuple):
    """All of a filter that decides the statement."""

    dialect: str
    words: tuple[int, int]
    standings: frozenset[Standing]
    narrowed: tuple[str, ...]


ITEM_COLUMNS: Final = (
    Item.id, Item.tag_number, Item.kind, Item.description, Item.serial, Item.state, Item.next_due, Item.untested,
    Item.present_environment, Item.removed_on, Item.not_found_on,
)  # fmt: skip
PLACE_COLUMNS: Final = (Site.code.label("site"), Site.name.label("site_name"), Area.name.label("area"))

SORTED: Final[dict[Sort, Any]] = {
    Sort.DUE: Item.next_due,
    Sort.TAG: Item.tag_number,
    Sort.DESCRIPTION: Item.description,
    Sort.KIND: Item.kind,
    Sort.SITE: Site.name,
}

_LIMIT: Final = sa.bindparam("limit", type_=sa.Integer)
_AFTER_KEY: Final = sa.bindparam("after_key", type_=Key())


def item_page(
    connection: Connection,
    wanted: ItemFilter,
    *,
    sort: Sort = Sort.DUE,
    after: tuple[Any, str] | None = None,
    limit: int = PAGE,
) -> list[Row[Any]]:
    """Return one page of items with site and area, from just behind `after`: the last row's sort value and id.

    Items without a date come first when sorted by date.
    """
    shape, values = _asked(connection, wanted)
    values["limit"] = limit
    behind = _Behind.NOTHING
    if after is not None:
        values["after"], values["after_key"] = after
        behind = _Behind.VALUE if after[0] is not None else _Behind.NO_VALUE
    return list(connection.execute(_item_page(shape, sort, behind), values))


@lru_cache(maxsize=1_024)
def _item_page(shape: _Shape, sort: Sort, behind: _Behind) -> Select:
    column = SORTED[sort]
    statement = _with_place(sa.select(*ITEM_COLUMNS, *PLACE_COLUMNS)).where(*_conditions(shape))
    if behind is _Behind.NO_VALUE:
        statement = statement.where(sa.or_(sa.and_(column.is_(None), Item.id > _AFTER_KEY), column.is_not(None)))
    elif behind is _Behind.VALUE:
        after = sa.bindparam("after", type_=column.type)
        statement = statement.where(sa.tuple_(column, Item.id) > sa.tuple_(after, _AFTER_KEY))
    return statement.order_by(sa.nulls_first(column), Item.id).limit(_LIMIT)


def _with_place(statement: Select) -> Select:
    return statement.join(Site, Site.id == Item.site_id).join(Area, Area.id == Item.area_id)


def item_keys(
    connection: Connection, wanted: ItemFilter, *, sort: Sort = Sort.DUE, descending: bool = False
) -> list[str]:
    """Return the ids of all items that the filter shows, in order, for a list that fetches rows as it is scrolled.

    By date those never tested come first, then the earliest date, and last those that no duty of ours dates.
    """
    shape, values = _asked(connection, wanted)
    keys: list[str] = []
    for part in range(len(_PARTS.get(sort, _WHOLE))):
        keys += (key for (key,) in rows_of(connection, _item_keys(shape, sort, part), values))
    return keys[::-1] if descending else keys


_WHOLE: Final[tuple[Condition, ...]] = (sa.true(),)
_PARTS: Final[dict[Sort, tuple[Condition, ...]]] = {
    Sort.DUE: (
        sa.and_(Item.next_due.is_(None), Item.untested == sa.true()),
        Item.next_due.is_not(None),
        sa.and_(Item.next_due.is_(None), Item.untested == sa.false()),
    )
}
"""What a list shows one after the other, each part in the order of an index: never tested, dated, without any date."""


@lru_cache(maxsize=1_024)
def _item_keys(shape: _Shape, sort: Sort, part: int) -> Select:
    within = _PARTS.get(sort, _WHOLE)[part]
    statement = sa.select(Item.id).where(*_conditions(shape), within).order_by(SORTED[sort], Item.id)
    return statement.join(Site, Site.id == Item.site_id) if sort is Sort.SITE else statement


def item_rows(connection: Connection, keys: Collection[str]) -> dict[str, Row[Any]]:
    """Return the rows of these items with site and area, by id."""
    return {row.id: row for row in connection.execute(_ITEM_ROWS, {"keys": list(keys)})}


_ITEM_ROWS: Final = _with_place(sa.select(*ITEM_COLUMNS, *PLACE_COLUMNS)).where(
    Item.id.in_(sa.bindparam("keys", expanding=True))
)


def count_items(connection: Connection, wanted: ItemFilter) -> int:
    """Return how many items the filter shows."""
    shape, values = _asked(connection, wanted)
    return int(connection.execute(_count_items(shape), values).scalar_one())


@lru_cache(maxsize=1_024)
def _count_items(shape: _Shape) -> sa.Select[int]:
    return sa.select(sa.func.count()).select_from(Item).where(*_conditions(shape))


def count_by_standing(connection: Connection, wanted: ItemFilter) -> dict[Standing, int]:
    """Return how many items of each standing the filter shows."""
    shape, values = _asked(connection, wanted)
    counted = connection.execute(_count_by_standing(shape), values | _days(wanted))
    return {Standing(name): count for name, count in counted}


@lru_cache(maxsize=1_024)
def _count_by_standing(shape: _Shape) -> Select:
    standing = sa.case(*((meets, name.value) for name, meets in STANDING.items())).label("standing")
    return sa.select(standing, sa.func.count()).where(*_conditions(shape)).group_by(standing)


_TODAY: Final = sa.bindparam("today", type_=Day())
_SOON: Final = sa.bindparam("soon", type_=Day())
_IN_USE: Final = Item.state == Standing.IN_SERVICE.value
_OVERDUE: Final = Item.next_due < _TODAY
_NOT_OVERDUE: Final = sa.or_(Item.next_due.is_(None), Item.next_due >= _TODAY)
_TESTED: Final = Item.untested == sa.false()

_IN_USE_STANDING: Final[dict[Standing, Condition]] = {
    Standing.OVERDUE: _OVERDUE,
    Standing.UNTESTED: sa.and_(_NOT_OVERDUE, Item.untested == sa.true()),
    Standing.DUE_SOON: sa.and_(_TESTED, Item.next_due >= _TODAY, Item.next_due <= _SOON),
    Standing.IN_SERVICE: sa.and_(_TESTED, sa.or_(Item.next_due.is_(None), Item.next_due > _SOON)),
}
"""What an item that is neither withdrawn nor removed must meet to have each standing."""

STANDING: Final[dict[Standing, Condition]] = {
    Standing.REMOVED: Item.state == Standing.REMOVED.value,
    Standing.WITHDRAWN: Item.state == Standing.WITHDRAWN.value,
    **{standing: sa.and_(_IN_USE, meets) for standing, meets in _IN_USE_STANDING.items()},
}
"""The condition of each standing, `today` and `soon` left open; together they are `domain.standing.standing_on`."""


_NOT_REMOVED: Final = frozenset(Standing) - {Standing.REMOVED}


def _days(wanted: ItemFilter) -> dict[str, date]:
    return {"today": wanted.today, "soon": wanted.today + timedelta(days=max(wanted.soon_days, -1))}


def _has_standing(standings: frozenset[Standing]) -> Condition:
    """Return the condition for any of these standings; what they share stands in front, where an index finds it.

    All but the removed ones are those that aren't removed: said so, the rows come in the order of an index, unsorted.
    """
    if standings == _NOT_REMOVED:
        return Item.state != Standing.REMOVED.value
    in_use = [meets for standing, meets in _IN_USE_STANDING.items() if standing in standings]
    whole = len(in_use) == len(_IN_USE_STANDING)
    found = [STANDING[each] for each in (Standing.REMOVED, Standing.WITHDRAWN) if each in standings]
    if in_use:
        found.append(_IN_USE if whole else sa.and_(_IN_USE, sa.or_(*in_use)))
    return sa.or_(*found)


_NARROWING: Final[dict[str, Condition]] = {
    "kinds": Item.kind.in_(sa.bindparam("kinds", expanding=True)),
    "environments": Item.present_environment.in_(sa.bindparam("environments", expanding=True)),
    "site": Item.site_id == sa.bindparam("site", type_=Key()),
    "area": Item.area_id == sa.bindparam("area", type_=Key()),
    "due": Item.id.in_(
        sa.select(Duty.item_id).where(
            Duty.planned == sa.true(),
            Duty.contractors == sa.true(),
            Duty.due.between(sa.bindparam("due_from", type_=Day()), sa.bindparam("due_to", type_=Day())),
        )
    ),
}


def _asked(connection: Connection, wanted: ItemFilter) -> tuple[_Shape, dict[str, Any]]:
    """Return what the statement for a filter depends on, and the values to bind to it."""
    dialect, words = connection.dialect.name, words_of(wanted.text)
    narrowing = {
        "kinds": sorted(wanted.kinds) or None,
        "environments": sorted(wanted.environments) or None,
        "site": wanted.site,
        "area": wanted.area,
    }
    values: dict[str, Any] = {name: value for name, value in narrowing.items() if value is not None}
    narrowed = tuple(values)
    if wanted.due_from is not None or wanted.due_to is not None:
        narrowed += ("due",)
        values |= {"due_from": wanted.due_from or date.min, "due_to": wanted.due_to or date.max}
    shape = _Shape(dialect, words.shape, wanted.standings, narrowed)
    if wanted.standings:
        values |= _days(wanted)
    return shape, values | word_values(dialect, words)


def _conditions(shape: _Shape) -> list[Condition]:
    """Return what an item must meet to be shown."""
    found = [_NARROWING[name] for name in shape.narrowed]
    if shape.standings:
        found.append(_has_standing(shape.standings))
    if any(shape.words):
        found.append(matching(shape.dialect, shape.words))
    return found


def overdue_by_site(connection: Connection, today: date) -> list[Row[Any]]:
    """Return each site that has overdue or never tested items in service, with how many and since when."""
    return list(connection.execute(_OVERDUE_BY_SITE, {"today": today}))


def _overdue_by_site() -> Select:
    """Count in one pass over the index by site; a condition on the state would lead to another and to a sort."""
    overdue, untested = STANDING[Standing.OVERDUE], STANDING[Standing.UNTESTED]
    counted = (
        sa.select(
            Item.site_id,
            sa.func.sum(sa.case((overdue, 1), else_=0)).label("overdue"),
            sa.func.sum(sa.case((untested, 1), else_=0)).label("untested"),
            sa.func.min(sa.case((overdue, Item.next_due))).label("oldest"),
        )
        .group_by(Item.site_id)
        .subquery()
    )
    columns = (Site.id, Site.code, Site.name, counted.c.overdue, counted.c.untested, counted.c.oldest)
    return (
        sa.select(*columns)
        .join(counted, counted.c.site_id == Site.id)
        .where(sa.or_(counted.c.overdue > 0, counted.c.untested > 0))
        .order_by(counted.c.overdue.desc(), Site.code)
    )


_OVERDUE_BY_SITE: Final = _overdue_by_site()


@dataclass(frozen=True, slots=True)
class DueFilter:
    """Which duties are asked for: due by a day, or never done though they must be; at one site, or at all."""

    by: date
    site: str | None = None
    contractors: bool | None = None


DUE_COLUMNS: Final = (
    Duty.item_id, Duty.duty, Duty.contractors, Duty.interval, Duty.last_done, Duty.due, Duty.first_needed,
    Item.tag_number, Item.kind, Item.description, Item.state, Item.present_environment, Item.condition,
)  # fmt: skip

DueKey = tuple[date | None, str, str]


def due_page(
    connection: Connection, wanted: DueFilter, *, after: DueKey | None = None, limit: int = PAGE
) -> list[Row[Any]]:
    """Return one page of duties, never done ones first, then by date, from just behind `after` (due, item, duty)."""
    narrowing = {"site": wanted.site, "contractors": wanted.contractors}
    values: dict[str, Any] = {name: value for name, value in narrowing.items() if value is not None}
    narrowed = tuple(values)
    behind = _Behind.NOTHING
    if after is not None:
        values |= dict(zip(("after", "after_key", "after_duty"), after, strict=True))
        behind = _Behind.VALUE if after[0] is not None else _Behind.NO_VALUE
    rows: list[Row[Any]] = []
    if behind is not _Behind.VALUE:
        never_done = _never_done(narrowed, behind)
        rows += connection.execute(never_done, values | {"limit": limit})
        behind = _Behind.NOTHING
    if len(rows) < limit:
        dated = _dated(narrowed, behind)
        rows += connection.execute(dated, values | {"by": wanted.by, "limit": limit - len(rows)})
    return rows


_DUE_NARROWING: Final[dict[str, Condition]] = {
    "site": Duty.site_id == sa.bindparam("site", type_=Key()),
    "contractors": Duty.contractors == sa.bindparam("contractors", type_=Duty.contractors.type),
}
_AFTER_DUTY: Final = sa.bindparam("after_duty", type_=sa.Text)


@lru_cache
def _never_done(narrowed: tuple[str, ...], behind: _Behind) -> Select:
    """Return the statement for the duties that must be done before their items are used."""
    statement = _planned(narrowed).where(Duty.due.is_(None), Duty.first_needed == sa.true())
    if behind is not _Behind.NOTHING:
        statement = statement.where(sa.tuple_(Duty.item_id, Duty.duty) > sa.tuple_(_AFTER_KEY, _AFTER_DUTY))
    return statement.order_by(Duty.due, Duty.item_id, Duty.duty).limit(_LIMIT)  # as the index is: nothing is sorted


@lru_cache
def _dated(narrowed: tuple[str, ...], behind: _Behind) -> Select:
    """Return the statement for the duties that fall due by a day."""
    statement = _planned(narrowed).where(Duty.due <= sa.bindparam("by", type_=Day()))
    if behind is not _Behind.NOTHING:
        after = sa.bindparam("after", type_=Day())
        place = sa.tuple_(Duty.due, Duty.item_id, Duty.duty)
        statement = statement.where(place > sa.tuple_(after, _AFTER_KEY, _AFTER_DUTY))
    return statement.order_by(Duty.due, Duty.item_id, Duty.duty).limit(_LIMIT)


def _planned(narrowed: tuple[str, ...]) -> Select:
    statement = (
        sa.select(*DUE_COLUMNS, *PLACE_COLUMNS)
        .join(Item, Item.id == Duty.item_id)
        .join(Site, Site.id == Duty.site_id)
        .join(Area, Area.id == Item.area_id)
    )
    return statement.where(Duty.planned == sa.true(), *(_DUE_NARROWING[name] for name in narrowed))
