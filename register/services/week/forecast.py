"""A year of weeks for the register as it is, and what would be with one more van, another interval or a new site."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from itertools import cycle

from sqlalchemy.engine import Connection

from register.domain.intervals import Interval, add_interval
from register.domain.weeks import monday_of
from register.errors import Refused
from register.planning import forecast as planning
from register.planning.asked import Asked
from register.planning.forecast import Forecast
from register.planning.problem import Progress
from register.planning.site_week import Premises, Task
from register.planning.workload import crew_hours_from
from register.services.settings import setting
from register.services.week.plan import AHEAD_DAYS, WeekAsk, premises, week_question
from register.services.week.plan_settings import days_off

WEEKS = 52
MOST_WEEKS = 104
NEW_SITE = "NEW"
MOST_NEW_ITEMS = 20_000


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What is to be tried: so many vans more (or fewer), other intervals by duty, a new site like another.

    The new site has so many items as the other, or `new_site_items` of the same sorts.
    """

    more_vans: int = 0
    intervals: Mapping[str, Interval] = field(default_factory=dict)
    new_site_like: str = ""
    new_site_items: int | None = None

    @property
    def anything(self) -> bool:
        """Whether it differs from what is."""
        return bool(self.more_vans or self.intervals or self.new_site_like)


def forecast(
    connection: Connection,
    today: date,
    *,
    weeks: int = WEEKS,
    what_if: WhatIf | None = None,
    progress: Progress | None = None,
) -> Forecast:
    """Return the work of so many weeks, the present one first."""
    if not 1 <= weeks <= MOST_WEEKS:
        raise Refused(f"A forecast can't be of {weeks} weeks. Give from 1 to {MOST_WEEKS}.")
    tried = what_if or WhatIf()
    monday = monday_of(today)
    asked = week_question(connection, today, WeekAsk(monday))
    sites = premises(connection, today + timedelta(days=max(AHEAD_DAYS, weeks * 7 + 7)))
    asked = replace(asked, sites=_tried(sites, tried))
    off = {each.day for each in days_off(connection, monday, monday + timedelta(days=weeks * 7))}
    hours = float(crew_hours_from(setting(connection, "crew_hours"))) * 60 * _vans_share(asked, tried)

    def crew_minutes(of: date) -> float:
        """Return the crew's minutes in a week, less those of holidays on its working days."""
        worked = sum(of + timedelta(days=day) not in off for day in range(5))
        return hours * worked / 5

    return planning.forecast(asked, weeks, crew_minutes, progress)


def _vans_share(asked: Asked, tried: WhatIf) -> float:
    """Return by how much the crew's hours grow with more vans: as much as each van has now."""
    there = len(asked.vans)
    return max(0, there + tried.more_vans) / there if there else 1.0


def _tried(sites: tuple[Premises, ...], tried: WhatIf) -> tuple[Premises, ...]:
    found = tuple(replace(site, tasks=tuple(_with(task, tried) for task in site.tasks)) for site in sites)
    if not tried.new_site_like:
        return found
    like = next((site for site in found if site.key == tried.new_site_like.upper()), None)
    if like is None:
        raise Refused(f"There is no site {tried.new_site_like} with work, which a new one could be like. Name another.")
    tasks = like.tasks if tried.new_site_items is None else tuple(_so_many_items(like.tasks, tried.new_site_items))
    return (*found, replace(like, key=NEW_SITE, name=f"A new site like {like.name}", tasks=tasks))


def _so_many_items(tasks: tuple[Task, ...], wanted: int) -> Iterator[Task]:
    """Yield the duties of so many items, the same sorts over and over."""
    if not 1 <= wanted <= MOST_NEW_ITEMS:
        raise Refused(f"A new site can't have {wanted} items here. Give from 1 to {MOST_NEW_ITEMS:,}.")
    each: dict[str, list[Task]] = {}
    for task in tasks:
        each.setdefault(task.item, []).append(task)
    for number, same in zip(range(wanted), cycle(each.values()), strict=False):
        yield from (replace(task, item=f"{NEW_SITE}-{number}") for task in same)


def _with(task: Task, tried: WhatIf) -> Task:
    """Return a duty with the interval that is tried, counted from when it was last done."""
    every = tried.intervals.get(task.duty)
    if every is None or task.last_done is None:
        return task
    return replace(task, every=every, due=add_interval(task.last_done, every))
