"""The horizon: how much work falls due at each site in each week of the next quarter, and what is overdue already."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, Final, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.wear import strokes
from register.domain.weeks import monday_of
from register.domain.words import Duty, Kind
from register.planning.workload import Minutes, crew_hours_from
from register.services.projection import IN_SERVICE, WITHDRAWN
from register.services.questions import DueDuty, due_rows
from register.services.rulebooks import rulebook
from register.services.settings import setting
from register.services.week.minutes import minutes_in_force
from register.store.due_weeks import OverdueWork, counted_within, dated_work, duties_within, overdue_work, undated_work
from register.store.lists import DueFilter, due_page
from register.store.tables import Item, Site

WEEKS: Final = 13
"""How many weeks the horizon looks ahead: a quarter of a year, the present week included."""

SHOWN: Final = 60
"""How many of the duties that fall due are read at once to be looked at."""


@dataclass(frozen=True, slots=True)
class Week:
    """A week by ISO 8601: from Monday to Sunday, both included."""

    first: date
    last: date

    @property
    def number(self) -> int:
        """The number of the week in its year."""
        return self.first.isocalendar().week


@dataclass(frozen=True, slots=True)
class Work:
    """How many duties fall due, and how many minutes of work they are."""

    duties: int = 0
    minutes: Decimal = Decimal(0)

    def __add__(self, other: "Work") -> "Work":
        return Work(self.duties + other.duties, self.minutes + other.minutes)


@dataclass(frozen=True, slots=True)
class SiteWork:
    """The work of one site, or of all together (`site_id` is empty then).

    `overdue` counts the duties that were due before today and `oldest` tells since when; `never_done` counts those
    without a date that must be done before the item is used; `weeks` is what falls due in each week from today on.
    """

    site_id: str
    name: str
    address: str
    environment: str
    strokes: int
    overdue: int
    oldest: date | None
    never_done: int
    weeks: tuple[Work, ...]

    @property
    def ahead(self) -> Work:
        """All that falls due in these weeks."""
        return sum(self.weeks, Work())

    @property
    def pressing(self) -> tuple[Any, ...]:
        """What the sites are put in order by: overdue the longest, never done, due the soonest and the most of it."""
        soonest = next((place for place, work in enumerate(self.weeks) if work.duties), WEEKS)
        most = -self.weeks[soonest].minutes if soonest < WEEKS else Decimal(0)
        return (self.oldest or date.max, not self.never_done, soonest, most, self.name)


@dataclass(frozen=True, slots=True)
class Horizon:
    """The sites that have work in these weeks or overdue, the most pressing first, and all of it together.

    `crew_hours` is what the crew works at items in a week; `own_hours` and `own_minutes` say that the firm gave its
    own figures, which are the program's otherwise. `sites` counts all there are, `items` those that were not removed.
    """

    today: date
    weeks: tuple[Week, ...]
    rows: tuple[SiteWork, ...]
    total: SiteWork
    crew_hours: Decimal
    own_hours: bool
    own_minutes: bool
    sites: int
    items: int

    @property
    def above(self) -> int:
        """In how many weeks more falls due than the crew has hours for."""
        return sum(work.minutes > self.crew_hours * 60 for work in self.total.weeks)


@dataclass(frozen=True, slots=True)
class DueThen:
    """What falls due within some days: how much work, on how many items, and the first of the duties with reasons."""

    work: Work
    items: int
    rows: tuple[DueDuty, ...]


def weeks_from(today: date) -> tuple[Week, ...]:
    """Return the weeks of the horizon, the present one first."""
    monday = monday_of(today)
    return tuple(Week(monday + timedelta(days=7 * n), monday + timedelta(days=7 * n + 6)) for n in range(WEEKS))


def horizon(connection: Connection, today: date) -> Horizon:
    """Return the horizon as on a day."""
    weeks, own_hours, minutes = weeks_from(today), setting(connection, "crew_hours"), minutes_in_force(connection)
    ahead = _ahead(connection, today, weeks, minutes)
    overdue = {each.site: each for each in overdue_work(connection, today)}
    never_done = undated_work(connection)
    every = _sites(connection)
    rows = sorted(
        (_site_work(site, ahead.get(site.id, {}), overdue.get(site.id), never_done.get(site.id, 0)) for site in every),
        key=lambda row: row.pressing,
    )
    shown = tuple(row for row in rows if row.overdue or row.never_done or row.ahead.duties)
    return Horizon(
        today=today, weeks=weeks, rows=shown, total=_total(shown), crew_hours=crew_hours_from(own_hours),
        own_hours=own_hours is not None, own_minutes=minutes.own, sites=len(every),
        items=int(connection.execute(_ITEMS).scalar_one()),
    )  # fmt: skip


_ITEMS: Final = sa.select(sa.func.count()).where(Item.state.in_((IN_SERVICE, WITHDRAWN)))


def due_in(
    connection: Connection, today: date, first: date, last: date, *, site: str | None = None, limit: int = SHOWN
) -> DueThen:
    """Return the contractor's duties that fall due within some days, both included, at one site or at all."""
    minutes = minutes_in_force(connection)
    items, counts = counted_within(connection, first, last, site)
    work = sum((Work(n, n * minutes.of(Kind(kind), Duty(duty))) for (kind, duty), n in counts.items()), Work())
    rows = duties_within(connection, first, last, site, limit)
    return DueThen(work, items, tuple(due_rows(connection, rows, today)))


def overdue_now(connection: Connection, today: date, *, site: str | None = None, limit: int = SHOWN) -> DueThen:
    """Return the contractor's duties that are overdue, then those never done, at one site or at all."""
    before = due_in(connection, today, date.min, today - timedelta(days=1), site=site, limit=limit)
    left = limit - len(before.rows)
    if left <= 0:
        return before
    never_done = due_page(connection, DueFilter(date.min, site, contractors=True), limit=left)
    return replace(before, rows=(*before.rows, *due_rows(connection, never_done, today)))


def oldest_overdue(connection: Connection, today: date, *, site: str | None = None) -> DueDuty | None:
    """Return the duty that is overdue the longest, at one site or at all."""
    rows = duties_within(connection, date.min, today - timedelta(days=1), site, 1)
    return next(iter(due_rows(connection, rows, today)), None)


class _Site(NamedTuple):
    id: str
    name: str
    address: str
    environment: str
    strokes: int


def _sites(connection: Connection) -> list[_Site]:
    rows = connection.execute(sa.select(Site.id, Site.name, Site.address, Site.environment, Site.rulebook))
    return [
        _Site(
            row.id, row.name, row.address, rulebook(row.rulebook).environments[row.environment].title,
            strokes(rulebook(row.rulebook), row.environment),
        )
        for row in rows
    ]  # fmt: skip


def _ahead(
    connection: Connection, today: date, weeks: tuple[Week, ...], minutes: Minutes
) -> dict[str, dict[int, Work]]:
    """Return the work of each site by week, counted from 0."""
    monday = weeks[0].first
    each = {(kind.value, duty.value): minutes.of(kind, duty) for kind in Kind for duty in Duty}
    counts: Counter[tuple[str, int]] = Counter()
    taken: defaultdict[tuple[str, int], Decimal] = defaultdict(Decimal)
    for site, duty, kind, due, count in dated_work(connection, today, weeks[-1].last):
        place = site, (due - monday).days // 7
        counts[place] += count
        taken[place] += count * each[kind, duty]
    found: dict[str, dict[int, Work]] = {}
    for (site, week), count in counts.items():
        found.setdefault(site, {})[week] = Work(count, taken[site, week])
    return found


def _site_work(site: _Site, ahead: dict[int, Work], overdue: OverdueWork | None, never_done: int) -> SiteWork:
    return SiteWork(
        site_id=site.id, name=site.name, address=site.address, environment=site.environment, strokes=site.strokes,
        overdue=overdue.duties if overdue else 0, oldest=overdue.oldest if overdue else None, never_done=never_done,
        weeks=tuple(ahead.get(week, Work()) for week in range(WEEKS)),
    )  # fmt: skip


def _total(rows: Iterable[SiteWork]) -> SiteWork:
    every = list(rows)
    return SiteWork(
        site_id="", name="All sites", address="", environment="", strokes=0,
        overdue=sum(row.overdue for row in every),
        oldest=min((row.oldest for row in every if row.oldest is not None), default=None),
        never_done=sum(row.never_done for row in every),
        weeks=tuple(sum((row.weeks[place] for row in every), Work()) for place in range(WEEKS)),
    )  # fmt: skip
