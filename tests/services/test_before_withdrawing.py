"""What is shown before an item is taken out of service."""

from datetime import date

import pytest

from register.domain.words import WithdrawalReason
from register.services.before_withdrawing import Withdrawing, next_number, withdrawing
from tests.desk import SLOW, SOUND, Desk


def about(desk: Desk, tag: str = "RR-1") -> Withdrawing:
    with desk.read() as connection:
        return withdrawing(connection, desk.id(tag), desk.today)


@pytest.mark.parametrize(
    ("last", "following"),
    [("0312", "0313"), ("OUT-9", "OUT-10"), ("OUT-0099", "OUT-0100"), ("A1-7", "A1-8"), ("RED", "")],
)
def test_the_next_number_on_the_roll_follows_the_last_one_used(desk: Desk, last: str, following: str) -> None:
    desk.site()
    desk.item("RR-1")
    desk.withdraw("RR-1", number=last)

    with desk.read() as connection:
        assert next_number(connection) == following


def test_the_first_withdrawal_has_no_number_to_go_by(desk: Desk) -> None:
    desk.site()
    desk.item("RR-1")

    shown = about(desk)

    assert (shown.number, shown.given, shown.present) == ("", False, None)
    assert (shown.owner, shown.place) == ("Owner of YARD", "Yard of the bay, Whole site")


def test_what_is_overdue_or_never_done_is_named(desk: Desk) -> None:
    desk.site()
    desk.item("RR-1")
    assert about(desk).overdue == "inspection and test and operating-time test"

    desk.test("RR-1")

    assert about(desk).overdue == ""


def test_a_failed_test_is_named_and_its_withdrawal_completed(desk: Desk) -> None:
    desk.site()
    desk.item("RR-1")
    desk.test("RR-1", date(2026, 11, 20), readings=(*SOUND, *SLOW))

    shown = about(desk)

    assert "512 ms is above the limit of 300 ms" in shown.failure
    assert shown.present is WithdrawalReason.FAILED
    assert not shown.given
