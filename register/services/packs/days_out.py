"""The days that are planned: which van goes to which sites, so that a field pack can be made for one of them."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.errors import Refused
from register.store.tables import Site
from register.store.visits import Van, Visit

AHEAD: Final = timedelta(days=14)
"""So far ahead a pack is made at most for a day (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class DayOut:
    """A van's day in a week that was kept: the codes of its sites in the order in which it comes to them."""

    day: date
    van: str
    sites: tuple[str, ...]


def days_out(connection: Connection, first: date, last: date) -> list[DayOut]:
    """Return the days of vans from one day to another, by day and van; visits that were dropped are left out."""
    statement = (
        sa.select(Visit.day, Van.name, Site.code)
        .join(Van, Van.id == Visit.van_id)
        .join(Site, Site.id == Visit.site_id)
        .where(Visit.day.between(first, last), Visit.cancelled == sa.false())
        .order_by(Visit.day, Van.position, Van.name, Visit.position, Visit.arrive)
    )
    found: dict[tuple[date, str], dict[str, None]] = {}
    for day, van, code in connection.execute(statement):
        found.setdefault((day, van), {})[code] = None
    return [DayOut(day, van, tuple(codes)) for (day, van), codes in found.items()]


def coming_days_out(connection: Connection, today: date) -> list[DayOut]:
    """Return the days of vans that a pack may be made for."""
    return days_out(connection, today, today + AHEAD)


def sites_on(connection: Connection, day: date, van: str = "") -> tuple[str, ...]:
    """Return the codes of the sites that are visited on a day, by one van if it is named.

    Refused where no kept week has visits on that day, and where several vans go and none is named.
    """
    found = days_out(connection, day, day)
    mine = [each for each in found if van.casefold() in {"", each.van.casefold()}]
    if not mine:
        who = f" of {van}" if van else ""
        raise Refused(
            f"No kept week has a visit{who} on {day_words(day)}. Keep the week's plan first, or name the sites."
        )
    if len(mine) > 1:
        names = ", ".join(each.van for each in mine)
        raise Refused(f"Several vans go out on {day_words(day)}: {names}. Name the one that the pack is for.")
    return mine[0].sites
