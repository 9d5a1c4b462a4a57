"""How much work falls due at each site in each week, and what is overdue."""

from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest

from register.domain.words import Duty, Kind, WithdrawalReason
from register.planning.workload import Minutes
from register.services.due_list import due_list
from register.services.horizon import (
    WEEKS,
    DueThen,
    Horizon,
    SiteWork,
    due_in,
    horizon,
    oldest_overdue,
    overdue_now,
    weeks_from,
)
from register.services.settings import set_setting
from register.services.withdrawals.deeds import remove
from tests.desk import Desk

MONDAY = date(2026, 11, 23)


def seen(desk: Desk, today: date | None = None) -> Horizon:
    with desk.read() as connection:
        return horizon(connection, today or desk.today)


def only(desk: Desk, today: date | None = None) -> SiteWork:
    (row,) = seen(desk, today).rows
    return row


def lead(desk: Desk, tag: str = "L-1", site: str = "YARD", tested: date = date(2026, 8, 3)) -> date:
    """Enter a lead that was tested on a day, and return when its test falls due."""
    desk.item(tag, Kind.EXTENSION_LEAD, site, since=tested)
    desk.test(tag, tested, duties=(Duty.INSPECTION_AND_TEST,))
    due = desk.dates(tag)["inspection-and-test"]
    assert due is not None
    return due


@pytest.mark.parametrize(
    ("today", "first", "number", "last"),
    [
        (MONDAY, MONDAY, 48, date(2027, 2, 21)),
        (date(2026, 11, 29), MONDAY, 48, date(2027, 2, 21)),
        (date(2026, 12, 31), date(2026, 12, 28), 53, date(2027, 3, 28)),
        (date(2027, 1, 3), date(2026, 12, 28), 53, date(2027, 3, 28)),
        (date(2027, 1, 4), date(2027, 1, 4), 1, date(2027, 4, 4)),
    ],
)
def test_a_quarter_begins_with_the_monday_of_this_week(today: date, first: date, number: int, last: date) -> None:
    weeks = weeks_from(today)
    assert (weeks[0].first, weeks[0].number, weeks[-1].last) == (first, number, last)
    assert len(weeks) == WEEKS
    assert all(after.first == before.last + timedelta(days=1) for before, after in pairwise(weeks))


@pytest.mark.parametrize(("ahead", "weekday"), [(0, 0), (1, 0), (1, 6), (7, 3), (12, 0), (12, 6)])
def test_a_duty_stands_in_the_week_of_its_date(desk: Desk, ahead: int, weekday: int) -> None:
    desk.site()
    due = lead(desk)
    today = due - timedelta(days=due.weekday() + 7 * ahead - weekday)

    row = only(desk, today)

    assert [work.duties for work in row.weeks] == [int(n == ahead) for n in range(WEEKS)]
    assert row.ahead.minutes == Minutes().of(Kind.EXTENSION_LEAD, Duty.INSPECTION_AND_TEST)
    assert row.overdue == 0


def test_a_duty_beyond_the_quarter_is_not_on_the_horizon_yet(desk: Desk) -> None:
    desk.site()
    due = lead(desk)
    assert seen(desk, due - timedelta(days=due.weekday() + 7 * WEEKS)).rows == ()


def test_what_is_due_today_is_work_of_this_week_and_from_tomorrow_on_overdue(desk: Desk) -> None:
    desk.site()
    due = lead(desk)

    assert (only(desk, due).weeks[0].duties, only(desk, due).overdue) == (1, 0)
    after = only(desk, due + timedelta(days=1))
    assert (after.ahead.duties, after.overdue, after.oldest) == (0, 1, due)


def test_a_site_has_its_place_by_what_is_overdue_the_longest(desk: Desk) -> None:
    for code, tested in (("LATE", date(2025, 1, 6)), ("LATER", date(2025, 6, 2)), ("SOON", date(2026, 6, 22))):
        desk.site(code)
        lead(desk, f"L-{code}", code, tested)
    desk.site("EMPTY")

    found = seen(desk)

    assert [row.name.split()[0] for row in found.rows] == ["Late", "Later", "Soon"]
    assert found.sites == 4
    assert found.total.overdue == 2
    assert found.total.oldest == found.rows[0].oldest
    assert found.total.ahead == found.rows[2].ahead


def test_a_duty_never_done_is_told_apart_from_what_is_overdue(desk: Desk) -> None:
    desk.site()
    desk.item("N-1", Kind.PORTABLE_SAFETY_SWITCH)

    row = only(desk)

    never = [each for each in desk.answer("N-1").duties if each.contractors and each.due is None]
    assert row.never_done == len(never) > 0
    assert (row.overdue, row.oldest) == (0, None)


def test_what_waits_for_a_repair_is_no_work_and_what_is_withdrawn_for_overdue_is(desk: Desk) -> None:
    desk.site()
    due = lead(desk, "L-1")
    lead(desk, "L-2")
    later = desk.on(due + timedelta(days=1))
    later.withdraw("L-1", WithdrawalReason.DAMAGED, "OUT-1")
    later.withdraw("L-2", WithdrawalReason.OVERDUE, "OUT-2")

    assert only(later, later.today).overdue == 1


def test_hours_and_minutes_are_the_programs_until_the_firm_gives_its_own(desk: Desk) -> None:
    desk.site()
    due = lead(desk)
    before = seen(desk, due)
    with desk.change() as change:
        set_setting(change, "crew_hours", 1)
        set_setting(change, "minutes", {"extension-lead": {"look": "61"}})

    after = seen(desk, due)

    assert (before.crew_hours, before.own_hours, before.own_minutes, before.above) == (30, False, False, 0)
    assert (after.crew_hours, after.own_hours, after.own_minutes, after.above) == (1, True, True, 1)
    assert after.total.ahead.minutes == before.total.ahead.minutes + Decimal(59)


def test_items_that_were_removed_are_not_counted(desk: Desk) -> None:
    desk.site()
    for tag in ("L-1", "L-2"):
        desk.item(tag, Kind.EXTENSION_LEAD)
    desk.withdraw("L-1")
    assert seen(desk).items == 2
    with desk.change() as change:
        remove(change, desk.id("L-2"), reason="Sold")
    assert (seen(desk).items, seen(desk).sites) == (1, 1)


def test_the_users_own_duties_are_no_work_of_the_contractor(desk: Desk) -> None:
    desk.site("SITE", "construction")
    desk.item("C-1", site="SITE")
    desk.test("C-1")
    contractors = [each for each in desk.answer("C-1").duties if each.contractors and each.due is not None]
    assert len(desk.answer("C-1").duties) > len(contractors)

    assert only(desk, desk.today + timedelta(days=30)).ahead.duties == len(contractors)


def test_the_horizon_takes_no_more_questions_for_more_sites(desk: Desk, statements: list[str]) -> None:
    def asked() -> int:
        statements.clear()
        seen(desk)
        return len(statements)

    desk.site()
    lead(desk)
    few = asked()
    for number in range(4):
        desk.site(f"S{number}")
        lead(desk, f"L-{number + 10}", f"S{number}")
    assert asked() == few


def test_what_falls_due_in_a_week_is_told_with_its_items_and_reasons(desk: Desk) -> None:
    desk.site()
    desk.site("QUAY")
    due = lead(desk, "L-1")
    lead(desk, "L-2", "QUAY")
    yard = only_site(desk, "Yard", due)

    with desk.read() as connection:
        here = due_in(connection, due, due, due + timedelta(days=6), site=yard.site_id)
        everywhere = due_in(connection, due, due, due + timedelta(days=6))
        later = due_in(connection, due, due + timedelta(days=1), due + timedelta(days=7))

    (row,) = here.rows
    assert (row.tag, row.due, row.duty) == ("L-1", due, Duty.INSPECTION_AND_TEST)
    assert row.why[0].startswith("Last done 3 Aug 2026")
    assert (here.work.duties, here.items) == (1, 1)
    assert here.work.minutes == yard.ahead.minutes
    assert {each.tag for each in everywhere.rows} == {"L-1", "L-2"}
    assert later == DueThen(later.work, 0, ())


def only_site(desk: Desk, name: str, today: date) -> SiteWork:
    return next(row for row in seen(desk, today).rows if row.name.startswith(name))


def test_two_duties_of_one_item_are_one_item(desk: Desk) -> None:
    desk.site("SITE", "construction")
    desk.item("C-1", site="SITE")
    desk.test("C-1")
    dates = [day for day in desk.dates("C-1").values() if day is not None]

    with desk.read() as connection:
        found = due_in(connection, desk.today, min(dates), max(dates))

    assert (found.work.duties, found.items) == (len(dates), 1)
    assert len(dates) > 1


def test_only_so_many_duties_are_read_and_all_are_counted(desk: Desk) -> None:
    desk.site()
    due = [lead(desk, f"L-{number}") for number in range(5)].pop()

    with desk.read() as connection:
        found = due_in(connection, due, due, due, limit=2)

    assert (len(found.rows), found.work.duties) == (2, 5)


def test_overdue_duties_come_the_oldest_first_and_those_never_done_after_them(desk: Desk) -> None:
    desk.site()
    lead(desk, "L-NEW", tested=date(2025, 6, 2))
    lead(desk, "L-OLD", tested=date(2025, 1, 6))
    desk.item("N-1", Kind.PORTABLE_SAFETY_SWITCH)

    with desk.read() as connection:
        found = overdue_now(connection, desk.today)
        short = overdue_now(connection, desk.today, limit=2)
        oldest = oldest_overdue(connection, desk.today)

    assert [row.tag for row in found.rows][:3] == ["L-OLD", "L-NEW", "N-1"]
    assert found.work.duties == 2
    assert [row.tag for row in short.rows] == ["L-OLD", "L-NEW"]
    assert oldest is not None
    assert oldest.tag == "L-OLD"


def test_where_nothing_is_overdue_there_is_no_oldest(desk: Desk) -> None:
    desk.site()
    due = lead(desk)
    with desk.read() as connection:
        assert oldest_overdue(connection, due) is None


def test_the_list_of_a_week_holds_all_that_is_due_by_then_by_site_and_area(desk: Desk) -> None:
    for code in ("YARD", "QUAY"):
        desk.site(code)
    desk.item("Z-1", Kind.EXTENSION_LEAD, "YARD", "Loft")
    desk.item("A-1", Kind.EXTENSION_LEAD, "YARD", "Slip")
    for tag in ("Z-1", "A-1"):
        desk.test(tag, date(2026, 5, 4), duties=(Duty.INSPECTION_AND_TEST,))
    due = lead(desk, "Q-1", "QUAY")

    with desk.read() as connection:
        everywhere = due_list(connection, desk.today, due)
        before = due_list(connection, desk.today, due - timedelta(days=1))
        yard = due_list(connection, desk.today, due, site=only_site(desk, "Yard", desk.today).site_id, place="Yard")

    assert [row.tag for row in everywhere.rows] == ["Q-1", "Z-1", "A-1"]
    assert everywhere.items == 3
    assert "Q-1" not in {row.tag for row in before.rows}
    assert [row.tag for row in yard.rows] == ["Z-1", "A-1"]
    assert yard.place == "Yard"
