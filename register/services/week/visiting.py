"""How sites are visited and by which vans: where, when, by how many people, whom to ask and what to mind."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.text import clean_text
from register.errors import Refused
from register.planning.site_week import Hours
from register.planning.travel import place_from
from register.services.clashes import check_unchanged
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Site
from register.store.visits import SiteVisiting
from register.store.visits import Van as VanTable

DAY_NAMES: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
MOST_READY_MINUTES: Final = 240
MOST_PEOPLE: Final = 9
READY_MINUTES: Final = 10
"""Signing in, finding whom to ask, carrying in and setting up; common practice, no source."""

WEEKDAYS: Final = frozenset(range(5))
USUAL_HOURS: Final[Hours] = (8 * 60, 17 * 60)
DAY_MINUTES: Final = 24 * 60


@dataclass(frozen=True, slots=True)
class Visiting:
    """How a site is visited. `place` is typed as `lat, lon`; `hours` by the day of the week, 0 for Monday."""

    place: str = ""
    hours: Mapping[int, Hours] = field(default_factory=lambda: dict.fromkeys(WEEKDAYS, USUAL_HOURS))
    ready_minutes: int = READY_MINUTES
    people: int = 1
    contact: str = ""
    hazards: str = ""


@dataclass(frozen=True, slots=True)
class VanFacts:
    """A van with its crew, as it is entered. Times are minutes of the day; places `lat, lon`, empty for the base."""

    name: str
    start: int = 7 * 60 + 30
    until: int = 16 * 60
    people: int = 1
    days: frozenset[int] = WEEKDAYS
    start_place: str = ""
    end_place: str = ""


@dataclass(frozen=True, slots=True)
class VanRow:
    """A van as it is kept."""

    id: str
    version: int
    facts: VanFacts
    ended_on: date | None = None


def visiting(connection: Connection, site_id: str) -> Visiting:
    """Return how a site is visited; the defaults where nobody said."""
    return visiting_of_all(connection).get(site_id, Visiting())


def visiting_of_all(connection: Connection) -> dict[str, Visiting]:
    """Return how sites are visited, by their ids, for those of which somebody said it."""
    return {
        row.site_id: Visiting(
            place=row.place,
            hours={int(day): (hours[0], hours[1]) for day, hours in row.hours.items()},
            ready_minutes=row.ready_minutes,
            people=row.crew,
            contact=row.contact,
            hazards=row.hazards,
        )
        for row in connection.execute(sa.select(SiteVisiting.__table__))
    }


def keep_visiting(change: Change, site_id: str, facts: Visiting) -> None:
    """Keep how a site is visited. Refused where the place, the hours or the numbers can't be."""
    name = change.session.scalar(sa.select(Site.name).where(Site.id == site_id))
    if not 0 <= facts.ready_minutes <= MOST_READY_MINUTES:
        raise Refused(f"{name}: give from 0 to {MOST_READY_MINUTES} minutes for set-up and induction.")
    _check_people(facts.people)
    for hours in facts.hours.values():
        _check_hours(*hours)
    place = place_from(facts.place)
    row = {
        "place": str(place) if place else "",
        "hours": {str(day): list(hours) for day, hours in sorted(facts.hours.items())},
        "ready_minutes": facts.ready_minutes, "crew": facts.people, "contact": clean_text(facts.contact),
        "hazards": clean_text(facts.hazards),
    }  # fmt: skip
    change.session.merge(SiteVisiting(site_id=site_id, **row))
    change.session.flush()
    audit.log(change, Name.SITE_VISITING, site_id, name=name, **row)


def vans(connection: Connection) -> list[VanRow]:
    """Return the vans in use, in their order."""
    rows = connection.execute(
        sa.select(VanTable.__table__).where(VanTable.ended_on.is_(None)).order_by(VanTable.position, VanTable.name)
    )
    return [
        VanRow(
            row.id,
            row.version,
            VanFacts(
                name=row.name,
                start=row.start,
                until=row.until,
                people=row.crew,
                days=frozenset(row.days),
                start_place=row.start_place,
                end_place=row.end_place,
            ),
        )
        for row in rows
    ]


def keep_van(change: Change, facts: VanFacts, *, opened: VanRow | None = None) -> str:
    """Enter a van, or change the one that was opened; return its id. Refused for a name that another has.

    A van that was taken out of use comes back where a new one gets its name.
    """
    name = clean_text(facts.name)
    if not name:
        raise Refused("A van needs a name, such as what it is called in the yard.")
    same = change.session.scalar(
        sa.select(VanTable).where(VanTable.name == name, VanTable.id != (opened.id if opened else ""))
    )
    if same is not None and (same.ended_on is None or opened is not None):
        raise Refused(f"There is a van “{name}” already, or there was. Choose another name.")
    if not facts.days:
        raise Refused(f"{name} goes out on no day. Choose at least one day of the week.")
    _check_people(facts.people)
    _check_hours(facts.start, facts.until)
    places = [place_from(text) for text in (facts.start_place, facts.end_place)]
    row: dict[str, Any] = {
        "name": name, "start": facts.start, "until": facts.until, "crew": facts.people, "days": sorted(facts.days),
        "start_place": str(places[0] or ""), "end_place": str(places[1] or ""),
    }  # fmt: skip
    if opened is None and same is None:
        last = change.session.scalar(sa.select(sa.func.max(VanTable.position))) or 0
        van = VanTable(position=last + 1, ended_on=None, **row)
        change.session.add(van)
    else:
        van = same or change.session.get_one(VanTable, opened.id if opened else "")
        if opened is not None:
            check_unchanged(van.name, found=van.version, opened=opened.version)
        for column, value in {**row, "ended_on": None}.items():
            setattr(van, column, value)
    change.session.flush()
    audit.log(change, Name.VAN_ADD if opened is None else Name.VAN_CHANGE, van.id, **row)
    return van.id


def end_van(change: Change, opened: VanRow) -> None:
    """Take a van out of use; weeks that were planned with it stay."""
    van = change.session.get_one(VanTable, opened.id)
    check_unchanged(van.name, found=van.version, opened=opened.version)
    van.ended_on = change.today
    change.session.flush()
    audit.log(change, Name.VAN_CHANGE, van.id, name=van.name, ended_on=change.today)


def hours_from(text: str) -> Hours:
    """Return hours that are typed as `07:00-15:30`; refused where they are none."""
    found = re.fullmatch(r"\s*(\d{1,2}):(\d\d)\s*[-–]\s*(\d{1,2}):(\d\d)\s*", text)  # noqa: RUF001 - typed either way
    if found is None:
        raise Refused(f"“{text}” are no hours. Write them like 07:00-15:30.")
    first, minute, last, minute_to = map(int, found.groups())
    if max(minute, minute_to) > 59:  # noqa: PLR2004 - the minutes of an hour
        raise Refused(f"“{text}” are no hours, since an hour has 60 minutes. Write them like 07:00-15:30.")
    hours = first * 60 + minute, last * 60 + minute_to
    _check_hours(*hours)
    return hours


def days_from(names: list[str]) -> frozenset[int]:
    """Return the days of the week that are named by three letters."""
    wrong = [name for name in names if name not in DAY_NAMES]
    if wrong:
        raise Refused(f"“{wrong[0]}” is no day of the week. There are: {', '.join(DAY_NAMES)}.")
    return frozenset(map(DAY_NAMES.index, names))


def clock_from(text: str) -> int:
    """Return a time of the day that is typed as `12:00`, in minutes; refused where it is none."""
    found = re.fullmatch(r"\s*(\d{1,2}):(\d\d)\s*", text)
    minute = int(found[1]) * 60 + int(found[2]) if found and int(found[2]) < 60 else DAY_MINUTES  # noqa: PLR2004
    if minute >= DAY_MINUTES:
        raise Refused(f"“{text}” is no time of the day. Write it like 12:00.")
    return minute


def clock_words(minute: int) -> str:
    """Return a minute of the day as a clock shows it: 07:05."""
    return f"{minute // 60:02d}:{minute % 60:02d}"


def _check_hours(opens: int, closes: int) -> None:
    if not 0 <= opens < closes <= DAY_MINUTES:
        raise Refused(f"From {clock_words(opens)} until {clock_words(closes)} is no stretch of a day.")


def _check_people(people: int) -> None:
    if not 1 <= people <= MOST_PEOPLE:
        raise Refused(f"{people} is not a number of people. Give from 1 to {MOST_PEOPLE}.")
