"""What happens to an item between tests changes what is due, from the day it happened."""

from datetime import date, timedelta

import pytest

from register.domain.words import Condition, Kind, Standing
from register.errors import Refused
from register.services.conditions import change_condition
from register.services.items import find_item
from register.services.withdrawals.deeds import remove
from tests.desk import INSPECTION, SOUND, Desk
from tests.registers import TODAY

SEPTEMBER = date(2026, 9, 1)


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """A lead in a workshop, tested in September: due in March."""
    desk.site()
    desk.on(SEPTEMBER).item("L1", Kind.EXTENSION_LEAD)
    desk.on(SEPTEMBER).test("L1", duties=(INSPECTION,), readings=SOUND)
    return desk


def put(desk: Desk, condition: Condition, since: date = TODAY, reason: str = "") -> None:
    with desk.change() as change:
        key = find_item(change.session.connection(), "L1")
        change_condition(change, key, condition, since=since, reason=reason)


def test_a_repaired_item_must_pass_before_it_is_used_again(yard: Desk) -> None:
    put(yard, Condition.REPAIRED, date(2026, 11, 1))
    answer = yard.answer("L1")
    assert (answer.standing, answer.next_due) == (Standing.OVERDUE, date(2026, 11, 1))
    assert answer.duties[0].why[0].startswith("Repaired on 1 Nov 2026 and not tested since")
    yard.test("L1", duties=(INSPECTION,), readings=SOUND)
    assert yard.answer("L1").next_due == date(2027, 5, 20)


def test_an_item_in_store_leaves_the_plan_and_comes_back_into_it(yard: Desk) -> None:
    put(yard, Condition.STORED)
    assert not yard.planned("L1")
    put(yard, Condition.IN_USE)
    assert yard.planned("L1")


def test_an_item_out_of_scope_has_no_dates_and_says_why(yard: Desk) -> None:
    put(yard, Condition.OUT_OF_SCOPE, reason=" hard-wired  now ")
    answer = yard.answer("L1")
    assert (answer.duties, answer.next_due, answer.out_of_scope) == ((), None, "Out of scope: hard-wired now.")
    put(yard, Condition.IN_USE, reason="plugged in again")
    assert (yard.answer("L1").next_due, yard.answer("L1").out_of_scope) == (date(2027, 3, 1), "")


@pytest.mark.parametrize(
    ("condition", "since", "reason", "sentence"),
    [
        (Condition.OUT_OF_SCOPE, TODAY, " ", "L1 can't be put out of scope without a reason."),
        (Condition.STORED, TODAY + timedelta(days=1), "", "The date 21 Nov 2026 is in the future"),
        (Condition.STORED, date(1989, 1, 1), "", "The date 1 Jan 1989 is before 1990."),
    ],
)
def test_a_condition_that_cant_be_is_refused(
    yard: Desk, condition: Condition, since: date, reason: str, sentence: str
) -> None:
    before = yard.events()
    with pytest.raises(Refused) as told:
        put(yard, condition, since, reason)
    assert str(told.value).startswith(sentence)
    assert yard.events() == before


def test_nothing_happens_to_a_removed_item(yard: Desk) -> None:
    with yard.change() as change:
        remove(change, find_item(change.session.connection(), "L1"), reason="scrapped")
    with pytest.raises(Refused, match="L1 was removed for good"):
        put(yard, Condition.STORED)
