"""A planned week in the register: its visits with their duties, and how far a day's visits have got."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.errors import Refused
from register.planning.week_rows import PlannedStop, PlannedWeek
from register.services.week.tags_allotted import allot_tags
from register.services.week.visiting import vans
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.plan_work import site_rows, visit_rows, visits_on
from register.store.types import new_key
from register.store.visits import Visit, VisitDuty

_CHANGED: Final = ("day", "van_id", "position", "arrive", "leave", "minutes", "doing", "cancelled")


@dataclass(frozen=True, slots=True)
class Kept:
    """What keeping a week did to its visits."""

    week: date
    new: int
    changed: int
    cancelled: int
    same: int
    short: tuple[str, ...] = ()
    """A sentence for each van that has too few tag numbers left."""


@dataclass(frozen=True, slots=True)
class VisitRow:
    """A visit that is kept. Times are minutes of the day; `sequence` counts its changes."""

    id: str
    site_id: str
    code: str
    name: str
    part: int
    day: date
    van: str
    position: int
    arrive: int
    leave: int
    minutes: int
    doing: str
    pinned: bool
    locked: bool
    cancelled: bool
    sequence: int
    tags_first: str = ""
    tags_last: str = ""


@dataclass(frozen=True, slots=True)
class TodaysVisit:
    """A visit of a day and how far it has got: how many duties it has, and how many were done since."""

    id: str
    site_id: str
    code: str
    name: str
    van: str
    arrive: int
    leave: int
    duties: int
    done: int


def keep_week(change: Change, week: PlannedWeek) -> Kept:
    """Write a planned week to the register: new visits, changed ones, and those dropped, which are cancelled.

    Visits of days that are over stay as they were.

    A visit stays the same, whatever its day, as long as the week visits the site. Refused with vans that are not the
    register's own, as in trying one more.
    """
    connection = change.session.connection()
    monday, codes = week.draft.asked.monday, {row.code: row.id for row in site_rows(connection)}
    own = {row.facts.name: row.id for row in vans(connection)}
    strange = [van.name for van in week.draft.asked.vans if van.name not in own]
    if strange:
        raise Refused(
            f"The plan uses {', '.join(strange)}, which you don't have. Enter it under Firm, or plan without."
        )
    before = {
        (row.site_id, row.part): row for row in change.session.scalars(sa.select(Visit).where(Visit.week == monday))
    }
    counts = {"new": 0, "changed": 0, "cancelled": 0, "same": 0}
    for day in week.days:
        for position, stop in enumerate(day.stops, 1):
            facts = _facts(stop, position, own[day.van_name], locked=day.locked)
            known = before.pop((codes[stop.code], stop.part), None)
            counts[_keep(change, monday, codes[stop.code], stop, facts, known)] += 1
    for row in before.values():
        if not row.cancelled and row.day >= change.today:
            row.cancelled, row.sequence = True, row.sequence + 1
            row.tags_first = row.tags_last = ""
            counts["cancelled"] += 1
    change.session.flush()
    short = allot_tags(change, monday)
    audit.log(change, Name.WEEK_PLAN, new_key(), name=monday.isoformat(), **counts)
    return Kept(monday, **counts, short=short)


def _facts(stop: PlannedStop, position: int, van_id: str, *, locked: bool) -> dict[str, Any]:
    doing = "extra" if not stop.must else "both" if stop.early else "must"
    return {
        "day": stop.day, "van_id": van_id, "position": position, "arrive": stop.arrive, "leave": stop.leave,
        "minutes": stop.minutes, "doing": doing, "pinned": stop.pinned, "locked": locked, "cancelled": False,
    }  # fmt: skip


def _keep(
    change: Change, monday: date, site_id: str, stop: PlannedStop, facts: dict[str, Any], known: Visit | None
) -> str:
    """Write one visit with its duties, and return which it was: new, changed or the same."""
    if known is None:
        visit = Visit(week=monday, site_id=site_id, part=stop.part, sequence=0, **facts)
        change.session.add(visit)
        done = "new"
    else:
        visit = known
        done = "changed" if any(getattr(visit, name) != facts[name] for name in _CHANGED) else "same"
        visit.sequence += done == "changed"
        for name, value in facts.items():
            setattr(visit, name, value)
    change.session.flush()
    change.session.execute(sa.delete(VisitDuty).where(VisitDuty.visit_id == visit.id))
    rows = [{"visit_id": visit.id, "item_id": t.item, "duty": t.duty, "early": False, "why": ""} for t in stop.must]
    rows += [
        {"visit_id": visit.id, "item_id": e.task.item, "duty": e.task.duty, "early": True, "why": e.why}
        for e in stop.early
    ]
    if rows:
        change.session.execute(sa.insert(VisitDuty), rows)
    return done


def week_visits(connection: Connection, monday: date) -> list[VisitRow]:
    """Return the visits of a week that was kept, cancelled ones too, by day, van and order."""
    names = VisitRow.__dataclass_fields__
    return [VisitRow(**{name: getattr(row, name) for name in names}) for row in visit_rows(connection, monday)]


def todays_visits(connection: Connection, today: date) -> list[TodaysVisit]:
    """Return the visits of a day by van and time, with what is done and what is left as it is now."""
    names = TodaysVisit.__dataclass_fields__
    return [TodaysVisit(**{name: getattr(row, name) for name in names}) for row in visits_on(connection, today)]


def kept_routes(connection: Connection, monday: date) -> dict[tuple[date, str], tuple[tuple[str, str], ...]]:
    """Return the stops of a kept week by day and van's name, in order, each with what is done there."""
    rows = [row for row in week_visits(connection, monday) if not row.cancelled]
    split = {row.code for row in rows if row.part > 1}
    found: dict[tuple[date, str], list[tuple[str, str]]] = {}
    for row in rows:
        key = f"{row.code}#{row.part}" if row.code in split else row.code
        found.setdefault((row.day, row.van), []).append((key, row.doing))
    return {key: tuple(stops) for key, stops in found.items()}


def week_progress(connection: Connection, monday: date, today: date) -> list[tuple[date, TodaysVisit]]:
    """Return the visits of a week up to today, by day, van and time, with what is done and what is left of each."""
    days = (monday + timedelta(days=number) for number in range(7))
    return [(day, visit) for day in days if day <= today for visit in todays_visits(connection, day)]
