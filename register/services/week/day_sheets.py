"""What a tester takes along for a week: his stops in order, the items by area, and what to load."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.words import Duty, Standing
from register.planning.week_rows import PlannedDay, PlannedStop, PlannedWeek
from register.planning.workload import time_words
from register.services.rulebooks import rulebook
from register.services.settings import setting
from register.services.week.kit import KitLine, kit_of, tag_colours, tasks_of
from register.services.week.stop_extras import NO_EXTRAS, Extras, stop_extras
from register.services.week.text import stop_words, wait_words
from register.services.week.visiting import Visiting, clock_words, visiting_of_all
from register.store.bulk import chunks
from register.store.plan_work import site_rows
from register.store.tables import Item


@dataclass(frozen=True, slots=True)
class DayLine:
    """A van's day as a whole: when it leaves and is back, how far it goes, and what its rulebooks say to mind."""

    day: date
    van: str
    stops: int
    leave: str
    back: str
    km: float
    driving: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StopLine:
    """A stop: when, where, how to get in, what is done. `trips` says that safety switches are made to trip there.

    `access` begins with how long one waits for it to open, if one does.
    """

    day: date
    van: str
    order: int
    arrive: str
    leave: str
    code: str
    name: str
    address: str
    access: str
    contact: str
    hazards: str
    work: str
    why: str
    trips: bool
    extras: Extras = NO_EXTRAS


@dataclass(frozen=True, slots=True)
class ItemLine:
    """A duty on an item at the stop with this place in the day. `early` says why it is done before it is due."""

    day: date
    van: str
    order: int
    site: str
    area: str
    tag: str
    description: str
    duty: str
    due: date | None
    standing: Standing
    early: str


@dataclass(frozen=True, slots=True)
class KitRow:
    """What a van loads on a day."""

    day: date
    van: str
    line: KitLine


@dataclass(frozen=True, slots=True)
class DaySheets:
    """A week to be taken along."""

    firm: str
    week: date
    days: tuple[DayLine, ...]
    stops: tuple[StopLine, ...]
    items: tuple[ItemLine, ...]
    kit: tuple[KitRow, ...]


class _Called(NamedTuple):
    """A stop with its day and its place in it, counted from 1."""

    day: PlannedDay
    order: int
    stop: PlannedStop


def day_sheets(connection: Connection, week: PlannedWeek) -> DaySheets:
    """Return a planned week as it is taken along."""
    sites = {row.code: row for row in site_rows(connection)}
    visiting = visiting_of_all(connection)
    extras = stop_extras(connection, week)
    described, colours = _descriptions(connection, week), tag_colours(connection, week.stops)
    days = [day for day in week.days if day.stops]
    calls = [_Called(day, order, stop) for day in days for order, stop in enumerate(day.stops, 1)]
    stops = []
    for call in calls:
        site = sites[call.stop.code]
        stops.append(_stop_line(call, site, visiting.get(site.id, Visiting()), extras[call.stop.key]))
    return DaySheets(
        firm=setting(connection, "firm", ""),
        week=week.draft.asked.monday,
        days=tuple(_day_line(day, [sites[stop.code].rulebook for stop in day.stops]) for day in days),
        stops=tuple(stops),
        items=tuple(line for call in calls for line in _item_lines(call, described)),
        kit=tuple(KitRow(day.day, day.van_name, line) for day in days for line in kit_of(day.stops, colours)),
    )


def _day_line(day: PlannedDay, rulebooks: list[str]) -> DayLine:
    cautions = [caution for each in dict.fromkeys(rulebooks) for caution in rulebook(each).cautions]
    return DayLine(
        day=day.day,
        van=day.van_name,
        stops=len(day.stops),
        leave=clock_words(day.leave_base),
        back=clock_words(day.back),
        km=day.drive_km,
        driving=time_words(Decimal(day.drive_minutes)),
        cautions=tuple(dict.fromkeys(cautions)),
    )


def _stop_line(call: _Called, site: Row[Any], facts: Visiting, extras: Extras) -> StopLine:
    stop = call.stop
    return StopLine(
        day=call.day.day,
        van=call.day.van_name,
        order=call.order,
        arrive=clock_words(stop.arrive),
        leave=clock_words(stop.leave),
        code=stop.code,
        name=stop.name,
        address=site.address,
        access=". ".join(filter(None, (wait_words(stop), site.access))),
        contact=facts.contact or site.contact,
        hazards=facts.hazards,
        work=stop_words(stop),
        why=stop.why,
        trips=any(task.duty == Duty.OPERATING_TIME for task in tasks_of(stop)),
        extras=extras,
    )


def site_addresses(connection: Connection) -> dict[str, str]:
    """Return the address of each site by its code."""
    return {row.code: row.address for row in site_rows(connection)}


def _descriptions(connection: Connection, week: PlannedWeek) -> dict[str, str]:
    keys = {task.item for stop in week.stops for task in tasks_of(stop)}
    found: dict[str, str] = {}
    for some in chunks(sorted(keys), 500):
        found |= dict(connection.execute(sa.select(Item.id, Item.description).where(Item.id.in_(some))).all())
    return found


def _item_lines(call: _Called, described: dict[str, str]) -> list[ItemLine]:
    stop = call.stop
    tasks = [(task, "") for task in stop.must] + [(each.task, each.why) for each in stop.early]
    tasks.sort(key=lambda each: (each[0].area, each[0].tag, each[0].duty))
    return [
        ItemLine(
            day=stop.day,
            van=call.day.van_name,
            order=call.order,
            site=stop.name,
            area=task.area,
            tag=task.tag,
            description=described.get(task.item, ""),
            duty=task.duty,
            due=task.due,
            standing=_standing(task.due, stop.day, early=early),
            early=early,
        )
        for task, early in tasks
    ]


def _standing(due: date | None, day: date, *, early: str) -> Standing:
    """Return where the duty will stand on the day of the visit."""
    if due is None:
        return Standing.UNTESTED
    if due < day:
        return Standing.OVERDUE
    return Standing.IN_SERVICE if early else Standing.DUE_SOON
