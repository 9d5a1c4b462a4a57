"""A wrong record is corrected: it stays to be seen, counts no more, and all that followed from it comes out right."""

from datetime import date, time, timedelta
from random import Random
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from register.domain.words import Result, Standing, WithdrawalReason
from register.errors import Refused
from register.services.corrections import Corrected, correct_record, void_record
from register.services.items import find_item
from register.services.past_readings import past_readings
from register.services.projection import projected
from register.services.recording import record_tests
from register.services.withdrawals.deeds import remove
from register.store.amended import Correction
from register.store.engine import Change
from register.store.tables import Item, Record
from tests.desk import Desk, entry
from tests.registers import TODAY

DAY = timedelta(days=1)


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """A register with one safety switch, in use for two years."""
    desk.site()
    desk.item("1", since=TODAY - 730 * DAY)
    return desk


def passed(desk: Desk, on: date) -> str:
    return desk.test("1", on).id


def failed(desk: Desk, on: date) -> str:
    return desk.test("1", on, look=Result.FAIL).id


def void(desk: Desk, record_id: str, reason: str = "recorded on the wrong item") -> Corrected:
    with desk.change() as change:
        return void_record(change, record_id, reason)


def state(desk: Desk) -> tuple[Any, ...]:
    """Where the item stands, with its dates and the day of its withdrawal."""
    answer = desk.answer("1")
    out = answer.withdrawn
    return answer.standing, desk.dates("1"), out and (out.since, out.reason), desk.faults()


def test_a_wrong_pass_moves_the_dates_back(yard: Desk) -> None:
    passed(yard, TODAY - 200 * DAY)
    before = state(yard)
    void(yard, passed(yard, TODAY))
    assert state(yard) == before


def test_a_wrong_fail_brings_the_item_back_into_service(yard: Desk) -> None:
    passed(yard, TODAY - 40 * DAY)
    before = state(yard)
    corrected = void(yard, failed(yard, TODAY), "the look was ticked wrongly")
    assert not corrected.out_of_service
    assert state(yard) == before
    (withdrawal,) = yard.withdrawals()
    assert (withdrawal.ended_on, withdrawal.end) == (TODAY, "corrected")


def test_an_item_that_a_wrong_pass_gave_back_is_out_of_service_again(yard: Desk) -> None:
    failed(yard, TODAY - 9 * DAY)
    yard.withdraw("1", WithdrawalReason.FAILED, "OUT-7")
    before = state(yard)
    wrong = passed(yard, TODAY)
    assert yard.answer("1").standing is Standing.IN_SERVICE
    assert void(yard, wrong).out_of_service
    assert state(yard) == before
    (withdrawal,) = yard.withdrawals()
    assert (withdrawal.tag_number, withdrawal.ended_on) == ("OUT-7", None)


def test_a_wrong_fail_replaced_by_the_right_one_keeps_the_tag_that_is_on_the_item(yard: Desk) -> None:
    wrong = failed(yard, TODAY - DAY)
    yard.withdraw("1", WithdrawalReason.FAILED, "OUT-7", told="Jo at the gate")
    right = entry("1", TODAY, look=Result.FAIL)
    with yard.change() as change:
        corrected = correct_record(change, wrong, right, "tested today, not yesterday")
    assert corrected.recorded is not None
    assert corrected.recorded.withdrawn
    out = yard.answer("1").withdrawn
    assert out is not None
    assert (out.since, out.tag_number, out.record_id) == (TODAY, "OUT-7", right.id)
    assert yard.faults() == ()


def test_withdrawn_for_overdue_is_the_reason_again_once_the_failed_test_is_void(yard: Desk) -> None:
    yard.withdraw("1", WithdrawalReason.OVERDUE)
    before = state(yard)
    void(yard, failed(yard, TODAY))
    assert state(yard) == before


def test_the_old_record_stays_with_reason_who_and_when(yard: Desk) -> None:
    wrong = failed(yard, TODAY)
    with yard.change() as change:
        correct_record(change, wrong, entry("1", TODAY), "typed 284 for 28.4")
    with yard.read() as connection:
        records, histories = past_readings(connection, yard.id("1"))
        kept = connection.execute(sa.select(Record.verdict).where(Record.id == wrong)).scalar_one()
    assert kept == "fail"
    old = next(each for each in records if each.id == wrong)
    assert old.corrected == "Corrected by a new record on 20 Nov 2026 by Kim Ferro: typed 284 for 28.4."
    assert [len(each.points) for each in histories] == [1] * len(histories)
    assert yard.events()[-1] == "record:correct"
    assert yard.answer("1").standing is Standing.IN_SERVICE


def test_a_record_of_the_wrong_item_goes_to_the_right_one(yard: Desk) -> None:
    yard.item("2", since=TODAY - 730 * DAY)
    wrong = failed(yard, TODAY)
    with yard.change() as change:
        correct_record(change, wrong, entry("2", TODAY, look=Result.FAIL), "the tags were mixed up")
    assert yard.answer("1").withdrawn is None
    assert yard.answer("2").withdrawn is not None
    assert yard.faults() == ()


def test_the_same_test_can_be_recorded_again_after_it_was_void(yard: Desk) -> None:
    first = passed(yard, TODAY)
    void(yard, first)
    with yard.change() as change:
        (again,) = record_tests(change, [entry("1", TODAY, id="0190a000-0000-7000-8000-000000000001")])
    assert not again.known
    assert yard.answer("1").standing is Standing.IN_SERVICE
    with yard.change() as change:
        (third,) = record_tests(change, [entry("1", TODAY, id="0190a000-0000-7000-8000-000000000002")])
    assert third.known, "one that counts is there already"
    with yard.change() as change:
        (sent_again,) = record_tests(change, [entry("1", TODAY)])
    assert sent_again.known, "the id of the void one is known"


def test_a_mark_that_the_wrong_record_took_away_is_back(yard: Desk) -> None:
    with yard.change() as change:
        change.session.get_one(Item, yard.id("1")).not_found_on = TODAY - DAY
    wrong = passed(yard, TODAY)
    assert yard.answer("1").not_found_on is None
    void(yard, wrong)
    assert yard.answer("1").not_found_on == TODAY - DAY


def test_a_record_of_an_item_that_is_gone_can_be_corrected(yard: Desk) -> None:
    wrong = passed(yard, TODAY)
    with yard.change() as change:
        remove(change, yard.id("1"), reason="scrapped")
    void(yard, wrong)
    assert yard.answer("1").standing is Standing.REMOVED
    assert yard.faults() == ()


@pytest.mark.parametrize(
    ("reason", "again", "said"),
    [
        ("", False, "A correction needs a reason, such as: typed 28.4 for 284."),
        ("typed wrong", True, "corrected on 20 Nov 2026 by Kim Ferro already: typed wrong."),
    ],
)
def test_what_can_not_be_corrected_is_refused(yard: Desk, reason: str, said: str, *, again: bool) -> None:
    wrong = passed(yard, TODAY)
    if again:
        void(yard, wrong, reason)
    with pytest.raises(Refused, match=said):
        void(yard, wrong, reason)


def test_a_record_that_is_not_there_and_a_right_one_with_the_wrong_ones_id_are_refused(yard: Desk) -> None:
    with pytest.raises(Refused, match="There is no record"):
        void(yard, "0190a000-0000-7000-8000-00000000000f")
    wrong = entry("1", TODAY)
    with yard.change() as change:
        record_tests(change, [wrong])
    with pytest.raises(Refused, match="has the wrong one's id"), yard.change() as change:
        correct_record(change, wrong.id, wrong, "the tester was wrong")
    with yard.read() as connection:
        assert connection.execute(sa.select(sa.func.count()).select_from(Correction)).scalar_one() == 0


TESTS = st.lists(st.tuples(st.integers(0, 5), st.booleans(), st.booleans()), min_size=1, max_size=6)
"""Tests of one item: on which day, whether it passes, and whether the record is wrong."""


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(tests=TESTS, order=st.randoms(use_true_random=False))
def test_corrections_in_any_order_end_where_the_right_records_alone_end(
    tests: list[tuple[int, bool, bool]], order: Random, yard: Desk
) -> None:
    ordered = sorted(dict.fromkeys(tests), key=lambda each: each[0])
    with yard.change(keep=False) as change:
        wrong = [record_id for record_id, bad in _recorded(change, ordered) if bad]
        order.shuffle(wrong)
        for record_id in wrong:
            void_record(change, record_id, "wrong")
        corrected = _kept(change)
    with yard.change(keep=False) as change:
        _recorded(change, [each for each in ordered if not each[2]])
        assert corrected == _kept(change)


def _recorded(change: Change, tests: list[tuple[int, bool, bool]]) -> list[tuple[str, bool]]:
    found = []
    for day, good, bad in tests:
        told = entry(
            "1", TODAY - (10 - day) * DAY, look=Result.PASS if good else Result.FAIL, at=time(9, 2 * bad + good)
        )
        found.append((record_tests(change, [told])[0].id, bad))
    return found


def _kept(change: Change) -> tuple[Any, ...]:
    change.session.flush()
    connection = change.session.connection()
    item = find_item(connection, "1")
    return connection.execute(sa.select(Item.state).where(Item.id == item)).scalar_one(), *projected(connection, [item])
