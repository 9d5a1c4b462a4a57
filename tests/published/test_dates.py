"""Retest dates against what was published, and month arithmetic against a library made for it.

No rule was found that says how months are counted: AS/NZS 3760:2022 and the regulations name intervals in months and
years, and a date on the tag. That a day which the month lacks becomes that month's last is our own rule, the usual
one for calendar months.
"""

import calendar
from datetime import date, timedelta
from itertools import product

import pytest
from dateutil.relativedelta import relativedelta

from register.domain.intervals import Interval, add_interval
from register.domain.items import Exposure, Item
from register.domain.rulebook_lookup import interval_lines
from register.domain.schedule import Done, Stay, schedule
from register.domain.standing import duty_standing
from register.domain.words import Condition, Duty, Kind, Standing
from register.services.rulebooks import rulebook

INTERVALS = sorted({
    line.every
    for book in (rulebook("au-in-service"), rulebook("au-qld"))
    for environment in book.environments
    for kind in Kind
    for line in interval_lines(book, kind=kind, environment=environment, place=environment, has_switch=True)
    if line.every is not None
})  # fmt: skip


@pytest.mark.parametrize(
    ("start", "months", "due"),
    [
        # own rule: whole calendar months, clamped to the end of a month that lacks the day
        (date(2025, 1, 31), 1, date(2025, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2024, 8, 31), 6, date(2025, 2, 28)),
        (date(2024, 11, 30), 3, date(2025, 2, 28)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2025, 3, 15), 60, date(2030, 3, 15)),
        # and back again: a short month does not stay short, because nothing is chained
        (date(2025, 2, 28), 1, date(2025, 3, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
    ],
)
def test_calendar_months_are_clamped_to_the_months_end(start: date, months: int, due: date) -> None:
    assert add_interval(start, Interval.of(months=months)) == due


def test_every_interval_of_the_rulebooks_lands_where_the_reference_library_lands() -> None:
    """python-dateutil's relativedelta on each day of two leap cycles, and Python's calendar for the month's length."""
    assert [str(each) for each in INTERVALS] == ["P1M", "P3M", "P6M", "P12M", "P2Y", "P5Y"]
    day, end = date(2020, 1, 1), date(2028, 12, 31)
    while day <= end:
        for interval in INTERVALS:
            due = add_interval(day, interval)
            assert due == day + relativedelta(months=interval.months)
            assert due.day == min(day.day, calendar.monthrange(due.year, due.month)[1])
        day += timedelta(days=1)


def standing(item: Item, environment: str, done: date | None, on: date) -> Standing:
    """Return where the test of an item stands on a day, by AS/NZS 3760 and AS/NZS 3012 as the rulebook has them."""
    stays = [Stay(Exposure(date(2020, 1, 1), environment, environment, "au-in-service"))]
    known = {} if done is None else {Duty.INSPECTION_AND_TEST: Done(done)}
    duties = schedule(item, stays, {"au-in-service": rulebook("au-in-service")}, known)
    return duty_standing(on, next(each for each in duties if each.duty is Duty.INSPECTION_AND_TEST))


@pytest.mark.parametrize(
    ("environment", "done", "due"),
    [
        ("workshop", date(2026, 3, 5), date(2026, 9, 5)),
        ("workshop", date(2025, 8, 31), date(2026, 2, 28)),
        ("construction", date(2025, 11, 30), date(2026, 2, 28)),
        ("benign", date(2024, 2, 29), date(2029, 2, 28)),
    ],
)
def test_an_item_may_be_used_on_its_due_date_and_not_from_the_next_day_on(
    environment: str, done: date, due: date
) -> None:
    """Model WHS Regulations r 150(4) and r 151, restated second-hand.

    The record states the date by which the next test must be carried out; equipment that needs a test and had none
    is not used. So the date itself is the last day of use. No grace is given: none was found in law.
    """
    lead = Item(Kind.EXTENSION_LEAD)
    assert standing(lead, environment, done, due - timedelta(days=30)) is Standing.IN_SERVICE
    assert standing(lead, environment, done, due) is Standing.DUE_SOON
    for days in (1, 7, 14, 400):
        assert standing(lead, environment, done, due + timedelta(days=days)) is Standing.OVERDUE


def test_new_equipment_is_not_tested_first_and_its_first_date_counts_from_its_first_day() -> None:
    """Model WHS Regulations r 150(2) and AS/NZS 3760:2022 clauses 1.2.1 and 2.5.2.1, restated second-hand."""
    new = Item(Kind.APPLIANCE_CLASS_1, condition=Condition.NEW, since=date(2026, 8, 31))
    assert standing(new, "workshop", None, date(2026, 9, 1)) is Standing.IN_SERVICE
    assert standing(new, "workshop", None, date(2027, 2, 28)) is Standing.DUE_SOON
    assert standing(new, "workshop", None, date(2027, 3, 1)) is Standing.OVERDUE


def test_new_equipment_on_a_construction_site_is_tested_before_its_first_use_there() -> None:
    """AS/NZS 3012:2010 verification intervals, restated second-hand by a regulator."""
    new = Item(Kind.APPLIANCE_CLASS_1, condition=Condition.NEW, since=date(2026, 8, 31))
    assert standing(new, "construction", None, date(2026, 9, 1)) is Standing.UNTESTED


def test_repaired_equipment_is_tested_before_its_return_and_dated_from_that_test() -> None:
    """AS/NZS 3760:2010 Table 4, row 7, restated second-hand."""
    repaired = Item(Kind.APPLIANCE_CLASS_1, condition=Condition.REPAIRED, since=date(2026, 8, 31))
    assert standing(repaired, "workshop", date(2026, 8, 30), date(2026, 8, 31)) is Standing.UNTESTED
    assert standing(repaired, "workshop", date(2026, 8, 30), date(2026, 9, 1)) is Standing.OVERDUE
    assert standing(repaired, "workshop", date(2026, 9, 2), date(2027, 3, 2)) is Standing.DUE_SOON


@pytest.mark.parametrize(
    ("first", "then"), list(product(["workshop", "benign", "construction"], ["residential", "construction", "benign"]))
)
def test_a_move_counts_the_shorter_of_the_old_date_and_the_new_interval_from_the_last_test(
    first: str, then: str
) -> None:
    """Own rule, no source found: a harsher place counts at once, a milder one from the next test on."""
    rules, tested = rulebook("au-in-service"), date(2026, 1, 31)

    def due(*stays: tuple[str, date]) -> date | None:
        where = [Stay(Exposure(since, environment, environment, rules.id)) for environment, since in stays]
        done = {Duty.INSPECTION_AND_TEST: Done(tested)}
        return schedule(Item(Kind.EXTENSION_LEAD), where, {rules.id: rules}, done)[0].due

    alone = [due((environment, date(2025, 1, 1))) for environment in (first, then)]
    assert due((first, date(2025, 1, 1)), (then, date(2026, 2, 10))) == min(each for each in alone if each is not None)
