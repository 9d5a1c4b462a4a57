"""Where an item stands on a day, and what keeps a withdrawn one out of service."""

from collections.abc import Iterable, Mapping
from datetime import date, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from register.domain.items import Item
from register.domain.schedule import DutyDue
from register.domain.standing import SOON_DAYS, Moment, duty_standing, standing_on, still_needed
from register.domain.words import Condition, Duty, Kind, Standing, WithdrawalReason
from tests.domain.schedule_rules import PRESS, SWITCH, TEST, TIME, duties_of, stay

TODAY = date(2026, 11, 24)
DAY = timedelta(days=1)
FAILED, DAMAGED, OVERDUE = WithdrawalReason.FAILED, WithdrawalReason.DAMAGED, WithdrawalReason.OVERDUE


def stands(next_due: date | None, *, untested: bool = False, soon_days: int = SOON_DAYS, **out: bool) -> Standing:
    out = {"removed": False, "withdrawn": False, **out}
    return standing_on(TODAY, untested=untested, next_due=next_due, soon_days=soon_days, **out)


@pytest.mark.parametrize(
    ("days", "standing"),
    [
        (-400, Standing.OVERDUE),
        (-1, Standing.OVERDUE),
        (0, Standing.DUE_SOON),
        (1, Standing.DUE_SOON),
        (14, Standing.DUE_SOON),
        (15, Standing.IN_SERVICE),
        (None, Standing.IN_SERVICE),
    ],
)
def test_an_item_is_usable_on_its_due_date_and_overdue_the_next_day(days: int | None, standing: Standing) -> None:
    due = None if days is None else TODAY + days * DAY
    assert stands(due) is standing


@pytest.mark.parametrize(("soon_days", "standing"), [(0, Standing.IN_SERVICE), (3, Standing.DUE_SOON)])
def test_how_soon_is_soon_is_a_setting(soon_days: int, standing: Standing) -> None:
    assert stands(TODAY + 3 * DAY, soon_days=soon_days) is standing
    assert stands(TODAY, soon_days=0) is Standing.DUE_SOON


@pytest.mark.parametrize("due", [None, TODAY, date.max])
def test_an_item_with_a_test_never_done_is_untested_unless_another_is_overdue(due: date | None) -> None:
    assert stands(due, untested=True) is Standing.UNTESTED
    assert stands(TODAY - DAY, untested=True) is Standing.OVERDUE


@pytest.mark.parametrize("due", [None, TODAY - DAY, TODAY, date.max])
def test_out_of_service_goes_before_any_date_and_removal_before_all(due: date | None) -> None:
    assert stands(due, untested=True, withdrawn=True) is Standing.WITHDRAWN
    assert stands(due, withdrawn=True, removed=True) is Standing.REMOVED
    assert stands(due, removed=True) is Standing.REMOVED


@given(st.dates(), st.dates(), st.integers(min_value=0, max_value=100_000))
def test_any_two_days_give_a_standing(today: date, due: date, soon_days: int) -> None:
    found = standing_on(today, removed=False, withdrawn=False, untested=False, next_due=due, soon_days=soon_days)
    assert (found is Standing.OVERDUE) is (due < today)


def test_each_duty_stands_by_itself() -> None:
    found = duties_of(SWITCH, [stay("shed")], {TIME: date(2025, 11, 23)})
    assert {duty: duty_standing(TODAY, each) for duty, each in found.items()} == {
        TEST: Standing.UNTESTED,
        TIME: Standing.OVERDUE,
        PRESS: Standing.IN_SERVICE,
    }
    assert duty_standing(date(2025, 11, 24), found[TIME]) is Standing.IN_SERVICE
    assert duty_standing(date(2025, 11, 24), found[TIME], soon_days=400) is Standing.DUE_SOON


# ---- moments


@pytest.mark.parametrize(
    ("one", "other", "after"),
    [
        (Moment(TODAY), Moment(TODAY - DAY), True),
        (Moment(TODAY - DAY), Moment(TODAY), False),
        (Moment(TODAY, time(8)), Moment(TODAY + DAY), False),
        (Moment(TODAY), Moment(TODAY), False),
        (Moment(TODAY, time(9)), Moment(TODAY), False),
        (Moment(TODAY), Moment(TODAY, time(9)), False),
        (Moment(TODAY, time(9)), Moment(TODAY, time(8, 59)), True),
        (Moment(TODAY, time(9)), Moment(TODAY, time(9)), False),
        (Moment(TODAY, time(8)), Moment(TODAY, time(9)), False),
    ],
)
def test_a_moment_is_after_another_only_where_that_is_sure(one: Moment, other: Moment, *, after: bool) -> None:
    assert one.after(other) is after


# ---- what keeps an item out of service

OUT = Moment(date(2026, 8, 10), time(12))
LATER = Moment(date(2026, 8, 20))


def switch(done: Mapping[Duty, date], item: Item = SWITCH) -> Iterable[DutyDue]:
    """Return the duties of a switch in a shed: both tests are the contractor's, the button is the user's."""
    return duties_of(item, [stay("shed")], done).values()


IN_DATE = {TEST: date(2026, 5, 1), TIME: date(2026, 5, 1)}
TEST_OVERDUE = {TEST: date(2026, 2, 1), TIME: date(2026, 5, 1)}


@pytest.mark.parametrize("reason", [FAILED, DAMAGED])
@pytest.mark.parametrize(
    ("passed", "needed"),
    [
        ({}, (TEST, TIME)),
        ({TEST: LATER}, (TIME,)),
        ({TIME: LATER}, (TEST,)),
        ({TEST: LATER, TIME: LATER}, ()),
        ({TEST: LATER, TIME: Moment(date(2026, 8, 9))}, (TIME,)),
        ({TEST: LATER, TIME: Moment(date(2026, 8, 10))}, (TIME,)),
        ({TEST: LATER, TIME: Moment(date(2026, 8, 10), time(12))}, (TIME,)),
        ({TEST: LATER, TIME: Moment(date(2026, 8, 10), time(12, 1))}, ()),
        ({PRESS: LATER}, (TEST, TIME)),
    ],
)
def test_after_a_failure_every_test_must_pass_after_it_in_date_or_not(
    reason: WithdrawalReason, passed: dict[Duty, Moment], needed: tuple[Duty, ...]
) -> None:
    assert still_needed(OUT, reason, switch(IN_DATE), passed) == needed
    assert still_needed(OUT, reason, switch(TEST_OVERDUE), passed) == needed


@pytest.mark.parametrize(
    ("done", "passed", "needed"),
    [
        # nothing passed since: what was overdue on the day of withdrawal
        (TEST_OVERDUE, {}, (TEST,)),
        ({TIME: date(2026, 5, 1)}, {}, (TEST,)),
        ({}, {}, (TEST, TIME)),
        ({TEST: date(2026, 2, 1), TIME: date(2025, 8, 1)}, {}, (TEST, TIME)),
        # usable on its due date
        ({TEST: date(2026, 2, 10), TIME: date(2025, 8, 9)}, {}, (TIME,)),
        # the overdue test passed, the other is in date or is not on the day of that test
        ({TEST: LATER.on, TIME: date(2026, 5, 1)}, {TEST: LATER}, ()),
        ({TEST: LATER.on, TIME: date(2025, 8, 20)}, {TEST: LATER}, ()),
        ({TEST: LATER.on, TIME: date(2025, 8, 19)}, {TEST: LATER}, (TIME,)),
        ({TEST: LATER.on}, {TEST: LATER}, (TIME,)),
        # another than the overdue one passed
        ({TEST: date(2026, 2, 1), TIME: LATER.on}, {TIME: LATER}, (TEST,)),
        # a pass from before, entered late, puts the test in date; it brings nothing back by itself
        (IN_DATE, {TEST: Moment(date(2026, 8, 9))}, (TEST, TIME)),
        (IN_DATE, {PRESS: LATER}, (TEST, TIME)),
    ],
)
def test_after_a_withdrawal_for_being_overdue_what_is_in_date_need_not_be_tested(
    done: dict[Duty, date], passed: dict[Duty, Moment], needed: tuple[Duty, ...]
) -> None:
    assert still_needed(OUT, OVERDUE, switch(done), passed) == needed


@pytest.mark.parametrize("reason", WithdrawalReason)
def test_duties_that_are_not_asked_of_the_item_keep_nothing_out(reason: WithdrawalReason) -> None:
    spared = Item(Kind.APPLIANCE_CLASS_1, protected_by_switch=True)
    assert still_needed(OUT, reason, duties_of(spared, [stay("law")]).values(), {}) == ()


def test_a_repaired_item_must_pass_what_it_has_not_passed_since_the_repair() -> None:
    repaired = Item(SWITCH.kind, condition=Condition.REPAIRED, since=date(2026, 8, 15))
    duties = switch({TEST: LATER.on, TIME: date(2026, 5, 1)}, repaired)
    assert still_needed(OUT, OVERDUE, duties, {TEST: LATER}) == (TIME,)
