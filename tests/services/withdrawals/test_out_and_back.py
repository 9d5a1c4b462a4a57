"""Items go out of service by a fail or by a deed, and return only by complete passes dated after it."""

from datetime import date, time, timedelta

import pytest

from register.domain.words import Condition, Duty, Result, Standing, WithdrawalReason
from register.errors import Refused
from register.services.conditions import change_condition
from register.services.items import NewItem, enter_items
from register.services.places import known_site
from register.services.questions import withdrawn_items
from register.services.withdrawals.deeds import remove
from tests.desk import INSPECTION, OPERATING, SLOW, SOUND, WHOLE, Desk
from tests.domain.verdict_rules import tripped
from tests.registers import TODAY

DAY = timedelta(days=1)
FAILED, DAMAGED, OVERDUE = WithdrawalReason.FAILED, WithdrawalReason.DAMAGED, WithdrawalReason.OVERDUE


@pytest.fixture
def bench(desk: Desk) -> Desk:
    """A switch in a workshop that passed everything half a year and a day ago: its inspection was due yesterday."""
    desk.site()
    earlier = desk.on(date(2026, 5, 19))
    earlier.item("P1")
    earlier.test("P1")
    return desk


def failing(desk: Desk, on: date | None = None, **rest: object) -> None:
    assert desk.test("P1", on, readings=[*SOUND, *SLOW], **rest).judgement.verdict is Result.FAIL


def test_a_fail_takes_the_item_out_of_service_at_once_without_a_tag_number(bench: Desk) -> None:
    recorded = bench.test("P1", readings=[*SOUND, *SLOW])
    assert (recorded.withdrawn, recorded.returned, recorded.still_needed) == (True, False, WHOLE)
    answer = bench.answer("P1")
    assert answer.standing is Standing.WITHDRAWN
    assert answer.withdrawn is not None
    assert (answer.withdrawn.reason, answer.withdrawn.since, answer.withdrawn.tag_number) == (FAILED, TODAY, "")
    assert answer.withdrawn.detail == recorded.judgement.why
    assert answer.withdrawn.record_id == recorded.id


def test_the_tag_number_is_noted_on_the_withdrawal_that_the_fail_opened(bench: Desk) -> None:
    failing(bench)
    done = bench.withdraw("P1", FAILED, " out-0001 ", told="the foreman")
    assert (done.reason, done.tag_number, done.needed) == (FAILED, "out-0001", WHOLE)
    (row,) = bench.withdrawals()
    assert (row.tag_number, row.told, row.detail) == ("out-0001", "the foreman", bench.answer("P1").withdrawn.detail)
    assert bench.events()[-1] == "withdrawal:change"


def test_a_withdrawal_by_hand_is_of_today_and_tells_what_brings_the_item_back(bench: Desk) -> None:
    done = bench.withdraw("P1", DAMAGED, "OUT-7", detail="plug  cracked")
    assert (done.since, done.reason, done.detail, done.needed) == (TODAY, DAMAGED, "plug cracked", WHOLE)
    assert bench.answer("P1").standing is Standing.WITHDRAWN


@pytest.mark.parametrize(
    ("reason", "number", "sentence"),
    [
        (DAMAGED, " ", "The withdrawal of P1 needs the number of its out-of-service tag. Give it."),
        (DAMAGED, "\u200b", "The withdrawal of P1 needs the number of its out-of-service tag. Give it."),
        (
            OVERDUE,
            "OUT-1",
            "P1 is not overdue on 19 Nov 2026. Give the reason failed or damaged, or leave it in service.",
        ),
    ],
)
def test_a_withdrawal_is_refused(bench: Desk, reason: WithdrawalReason, number: str, sentence: str) -> None:
    with pytest.raises(Refused) as told:
        bench.on(date(2026, 11, 19)).withdraw("P1", reason, number)
    assert str(told.value) == sentence
    assert bench.withdrawals() == []


def test_a_second_reason_is_refused_once_the_first_has_its_tag_and_the_same_one_changes_the_number(bench: Desk) -> None:
    bench.withdraw("P1", DAMAGED, "OUT-7")
    with pytest.raises(Refused) as told:
        bench.withdraw("P1", FAILED, "OUT-8")
    assert str(told.value) == (
        "P1 is out of service already: damaged since 20 Nov 2026, tag OUT-7. It stays so until it passes or is removed"
        " for good."
    )
    done = bench.withdraw("P1", DAMAGED, "OUT-9")
    assert (done.tag_before, done.tag_words) == ("OUT-7", "tag OUT-9 in the place of OUT-7")
    (row,) = bench.withdrawals()
    assert (row.reason, row.tag_number) == ("damaged", "OUT-9")


def test_the_same_withdrawal_again_changes_nothing(bench: Desk) -> None:
    bench.withdraw("P1", DAMAGED, "OUT-7", detail="plug cracked")
    before = bench.events()
    for detail in ("plug cracked", ""):
        again = bench.withdraw("P1", DAMAGED, "OUT-7", detail=detail)
        assert (again.detail, again.tag_before, again.tag_words) == ("plug cracked", "", "tag OUT-7")
    assert bench.events() == before


def test_an_out_of_service_tag_is_one_tag_however_it_is_written_and_no_longer_than_a_tag(bench: Desk) -> None:
    bench.item("P2")
    bench.withdraw("P1", DAMAGED, "OUT-7")
    with pytest.raises(Refused, match="The out-of-service tag out-7 is on P1 already"):
        bench.withdraw("P2", DAMAGED, "out-7")
    with pytest.raises(Refused, match=r"has 65 characters; it has at most 64\. Check that only the tag was scanned"):
        bench.withdraw("P2", DAMAGED, "7" * 65)


def test_a_complete_pass_of_every_duty_dated_after_it_ends_a_withdrawal(bench: Desk) -> None:
    failing(bench)
    later = bench.on(TODAY + DAY)
    recorded = later.test("P1")
    assert (recorded.withdrawn, recorded.returned, recorded.still_needed) == (False, True, ())
    answer = later.answer("P1")
    assert (answer.standing, answer.withdrawn) == (Standing.IN_SERVICE, None)
    (row,) = bench.withdrawals()
    assert (row.ended_on, row.end, row.end_record_id) == (TODAY + DAY, "returned", recorded.id)


@pytest.mark.parametrize(
    ("failed_at", "passed_at", "returned"),
    [
        (None, None, False),
        (time(9), None, False),
        (None, time(15), False),
        (time(9), time(9), False),
        (time(9), time(8, 59), False),
        (time(9), time(9, 0, 1), True),
    ],
)
def test_a_pass_of_the_same_day_ends_it_only_where_both_times_say_that_it_came_after(
    bench: Desk, failed_at: time | None, passed_at: time | None, *, returned: bool
) -> None:
    failing(bench, at=failed_at)
    recorded = bench.test("P1", at=passed_at)
    assert recorded.returned is returned
    assert recorded.still_needed == (() if returned else WHOLE)


def test_passes_of_each_duty_in_different_records_end_it_together(bench: Desk) -> None:
    failing(bench)
    first = bench.on(TODAY + DAY).test("P1", duties=(OPERATING,))
    assert (first.returned, first.still_needed) == (False, (INSPECTION,))
    second = bench.on(TODAY + 2 * DAY).test("P1", duties=(INSPECTION,))
    assert (second.returned, second.still_needed) == (True, ())


def test_an_incomplete_record_leaves_it_out_of_service(bench: Desk) -> None:
    failing(bench)
    recorded = bench.on(TODAY + DAY).test("P1", readings=[*SOUND, tripped("24", 1, 0)])
    assert recorded.judgement.verdict is Result.INCOMPLETE
    assert (recorded.returned, recorded.still_needed) == (False, WHOLE)


def test_an_older_pass_entered_late_does_not_outrun_a_newer_fail(bench: Desk) -> None:
    failing(bench, TODAY - 5 * DAY)
    failing(bench, TODAY - DAY)
    recorded = bench.test("P1", TODAY - 3 * DAY)
    assert (recorded.returned, recorded.still_needed) == (False, WHOLE)
    assert bench.answer("P1").withdrawn.needed == WHOLE
    assert bench.test("P1", TODAY).returned


def test_a_second_fail_asks_for_everything_again(bench: Desk) -> None:
    failing(bench, TODAY - 5 * DAY)
    bench.test("P1", TODAY - 4 * DAY, duties=(INSPECTION,))
    bench.test("P1", TODAY - 3 * DAY, duties=(OPERATING,), readings=SLOW)
    recorded = bench.test("P1", TODAY - 2 * DAY, duties=(OPERATING,))
    assert (recorded.returned, recorded.still_needed) == (False, (INSPECTION,))


def test_an_old_fail_entered_after_a_newer_pass_is_history(bench: Desk) -> None:
    bench.test("P1", TODAY)
    recorded = bench.test("P1", TODAY - 10 * DAY, readings=[*SOUND, *SLOW])
    assert (recorded.judgement.verdict, recorded.withdrawn) == (Result.FAIL, False)
    assert bench.answer("P1").standing is Standing.IN_SERVICE
    assert bench.withdrawals() == []


def test_an_old_fail_that_nothing_has_passed_since_withdraws_from_its_own_day(bench: Desk) -> None:
    bench.test("P1", TODAY - DAY, duties=(INSPECTION,))
    recorded = bench.test("P1", TODAY - 10 * DAY, readings=[*SOUND, *SLOW])
    assert (recorded.withdrawn, recorded.still_needed) == (True, (OPERATING,))
    assert bench.answer("P1").withdrawn.since == TODAY - 10 * DAY
    assert bench.test("P1", TODAY, duties=(OPERATING,)).returned


def test_an_overdue_item_withdrawn_stays_in_the_plan_and_returns_once_what_is_overdue_passed(bench: Desk) -> None:
    assert bench.answer("P1").standing is Standing.OVERDUE
    done = bench.withdraw("P1", OVERDUE)
    assert done.needed == (INSPECTION,), "the trip times are in date"
    assert bench.planned("P1")
    recorded = bench.on(TODAY + DAY).test("P1", duties=(INSPECTION,))
    assert recorded.returned


def test_an_overdue_item_that_fails_is_out_for_the_failure(bench: Desk) -> None:
    bench.withdraw("P1", OVERDUE, "OUT-3")
    recorded = bench.on(TODAY + DAY).test("P1", duties=(INSPECTION,), readings=SOUND, look=Result.FAIL)
    assert (recorded.withdrawn, recorded.still_needed) == (False, WHOLE)
    out = bench.answer("P1").withdrawn
    assert (out.reason, out.tag_number, out.record_id) == (FAILED, "OUT-3", recorded.id)
    assert not bench.planned("P1")
    assert bench.faults() == ()


@pytest.mark.parametrize("reason", [FAILED, DAMAGED])
def test_an_item_that_waits_for_repair_is_left_out_of_the_plan_until_it_passes(
    bench: Desk, reason: WithdrawalReason
) -> None:
    bench.withdraw("P1", reason)
    assert not bench.planned("P1")
    bench.on(TODAY + DAY).test("P1")
    assert bench.planned("P1")


def test_a_repaired_item_is_in_the_plan_again_until_it_fails_once_more(bench: Desk) -> None:
    def repaired(on: date) -> None:
        with bench.on(on).change() as change:
            change_condition(change, bench.id("P1"), Condition.REPAIRED, since=on)

    repaired(TODAY - 5 * DAY)
    failing(bench, TODAY - 3 * DAY)
    assert not bench.planned("P1"), "that repair was before it failed"
    repaired(TODAY - 2 * DAY)
    assert bench.planned("P1")
    failing(bench, TODAY - DAY)
    assert not bench.planned("P1")
    repaired(TODAY)
    assert bench.planned("P1")
    assert bench.answer("P1").standing is Standing.WITHDRAWN
    assert bench.faults() == ()


def test_the_button_need_not_be_pressed_for_an_item_to_return(bench: Desk) -> None:
    failing(bench)
    assert Duty.BUTTON_PRESS not in bench.test("P1", at=time(9)).still_needed


def test_removal_for_good_ends_a_withdrawal_and_keeps_the_history(bench: Desk) -> None:
    failing(bench)
    with bench.change() as change:
        assert remove(change, bench.id("P1"), reason=" scrapped ") == "P1"
    answer = bench.answer("P1")
    assert (answer.standing, answer.removed, answer.withdrawn) == (Standing.REMOVED, "scrapped", None)
    (row,) = bench.withdrawals()
    assert (row.ended_on, row.end, row.end_record_id) == (TODAY, "removed", None)
    assert answer.last is not None
    assert not bench.planned("P1")


@pytest.mark.parametrize(
    ("deed", "sentence"),
    [
        ("test", "P1 was removed for good, so no test can be recorded on it. Check the tag."),
        ("withdraw", "P1 was removed for good, so it can't be taken out of service. Check the tag."),
        ("remove", "P1 was removed for good already. Check the tag."),
        ("no reason", "The removal of P1 needs a reason, such as disposed of or scrapped."),
    ],
)
def test_a_removed_item_stays_removed(bench: Desk, deed: str, sentence: str) -> None:
    def take_off(reason: str = "scrapped") -> None:
        with bench.change() as change:
            remove(change, bench.id("P1"), reason=reason)

    if deed != "no reason":
        take_off()
    deeds = {
        "test": lambda: bench.test("P1"),
        "withdraw": lambda: bench.withdraw("P1"),
        "remove": take_off,
        "no reason": lambda: take_off(" "),
    }
    with pytest.raises(Refused) as told:
        deeds[deed]()
    assert str(told.value) == sentence


def test_everything_out_of_service_is_listed_the_longest_first(bench: Desk) -> None:
    bench.site("MILL")
    for tag, site in (("P2", "YARD"), ("M1", "MILL"), ("M2", "MILL")):
        bench.item(tag, site=site)
    bench.withdraw("M1", DAMAGED, "OUT-1")
    bench.on(TODAY + DAY).withdraw("P2", DAMAGED, "OUT-2")
    failing(bench, TODAY - DAY)
    with bench.read() as connection:
        everywhere = withdrawn_items(connection)
        at_mill = withdrawn_items(connection, known_site(connection, "mill"))
    assert [each.tag for each in everywhere] == ["P1", "M1", "P2"]
    assert [each.tag for each in at_mill] == ["M1"]
    assert {each.needed for each in everywhere} == {WHOLE}


def test_what_is_out_of_service_is_found_with_as_many_questions_for_many_items_as_for_few(
    bench: Desk, statements: list[str]
) -> None:
    area = bench.area()
    with bench.change() as change:
        enter_items(change, [NewItem(f"X{n}", area, bench.answer("P1").kind, TODAY) for n in range(60)])

    def asked() -> int:
        statements.clear()
        with bench.read() as connection:
            withdrawn_items(connection)
        return len(statements)

    bench.withdraw("P1")
    few = asked()
    for number in range(40):
        bench.withdraw(f"X{number}", DAMAGED, f"OUT-X{number}")
    assert asked() == few
