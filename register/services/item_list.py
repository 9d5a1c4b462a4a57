"""The list of items as it is shown: which items, how many of each standing, and the rows that are in sight."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.rulebook import EnvironmentClass
from register.domain.words import Duty as DutyName
from register.domain.words import Kind, Standing
from register.services.questions import soon_days, standing_of
from register.services.rulebooks import rulebook
from register.store.amended import stands
from register.store.bulk import chunks
from register.store.lists import ItemFilter, Sort, count_by_standing, count_items, item_keys, item_rows
from register.store.tables import Area, Duty, Item, Record, Site

SHOWN: Final = frozenset(Standing) - {Standing.REMOVED}
"""What a list shows unless somebody asks for removed items."""
_SOME: Final = 500


@dataclass(frozen=True, slots=True)
class ListedItem:
    """One row of the list.

    `duty` is the contractor's duty that decides the date, None where none does; `untested` says that one was never
    done. `environment` is the title of the class that counts.
    """

    id: str
    tag: str
    standing: Standing
    kind: Kind
    description: str
    serial: str
    site: str
    area: str
    environment: str
    duty: DutyName | None
    next_due: date | None
    untested: bool
    removed_on: date | None
    last_tested: date | None


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that a list can be narrowed to: its id, its words, and more of it for searching."""

    id: str
    words: str
    more: str = ""


@dataclass(frozen=True, slots=True)
class Narrowing:
    """What the register's list can be narrowed to, and how many items it has that were not removed."""

    total: int
    environments: tuple[Choice, ...]
    sites: tuple[Choice, ...]
    soon_days: int


def listed(connection: Connection, wanted: ItemFilter, *, sort: Sort = Sort.DUE, descending: bool = False) -> list[str]:
    """Return the ids of the items that a filter shows, in order; removed ones only where they are asked for by name."""
    shown = replace(wanted, standings=wanted.standings or SHOWN)
    return item_keys(connection, shown, sort=sort, descending=descending)


def standing_counts(connection: Connection, wanted: ItemFilter) -> dict[Standing, int]:
    """Return how many items of each standing a filter would show, whichever standings it asks for."""
    return count_by_standing(connection, replace(wanted, standings=frozenset()))


def narrowing(connection: Connection, today: date) -> Narrowing:
    """Return what the list of the register can be narrowed to."""
    soon = soon_days(connection)
    present = set(connection.execute(sa.select(Item.present_environment).distinct()).scalars())
    classes = sorted(
        (each for each in _classes(connection).values() if each.id in present), key=lambda each: each.title
    )
    sites = connection.execute(sa.select(Site.id, Site.name, Site.code).order_by(Site.name, Site.code))
    return Narrowing(
        total=count_items(connection, ItemFilter(today, standings=SHOWN)),
        environments=tuple(Choice(each.id, each.title) for each in classes),
        sites=tuple(Choice(key, name, code) for key, name, code in sites),
        soon_days=soon,
    )


def has_items(connection: Connection, today: date) -> bool:
    """Whether the register has any item that was not removed."""
    return count_items(connection, ItemFilter(today, standings=SHOWN)) > 0


def areas_of(connection: Connection, site_id: str) -> tuple[Choice, ...]:
    """Return the areas of a site by name."""
    rows = connection.execute(sa.select(Area.id, Area.name).where(Area.site_id == site_id).order_by(Area.name))
    return tuple(Choice(key, name) for key, name in rows)


def listed_rows(connection: Connection, keys: Collection[str], today: date) -> dict[str, ListedItem]:
    """Return the rows of these items, by id."""
    soon, classes = soon_days(connection), _classes(connection)
    found = {}
    for some in chunks(keys, _SOME):
        deciding, tested = _deciding(connection, some), _last_tested(connection, some)
        for key, row in item_rows(connection, some).items():
            found[key] = _listed(row, deciding.get(key), tested.get(key), today, soon, classes)
    return found


def _listed(
    row: Row[Any],
    duty: DutyName | None,
    tested: date | None,
    today: date,
    soon: int,
    classes: dict[str, EnvironmentClass],
) -> ListedItem:
    environment = row.present_environment
    return ListedItem(
        id=row.id, tag=row.tag_number, standing=standing_of(row, today, soon), kind=Kind(row.kind),
        description=row.description, serial=row.serial, site=row.site_name, area=row.area,
        environment=classes[environment].title if environment in classes else environment, duty=duty,
        next_due=row.next_due, untested=row.untested, removed_on=row.removed_on, last_tested=tested,
    )  # fmt: skip


def _classes(connection: Connection) -> dict[str, EnvironmentClass]:
    """Return the environment classes of the rulebooks in use, by id; the first one's words stand for all."""
    found: dict[str, EnvironmentClass] = {}
    for name in connection.execute(sa.select(Site.rulebook).distinct().order_by(Site.rulebook)).scalars():
        for each in rulebook(name).environments.values():
            found.setdefault(each.id, each)
    return found


def _deciding(connection: Connection, keys: Collection[str]) -> dict[str, DutyName]:
    """Return each item's duty with the earliest date, or one never done; of one day the test of its switch."""
    rows = connection.execute(
        sa.select(Duty.item_id, Duty.duty, Duty.due, Duty.first_needed).where(
            Duty.item_id.in_(keys), Duty.contractors == sa.true()
        )
    )
    found: dict[str, list[tuple[date, bool, str]]] = defaultdict(list)
    for key, duty, due, first in rows:
        if due is not None or first:
            found[key].append((due or date.max, duty != DutyName.OPERATING_TIME.value, duty))
    return {key: DutyName(min(each)[2]) for key, each in found.items()}


def _last_tested(connection: Connection, keys: Collection[str]) -> dict[str, date]:
    newest = sa.select(Record.item_id, sa.func.max(Record.tested_on)).where(Record.item_id.in_(keys), stands(Record.id))
    return {row[0]: row[1] for row in connection.execute(newest.group_by(Record.item_id))}
