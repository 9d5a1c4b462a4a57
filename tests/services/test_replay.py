"""From an item's history, in whatever order it comes, follows whether it is out of service."""

from datetime import date, time

import pytest

from register.domain.words import Result, Standing
from register.services.items import find_item
from register.services.withdrawals.deeds import remove
from tests.desk import INSPECTION, OPERATING, TYPE_II, WHOLE, Desk
from tests.registers import TODAY
from tests.services.sheet import DAY, SWITCH, item, sheet_test, take


def test_a_historic_fail_and_pass_leave_a_withdrawal_that_ended(desk: Desk) -> None:
    take(
        desk,
        [item("1")],
        [
            sheet_test("1", date(2026, 9, 1), Result.PASS),
            sheet_test("1", date(2026, 8, 1), Result.FAIL, look=Result.FAIL),
        ],
    )
    (row,) = desk.withdrawals()
    assert (row.withdrawn_on, row.reason, row.ended_on, row.end) == (
        date(2026, 8, 1), "failed", date(2026, 9, 1), "returned",
    )  # fmt: skip
    assert desk.answer("1").standing is Standing.IN_SERVICE
    assert desk.faults() == ()


def test_a_historic_fail_that_nothing_passed_since_leaves_the_item_out_of_service(desk: Desk) -> None:
    take(
        desk, [item("P1", SWITCH, safety_switch=TYPE_II)],
        [
            sheet_test("P1", date(2026, 8, 1), Result.FAIL, duties=WHOLE, look=Result.FAIL),
            sheet_test("P1", date(2026, 9, 1), Result.PASS, duties=(OPERATING,)),
        ],
    )  # fmt: skip
    out = desk.answer("P1").withdrawn
    assert (out.since, out.needed, out.tag_number) == (date(2026, 8, 1), (INSPECTION,), "")
    assert desk.faults() == ()


HISTORIES = [
    ("a fail, then a pass of the same day", [("F", 0), ("P", 0)], True),
    ("a pass, then a fail of the same day", [("P", 0), ("F", 0)], True),
    ("a fail, a pass, a fail", [("F", 0), ("P", 1), ("F", 2)], True),
    ("a fail, a fail, a pass", [("F", 0), ("F", 1), ("P", 2)], False),
    ("a fail, a pass and a fail of one later day", [("F", 0), ("P", 1), ("F", 1)], True),
    ("a fail and a pass in two years", [("F", 0), ("P", 400), ("P", 700)], False),
    ("passes alone", [("P", 0), ("P", 1)], False),
]


@pytest.mark.parametrize(("history", "out"), [each[1:] for each in HISTORIES], ids=[each[0] for each in HISTORIES])
@pytest.mark.parametrize("files", ["one file", "a file for each test", "a file for each test, the newest first"])
def test_a_history_ends_the_same_however_it_is_taken_in(
    desk: Desk, history: list[tuple[str, int]], files: str, *, out: bool
) -> None:
    start = date(2024, 1, 8)
    records = [
        sheet_test("1", start + n * DAY, Result.FAIL if what == "F" else Result.PASS, look=None) for what, n in history
    ]
    if files == "one file":
        take(desk, [item("1")], records)
    else:
        take(desk, [item("1")])
        for record in reversed(records) if "newest" in files else records:
            take(desk, [], [record])
    assert (desk.answer("1").standing is Standing.WITHDRAWN) is out
    assert desk.faults() == ()


@pytest.mark.parametrize(("failed_at", "passed_at", "out"), [(time(9), time(10), False), (time(10), time(9), True)])
def test_times_of_one_day_decide_in_a_later_file_too(
    desk: Desk, failed_at: time, passed_at: time, *, out: bool
) -> None:
    take(desk, [item("1")], [sheet_test("1", TODAY, Result.FAIL, look=None, at=failed_at)])
    take(desk, [], [sheet_test("1", TODAY, Result.PASS, look=None, at=passed_at)])
    assert (desk.answer("1").standing is Standing.WITHDRAWN) is out


def test_a_fail_taken_in_for_an_item_withdrawn_as_overdue_makes_it_one_for_failure(desk: Desk) -> None:
    from register.domain.words import WithdrawalReason

    take(desk, [item("1")], [sheet_test("1", date(2026, 1, 1), Result.PASS)])
    desk.on(date(2026, 9, 1)).withdraw("1", WithdrawalReason.OVERDUE, "OUT-1")
    take(desk, [], [sheet_test("1", date(2026, 10, 1), Result.FAIL)])
    assert desk.answer("1").withdrawn.reason is WithdrawalReason.FAILED
    take(desk, [], [sheet_test("1", date(2026, 10, 5), Result.PASS)])
    assert desk.answer("1").withdrawn is None


def test_a_removed_item_is_not_taken_out_of_service_by_its_history(desk: Desk) -> None:
    take(desk, [item("1")])
    with desk.change() as change:
        remove(change, find_item(change.session.connection(), "1"), reason="scrapped")
    taken = take(desk, [item("1")], [sheet_test("1", date(2026, 3, 1), Result.FAIL)])
    assert taken.new_records == 1
    assert (desk.answer("1").standing, desk.withdrawals()) == (Standing.REMOVED, [])
    assert desk.faults() == ()
