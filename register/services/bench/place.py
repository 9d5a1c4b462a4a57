"""What is left at the place where one is working: how many are done today, and what is due next to it."""

from collections import Counter
from dataclasses import dataclass
from datetime import date
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.words import Result, Standing
from register.services.projection import REMOVED
from register.services.questions import soon_days, standing_of
from register.store.amended import stands
from register.store.lists import ItemFilter, count_items, item_page
from register.store.tables import Item, Record, Site

DUE: Final = frozenset({Standing.OVERDUE, Standing.DUE_SOON, Standing.UNTESTED})


@dataclass(frozen=True, slots=True)
class Nearby:
    """An item that is due at the same place."""

    id: str
    tag: str
    description: str
    standing: Standing


@dataclass(frozen=True, slots=True)
class WorkPlace:
    """A place of work today. `done` holds the verdict of each item tested today, `to_do` how many are still due.

    `nearby` are due in the same area, at most as many as were asked for; `nearby_count` is how many there are.
    `missed` are the tags of what was not found here at an earlier visit, due or not: it is asked for again.
    """

    site: str
    site_name: str
    area: str
    done: tuple[Result, ...]
    to_do: int
    nearby: tuple[Nearby, ...]
    nearby_count: int
    missed: tuple[str, ...] = ()

    def count(self, result: Result) -> int:
        """Return how many of today's verdicts are this one."""
        return Counter(self.done)[result]


def work_place(connection: Connection, site_id: str, area_id: str, area: str, today: date, *, shown: int) -> WorkPlace:
    """Return what is left to do at a site today, and in one of its areas."""
    site = connection.execute(sa.select(Site.code, Site.name).where(Site.id == site_id)).one()
    soon = soon_days(connection)
    at_site = ItemFilter(today, standings=DUE, site=site_id, soon_days=soon)
    in_area = ItemFilter(today, standings=DUE, site=site_id, area=area_id, soon_days=soon)
    rows = item_page(connection, in_area, limit=shown)
    return WorkPlace(
        site=site.code, site_name=site.name, area=area, done=_done(connection, site_id, today),
        to_do=count_items(connection, at_site),
        nearby=tuple(
            Nearby(row.id, row.tag_number, row.description, standing_of(row, today, soon)) for row in rows
        ),
        nearby_count=count_items(connection, in_area), missed=_missed(connection, site_id, today),
    )  # fmt: skip


def _missed(connection: Connection, site_id: str, today: date) -> tuple[str, ...]:
    """Return the tags of items at a site that nobody found before today."""
    statement = sa.select(Item.tag_number).where(
        Item.site_id == site_id, Item.state != REMOVED, Item.not_found_on < today
    )
    return tuple(connection.execute(statement.order_by(Item.tag_number)).scalars())


def _done(connection: Connection, site_id: str, today: date) -> tuple[Result, ...]:
    """Return the last verdict of each item tested today at a site, in the order in which they were tested."""
    rows = connection.execute(
        sa.select(Record.item_id, Record.verdict)
        .join(Item, Item.id == Record.item_id)
        .where(Record.tested_on == today, Item.site_id == site_id, stands(Record.id))
        .order_by(Record.recorded_at, Record.id)
    )
    last: dict[str, Result] = {}
    for item_id, verdict in rows:
        last.pop(item_id, None)
        last[item_id] = Result(verdict)
    return tuple(last.values())
