"""The week: how soon a first plan stands, how long the search takes, moving a stop by hand, a year ahead."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from random import Random
from time import perf_counter, process_time
from typing import Final

from register.domain.intervals import Interval
from register.planning.asked import Asked
from register.planning.forecast import forecast
from register.planning.planned import move, plan
from register.planning.site_week import Premises, Task
from register.planning.week_rows import PlannedWeek
from tests.bench.timing import Effort, Line, medians
from tests.planning.weeks import made_up

SITES: Final = 100
VANS: Final = 3
YEAR_SITES: Final = 1_000
YEAR_DUTIES: Final = 100
YEAR_DATES: Final = 6
FIRST_GOAL: Final = 1.0
MOVE_GOAL: Final = 0.05
YEAR_GOAL: Final = 10.0


def lines(effort: Effort) -> Iterator[Line]:
    """Measure a first plan, the whole search, a stop moved by hand, and the forecast of a year."""
    question = made_up(SITES, 1, VANS)
    first: list[float] = []
    start = perf_counter()
    week = plan(question, first_plan=lambda _week: first.append(perf_counter() - start))
    whole = perf_counter() - start
    yield Line(f"first plan of a week, {SITES} sites, {VANS} vans", first[0], "ms", goal=FIRST_GOAL)
    yield Line(f"plan of a week, {SITES} sites, {VANS} vans", whole, "s")
    yield Line("a stop moved by hand", medians(lambda: moved(week), effort=effort)[0], "ms", goal=MOVE_GOAL)
    start = process_time()
    forecast(many_dates(made_up(YEAR_SITES, 2, VANS)), 52, lambda _monday: 30 * 60.0)
    yield Line(
        f"forecast of a year, {YEAR_SITES:,} sites of {YEAR_DUTIES} duties on {YEAR_DATES} dates, processor time",
        process_time() - start, "s", goal=YEAR_GOAL,
    )  # fmt: skip


def many_dates(question: Asked) -> Asked:
    """Return a question whose sites were tested on several days each, at several intervals: the hard sort of year."""
    random = Random("year")  # noqa: S311 - the same year each time

    def hard(premises: Premises) -> Premises:
        dates = [question.monday + timedelta(days=random.randint(-30, 360)) for _ in range(YEAR_DATES)]
        return replace(premises, tasks=tuple(
            Task(f"{premises.key}-{n}", "inspection-and-test", random.choice(dates),
                 Interval.of(months=random.choice([3, 6, 12])), 3.5)
            for n in range(YEAR_DUTIES)
        ))  # fmt: skip

    return replace(question, sites=tuple(map(hard, question.sites)))


def moved(week: PlannedWeek) -> None:
    """Put the first stop on the last day."""
    move(week, week.stops[0].key, week.days[-1].day, week.days[-1].van)
