"""What a tester takes along for a week: his stops in order, the items by area, and what to load."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import sqlalchemy as sa
from sqlalchemy.engine import Connection

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


def day_sheets(connection: Connection, week: PlannedWeek) -> DaySheets:
    """Return a planned week as it is taken along."""
    sites = {row.code: row for row in site_rows(connection)}
    visiting = visiting_of_all(connection)
    extras = stop_extras(connection, week)
    described, colours = _descriptions(connection, week), tag_colours(connection, week.stops)
    days, stops, items, kit = [], [], [], []
    for day in week.days:
        if not day.stops:
            continue
        days.append(_day_line(day, [sites[stop.code].rulebook for stop in day.stops]))
        for order, stop in enumerate(day.stops, 1):
            site = sites[stop.code]
            facts = visiting.get(site.id, Visiting())
            stops.append(StopLine(
                day.day, day.van_name, order, clock_words(stop.arrive), clock_words(stop.leave), stop.code, stop.name,
                site.address, ". ".join(filter(None, (wait_words(stop), site.access))), facts.contact or site.contact,
                facts.hazards, stop_words(stop), stop.why,
                any(task.duty == Duty.OPERATING_TIME for task in tasks_of(stop)), extras[stop.key],
            ))  # fmt: skip
            items += _item_lines(day.van_name, order, stop, described)
        kit += [KitRow(day.day, day.van_name, line) for line in kit_of(day.stops, colours)]
    monday = week.draft.asked.monday
    firm = setting(connection, "firm", "")
    return DaySheets(firm, monday, tuple(days), tuple(stops), tuple(items), tuple(kit))


def _day_line(day: PlannedDay, rulebooks: list[str]) -> DayLine:
    cautions = [caution for each in dict.fromkeys(rulebooks) for caution in rulebook(each).cautions]
    return DayLine(
        day.day, day.van_name, len(day.stops), clock_words(day.leave_base), clock_words(day.back), day.drive_km,
        time_words(Decimal(day.drive_minutes)), tuple(dict.fromkeys(cautions)),
    )  # fmt: skip


def site_addresses(connection: Connection) -> dict[str, str]:
    """Return the address of each site by its code."""
    return {row.code: row.address for row in site_rows(connection)}


def _descriptions(connection: Connection, week: PlannedWeek) -> dict[str, str]:
    keys = {task.item for stop in week.stops for task in tasks_of(stop)}
    found: dict[str, str] = {}
    for some in chunks(sorted(keys), 500):
        found |= dict(connection.execute(sa.select(Item.id, Item.description).where(Item.id.in_(some))).all())
    return found


def _item_lines(van: str, order: int, stop: PlannedStop, described: dict[str, str]) -> list[ItemLine]:
    tasks = [(task, "") for task in stop.must] + [(each.task, each.why) for each in stop.early]
    tasks.sort(key=lambda each: (each[0].area, each[0].tag, each[0].duty))
    return [
        ItemLine(
            stop.day, van, order, stop.name, task.area, task.tag, described.get(task.item, ""), task.duty, task.due,
            _standing(task.due, stop.day, early=early), early,
        ) for task, early in tasks
    ]  # fmt: skip


def _standing(due: date | None, day: date, *, early: str) -> Standing:
    """Return where the duty will stand on the day of the visit."""
    if due is None:
        return Standing.UNTESTED
    if due < day:
        return Standing.OVERDUE
    return Standing.IN_SERVICE if early else Standing.DUE_SOON
