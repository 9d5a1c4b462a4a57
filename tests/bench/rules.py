"""The rules by themselves: months added to dates, and records judged."""

from collections.abc import Iterator
from datetime import timedelta
from random import Random
from typing import Final

from dateutil.relativedelta import relativedelta

from register.domain.asked import duties_of
from register.domain.intervals import Interval, add_interval
from register.domain.items import Item, outlets_of
from register.domain.records import ReadingPlan, TestRecord
from register.domain.verdict import judge
from register.services.rulebooks import rulebook
from tests.bench import made_up
from tests.bench.made_up import TODAY
from tests.bench.timing import Effort, Line, medians

DAYS: Final = 2_500
MONTHS: Final = (1, 3, 6, 12, 24, 60)
MONTHS_RATIO_GOAL: Final = 0.15


def lines(effort: Effort, records: int) -> Iterator[Line]:
    """Measure one date and one record."""
    yield months(effort)
    yield judging(effort, records)


def months(effort: Effort) -> Line:
    """Measure adding an interval to the dates of seven years, again and again as the schedule does."""
    days = [TODAY - timedelta(days=number) for number in range(DAYS)]
    intervals = [(Interval.of(months=count), relativedelta(months=count)) for count in MONTHS]
    count = len(days) * len(intervals)
    ours, floor = medians(
        lambda: [add_interval(day, interval) for interval, _ in intervals for day in days],
        lambda: [day + delta for _, delta in intervals for day in days],
        effort=effort,
    )
    what = "interval added to a date"
    return Line(what, ours / count, "ns", floor / count, "relativedelta", goal_ratio=MONTHS_RATIO_GOAL)


def judging(effort: Effort, count: int) -> Line:
    """Measure the verdict on records of every kind of item."""
    rules, plan, rng = rulebook("au-in-service"), ReadingPlan(), Random("judge")  # noqa: S311 - made-up data, no secret
    made: list[tuple[TestRecord, Item]] = []
    for new in made_up.items([""], count):
        item = Item(new.kind, outlets_of(new.kind, new.outlets), new.safety_switch)
        made += [(each, item) for each in made_up.tests(item, duties_of(item, rules), rules, TODAY, rng)]
    (seconds,) = medians(lambda: [judge(record, item, rules, plan) for record, item in made], effort=effort)
    per_second = len(made) / seconds
    return Line(f"record judged ({per_second:,.0f} a second)", seconds / len(made), "µs")
