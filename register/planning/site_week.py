"""What a week can do at one site: what must be done by its end, what is worth doing early, and what that saves."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Final

from register.domain.intervals import Interval, add_interval
from register.planning.explain import early_words
from register.planning.pull_forward import DayFor, EarlyVisit, Load, Question, SiteYear, site_year
from register.planning.travel import Place

TOGETHER_DAYS: Final = 28
"""How long after the first due date others are done with it, where a site is visited only because it was asked for."""

Hours = tuple[int, int]
"""From when to when, in minutes of the day."""

ALL_DAY: Final[Hours] = (0, 24 * 60)


@dataclass(frozen=True, slots=True)
class Task:
    """One duty on one item: when it is due (None: never done, so it must be done before use), and how long it takes."""

    item: str
    duty: str
    due: date | None
    every: Interval | None
    minutes: float
    tag: str = ""
    kind: str = ""
    area: str = ""
    last_done: date | None = None


@dataclass(frozen=True, slots=True)
class Premises:
    """A site as a planner sees it. `hours` holds when it can be entered, by the day of the week from 0 for Monday.

    `ready` is the minutes of set-up and induction at each visit.
    """

    key: str
    name: str
    place: Place | None
    tasks: tuple[Task, ...]
    ready: int = 0
    crew: int = 1
    hours: dict[int, Hours] = field(default_factory=lambda: dict.fromkeys(range(7), ALL_DAY))


@dataclass(frozen=True, slots=True)
class Early:
    """A duty worth doing before it is due, and why."""

    task: Task
    why: str


@dataclass(frozen=True, slots=True)
class Offer:
    """What a week can do at a site. `worth` is what the early duties save over the year, in minutes.

    For a site that nothing must be done at, its set-up is taken off that. `first_due` is None where nothing is due
    within the year.
    """

    site: Premises
    must: tuple[Task, ...]
    early: tuple[Early, ...]
    worth: float
    first_due: date | None
    overdue_days: int
    last_in_time: date
    """The last day on which everything that falls due within the week is in time."""

    grain: int = 1

    @property
    def must_minutes(self) -> float:
        """The minutes of what must be done."""
        return sum(task.minutes for task in self.must)

    @property
    def early_minutes(self) -> float:
        """The minutes of what is worth doing early."""
        return sum(each.task.minutes for each in self.early)


@dataclass(frozen=True, slots=True)
class Span:
    """The week that is planned: its days from first to last, and the days that are worked."""

    first: date
    last: date
    last_day: DayFor


def offer(site: Premises, span: Span, drive: float) -> Offer:
    """Return what a week can do at a site. `drive` is what a visit adds to a day's drives, in minutes."""
    must = tuple(sorted((t for t in site.tasks if t.due is None or t.due <= span.last), key=_pressing))
    later = [task for task in site.tasks if task.due is not None and task.due > span.last]
    trip = site.ready + drive
    year = site_year(Question(span.first, trip, span.last_day), _loads(site.tasks, span.first))
    visit, worth = _worth(year, site, must, span)
    early = tuple(_early(visit, year, later, span.first)) if worth > 0 else ()
    due = min((task.due for task in site.tasks if task.due is not None), default=None)
    dated = [task.due for task in must if task.due is not None]
    in_time = min((day for day in dated if day >= span.first), default=span.last)
    oldest = min(dated, default=span.first)
    return Offer(
        site=site,
        must=must,
        early=early,
        worth=worth if early else 0.0,
        first_due=due,
        overdue_days=max(0, (span.first - oldest).days),
        last_in_time=in_time,
        grain=year.grain,
    )


def anyway(given: Offer, span: Span) -> Offer:
    """Return an offer for a site that is visited by request: if nothing else, what falls due first is done early."""
    if given.must or given.early or given.first_due is None:
        return given
    until = given.first_due + timedelta(days=TOGETHER_DAYS)
    tasks = sorted((task for task in given.site.tasks if task.due and task.due <= until), key=_pressing)
    day = span.first
    early = tuple(Early(t, early_words(t.due, day, _lost(t, day), None, None)) for t in tasks if t.due is not None)
    return replace(given, early=early)


def _worth(year: SiteYear, site: Premises, must: tuple[Task, ...], span: Span) -> tuple[EarlyVisit, float]:
    """Return the best visit on the week's first day, and what its early duties save."""
    visit = year.early(span.first)
    if not must:
        return visit, visit.worth - site.ready
    done = set(must)
    again = [Load(_again(task, span.first), task.every, task.minutes) for task in must if task.every is not None]
    rest = [*_loads((task for task in site.tasks if task not in done), span.first), *again]
    lost = sum(max(0.0, _lost(task, span.first)) for task in must)
    without = year.best_of(rest)
    first = without.visits[0].day if without.visits else None
    return replace(visit, next_without=first), year.trip + lost + without.cost - visit.cost


def _again(task: Task, day: date) -> date:
    assert task.every is not None
    return add_interval(day, task.every)


def _lost(task: Task, day: date) -> float:
    if task.every is None or task.due is None:
        return 0.0
    return task.minutes * (task.due - day).days / task.every.length


def _loads(tasks: Iterable[Task], today: date) -> list[Load]:
    return [Load(task.due or today, task.every, task.minutes) for task in tasks]


def _early(visit: EarlyVisit, year: SiteYear, later: list[Task], day: date) -> Iterable[Early]:
    """Return the duties that the visit does early, each with its reason."""
    firsts: dict[Interval | None, list[date]] = {}
    for load in visit.visit.loads:
        firsts.setdefault(load.every, []).append(load.due)
    for task in sorted(later, key=_pressing):
        assert task.due is not None
        if any(0 <= (task.due - first).days < year.grain for first in firsts.get(task.every, ())):
            yield Early(task, early_words(task.due, day, _lost(task, day), visit.next_without, visit.next_with))


def _pressing(task: Task) -> tuple[date, str, str, str]:
    return task.due or date.min, task.area, task.tag, task.duty
