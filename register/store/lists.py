"""The queries behind every list: searched, filtered, sorted and counted by the database, a page at a time."""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.text import clean_text
from register.domain.words import Standing
from register.store.search import SHORTEST, having
from register.store.tables import Area, Duty, Item, ItemText, Site

Select = sa.Select[*tuple[Any, ...]]

PAGE: Final = 200
LAST: Final = "\U0010ffff"
"""No text that begins with a word comes after the word with this behind it."""


class Sort(StrEnum):
    """What a list of items can be sorted by."""

    DUE = "due"
    TAG = "tag"
    DESCRIPTION = "description"
    KIND = "kind"


@dataclass(frozen=True, slots=True)
class ItemFilter:
    """What a list of items shows; empty means all. `today` and `soon_days` decide the standings."""

    today: date
    text: str = ""
    standings: frozenset[Standing] = frozenset()
    kinds: frozenset[str] = frozenset()
    environments: frozenset[str] = frozenset()
    site: str | None = None
    area: str | None = None
    soon_days: int = 14


ITEM_COLUMNS: Final = (
    Item.id, Item.tag_number, Item.kind, Item.description, Item.serial, Item.state, Item.next_due, Item.untested,
    Item.present_environment, Item.removed_on, Item.not_found_on,
)  # fmt: skip

_SORTED: Final[dict[Sort, Any]] = {
    Sort.DUE: Item.next_due,
    Sort.TAG: Item.tag_number,
    Sort.DESCRIPTION: Item.description,
    Sort.KIND: Item.kind,
}


def item_page(
    connection: Connection,
    wanted: ItemFilter,
    *,
    sort: Sort = Sort.DUE,
    after: tuple[Any, str] | None = None,
    limit: int = PAGE,
) -> list[Row[Any]]:
    """Return one page of items with site and area, from just behind `after`: the last row's sort value and id.

    Items without a date come first when sorted by date: they were never tested.
    """
    column = _SORTED[sort]
    statement = (
        sa.select(*ITEM_COLUMNS, Site.code.label("site"), Site.name.label("site_name"), Area.name.label("area"))
        .join(Site, Site.id == Item.site_id)
        .join(Area, Area.id == Item.area_id)
        .where(*conditions(connection, wanted))
        .order_by(column, Item.id)
        .limit(limit)
    )
    if after is not None:
        statement = statement.where(_behind(column, *after))
    return list(connection.execute(statement))


def item_keys(
    connection: Connection, wanted: ItemFilter, *, sort: Sort = Sort.DUE, descending: bool = False
) -> list[str]:
    """Return the ids of all items that the filter shows, in order, for a list that fetches rows as it is scrolled."""
    column = _SORTED[sort]
    order = (column.desc(), Item.id.desc()) if descending else (column, Item.id)
    statement = sa.select(Item.id).where(*conditions(connection, wanted)).order_by(*order)
    return list(connection.execute(statement).scalars())


def item_rows(connection: Connection, keys: list[str]) -> dict[str, Any]:
    """Return the rows of these items with site and area, by id."""
    statement = (
        sa.select(*ITEM_COLUMNS, Site.code.label("site"), Site.name.label("site_name"), Area.name.label("area"))
        .join(Site, Site.id == Item.site_id)
        .join(Area, Area.id == Item.area_id)
        .where(Item.id.in_(keys))
    )
    return {row.id: row for row in connection.execute(statement)}


def _behind(column: Any, value: Any, key: str) -> sa.ColumnElement[bool]:  # noqa: ANN401 - a column and its value
    if value is None:
        return sa.or_(sa.and_(column.is_(None), Item.id > key), column.is_not(None))
    return sa.tuple_(column, Item.id) > sa.tuple_(sa.literal(value, column.type), sa.literal(key))


def count_items(connection: Connection, wanted: ItemFilter) -> int:
    """Return how many items the filter shows."""
    statement = sa.select(sa.func.count()).select_from(Item).where(*conditions(connection, wanted))
    return int(connection.execute(statement).scalar_one())


def count_by_standing(connection: Connection, wanted: ItemFilter) -> dict[Standing, int]:
    """Return how many items of each standing the filter shows."""
    standing = sa.case(
        *((condition, name.value) for name, condition in standing_conditions(wanted.today, wanted.soon_days).items())
    ).label("standing")
    statement = sa.select(standing, sa.func.count()).where(*conditions(connection, wanted)).group_by(standing)
    return {Standing(name): count for name, count in connection.execute(statement)}


def standing_conditions(today: date, soon_days: int) -> dict[Standing, sa.ColumnElement[bool]]:
    """Return the condition of each standing in SQL; together they are `domain.standing.standing_on`."""
    in_use = Item.state == Standing.IN_SERVICE.value
    overdue = sa.and_(Item.next_due.is_not(None), Item.next_due < today)
    soon = sa.and_(Item.next_due.is_not(None), Item.next_due <= today + timedelta(days=soon_days))
    tested = Item.untested == sa.false()
    return {
        Standing.REMOVED: Item.state == Standing.REMOVED.value,
        Standing.WITHDRAWN: Item.state == Standing.WITHDRAWN.value,
        Standing.OVERDUE: sa.and_(in_use, overdue),
        Standing.UNTESTED: sa.and_(in_use, sa.not_(overdue), sa.not_(tested)),
        Standing.DUE_SOON: sa.and_(in_use, tested, sa.not_(overdue), soon),
        Standing.IN_SERVICE: sa.and_(in_use, tested, sa.not_(overdue), sa.not_(soon)),
    }


def conditions(connection: Connection, wanted: ItemFilter) -> list[sa.ColumnElement[bool]]:
    """Return what an item must meet to be shown."""
    found: list[sa.ColumnElement[bool]] = []
    if wanted.standings:
        by_standing = standing_conditions(wanted.today, wanted.soon_days)
        found.append(sa.or_(*(by_standing[each] for each in Standing if each in wanted.standings)))
    if wanted.kinds:
        found.append(Item.kind.in_(sorted(wanted.kinds)))
    if wanted.environments:
        found.append(Item.present_environment.in_(sorted(wanted.environments)))
    if wanted.site is not None:
        found.append(Item.site_id == wanted.site)
    if wanted.area is not None:
        found.append(Item.area_id == wanted.area)
    if wanted.text.strip():
        found.append(Item.id.in_(matching(connection, wanted.text)))
    return found


def matching(connection: Connection, text: str) -> Select:
    """Return the ids of items in whose text every word stands somewhere.

    One or two letters begin a word of it; where nothing longer stands beside them they begin the tag.
    """
    words = clean_text(text).casefold().split()
    long = [word for word in words if len(word) >= SHORTEST]
    statement: Select = sa.select(ItemText.item_id)
    if long:
        statement = statement.where(having(connection, long))
    for word in words:
        if len(word) < SHORTEST:
            statement = statement.where(_begins_word(word) if long else _begins_tag(word))
    return statement


def _begins_word(letters: str) -> sa.ColumnElement[bool]:
    return sa.or_(
        ItemText.text.startswith(letters, autoescape=True), ItemText.text.contains(f" {letters}", autoescape=True)
    )


def _begins_tag(letters: str) -> sa.ColumnElement[bool]:
    first = letters.upper()
    return ItemText.item_id.in_(sa.select(Item.id).where(Item.tag_number.between(first, first + LAST)))


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


def due_page(
    connection: Connection, wanted: DueFilter, *, after: tuple[date | None, str, str] | None = None, limit: int = PAGE
) -> list[Row[Any]]:
    """Return one page of duties, never done ones first, then by date, from just behind `after` (due, item, duty)."""
    statement = (
        sa.select(*DUE_COLUMNS, Site.code.label("site"), Site.name.label("site_name"), Area.name.label("area"))
        .join(Item, Item.id == Duty.item_id)
        .join(Site, Site.id == Duty.site_id)
        .join(Area, Area.id == Item.area_id)
        .where(*_due_conditions(wanted))
        .order_by(Duty.due, Duty.item_id, Duty.duty)
        .limit(limit)
    )
    if after is not None:
        due, item, duty = after
        place = sa.tuple_(Duty.item_id, Duty.duty) > sa.tuple_(sa.literal(item), sa.literal(duty))
        if due is None:
            statement = statement.where(sa.or_(sa.and_(Duty.due.is_(None), place), Duty.due.is_not(None)))
        else:
            statement = statement.where(sa.or_(Duty.due > due, sa.and_(Duty.due == due, place)))
    return list(connection.execute(statement))


def _due_conditions(wanted: DueFilter) -> list[sa.ColumnElement[bool]]:
    found: list[sa.ColumnElement[bool]] = [
        Duty.planned == sa.true(),
        sa.or_(Duty.due <= wanted.by, sa.and_(Duty.due.is_(None), Duty.first_needed == sa.true())),
    ]
    if wanted.site is not None:
        found.append(Duty.site_id == wanted.site)
    if wanted.contractors is not None:
        found.append(Duty.contractors == wanted.contractors)
    return found


def overdue_by_site(connection: Connection, today: date) -> list[Row[Any]]:
    """Return each site that has overdue or never tested items in service, with how many and since when."""
    wanted = standing_conditions(today, 0)
    statement = (
        sa.select(
            Site.id, Site.code, Site.name,
            sa.func.sum(sa.case((wanted[Standing.OVERDUE], 1), else_=0)).label("overdue"),
            sa.func.sum(sa.case((wanted[Standing.UNTESTED], 1), else_=0)).label("untested"),
            sa.func.min(sa.case((wanted[Standing.OVERDUE], Item.next_due))).label("oldest"),
        )
        .join(Item, Item.site_id == Site.id)
        .where(sa.or_(wanted[Standing.OVERDUE], wanted[Standing.UNTESTED]))
        .group_by(Site.id, Site.code, Site.name)
        .order_by(sa.desc("overdue"), Site.code)
    )  # fmt: skip
    return list(connection.execute(statement))
