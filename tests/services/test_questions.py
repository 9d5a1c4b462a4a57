"""What is due and why, and how one item stands, as on any day that is asked."""

from datetime import date, timedelta

import pytest

from register.domain.words import Condition, Duty, Kind, Result, Standing, WithdrawalReason
from register.services.items import NewItem, enter_items, find_item
from register.services.marks import mark_done
from register.services.places import known_site
from register.services.projection import redate
from register.services.questions import OverdueSite, due_duties, overdue_sites
from register.services.settings import set_setting
from register.services.withdrawals.deeds import remove
from tests.desk import INSPECTION, OPERATING, SOUND, Desk
from tests.domain.verdict_rules import both
from tests.registers import TODAY

LEAD = Kind.EXTENSION_LEAD
MAY = date(2026, 5, 20)


@pytest.fixture
def bay(desk: Desk) -> Desk:
    """A hotel's switch tested in May and its lead tested a year before; a yard's lead never tested."""
    desk.site("HOTEL", "residential", name="Lantern hotel")
    desk.site("YARD", "workshop")
    desk.on(MAY).item("P1", site="HOTEL", area="Kitchen", serial="S 1", earlier_tags=("OLD1",))
    desk.on(MAY).test("P1")
    desk.on(MAY).item("L1", LEAD, site="YARD")
    desk.test("L1", date(2025, 5, 20), duties=(INSPECTION,), readings=SOUND)
    desk.item("N1", LEAD, site="YARD")
    return desk


def due(desk: Desk, on: date = TODAY, **rest: object) -> list[tuple[str, str, date | None, str]]:
    with desk.read() as connection:
        found = due_duties(connection, on, **rest)
    return [(each.tag, each.duty.value, each.due, each.standing.value) for each in found]


def test_what_was_never_done_comes_first_then_what_is_overdue(bay: Desk) -> None:
    assert due(bay) == [
        ("N1", "inspection-and-test", None, "untested"),
        ("L1", "inspection-and-test", date(2025, 11, 20), "overdue"),
        ("P1", "button-press", date(2026, 11, 20), "due-soon"),
    ]


def test_an_item_may_be_used_on_its_date_and_is_overdue_the_day_after(bay: Desk) -> None:
    assert bay.answer("L1", date(2025, 11, 20)).standing is Standing.DUE_SOON
    assert bay.answer("L1", date(2025, 11, 21)).standing is Standing.OVERDUE
    assert due(bay, date(2026, 11, 21))[2] == ("P1", "button-press", date(2026, 11, 20), "overdue")


def test_days_ahead_are_asked_for(bay: Desk) -> None:
    assert len(due(bay, TODAY, within_days=547)) == 5
    assert len(due(bay, TODAY, within_days=545)) == 3


def test_one_site_and_whose_duties_are_asked_for(bay: Desk) -> None:
    with bay.read() as connection:
        hotel = known_site(connection, "hotel")
    assert [each[0] for each in due(bay, site=hotel)] == ["P1"]
    assert [each[0] for each in due(bay, contractors=True)] == ["N1", "L1"]
    assert [each[0] for each in due(bay, contractors=False)] == ["P1"]


@pytest.mark.parametrize("limit", [0, 1, 2, 3, 9])
def test_no_more_than_asked_for_is_answered(bay: Desk, limit: int) -> None:
    assert due(bay, limit=limit) == due(bay)[:limit]


def test_each_due_duty_says_what_where_and_why(bay: Desk) -> None:
    with bay.read() as connection:
        found = due_duties(connection, TODAY)[1]
    assert (found.site, found.site_name, found.area, found.kind) == ("YARD", "Yard of the bay", "Whole site", LEAD)
    assert (found.environment, found.last_done, found.interval) == ("workshop", date(2025, 5, 20), "P6M")
    assert (found.contractors, found.description) == (True, "Extension lead")
    assert found.why[0] == "Last done 20 May 2025, every 6 months (Workshop or factory): due 20 Nov 2025."


def test_things_in_store_removed_or_waiting_for_repair_are_not_in_the_plan(bay: Desk) -> None:
    for tag in ("A1", "A2", "A3", "A4"):
        bay.on(date(2025, 1, 1)).item(
            tag, LEAD, site="YARD", condition=Condition.STORED if tag == "A1" else Condition.IN_USE
        )
        bay.test(tag, date(2025, 5, 20), duties=(INSPECTION,), readings=SOUND)
    with bay.change() as change:
        remove(change, find_item(change.session.connection(), "A2"), reason="scrapped")
    bay.withdraw("A3", WithdrawalReason.DAMAGED, "OUT-3")
    bay.withdraw("A4", WithdrawalReason.OVERDUE, "OUT-4")
    found = {tag: standing for tag, _duty, _due, standing in due(bay, contractors=True)}
    assert found == {"N1": "untested", "L1": "overdue", "A4": "withdrawn"}


def test_more_duties_than_one_page_holds_are_all_answered(bay: Desk) -> None:
    area = bay.area("YARD")
    with bay.change() as change:
        redate(change, enter_items(change, [NewItem(f"X{n}", area, LEAD, TODAY) for n in range(5003)]))
    found = due(bay)
    assert len(found) == 5003 + 3
    assert len({each[0] for each in found}) == len(found)


def test_an_item_answers_with_all_that_is_known_of_it(bay: Desk) -> None:
    answer = bay.answer("old1")
    assert (answer.tag, answer.earlier_tags, answer.kind, answer.serial) == (
        "P1", ("OLD1",), Kind.PORTABLE_SAFETY_SWITCH, "S 1",
    )  # fmt: skip
    assert (answer.site, answer.site_name, answer.area) == ("HOTEL", "Lantern hotel", "Kitchen")
    assert (answer.environment, answer.environment_title, answer.rulebook) == (
        "residential", "Residential type", "au-in-service",
    )  # fmt: skip
    assert (answer.standing, answer.next_due) == (Standing.IN_SERVICE, date(2028, 5, 20))
    assert (answer.withdrawn, answer.removed, answer.not_found_on, answer.out_of_scope) == (None, "", None, "")
    assert [(each.duty, each.due, each.standing, each.interval) for each in answer.duties] == [
        (INSPECTION, date(2028, 5, 20), Standing.IN_SERVICE, "P2Y"),
        (OPERATING, date(2028, 5, 20), Standing.IN_SERVICE, "P2Y"),
        (Duty.BUTTON_PRESS, date(2026, 11, 20), Standing.DUE_SOON, "P6M"),
    ]
    assert (answer.last.tested_on, answer.last.verdict, answer.last.tester) == (MAY, Result.PASS, "Kim Ferro")
    assert not any(each.relieved for each in answer.duties)


def test_the_newest_test_is_the_last_one_whatever_order_they_were_entered_in(bay: Desk) -> None:
    bay.test("P1", TODAY, readings=[*SOUND, *both("310")])
    bay.test("P1", date(2025, 1, 1))
    last = bay.answer("P1").last
    assert (last.tested_on, last.verdict) == (TODAY, Result.FAIL)
    assert "310 ms is above the limit of 300 ms" in last.why


def test_an_item_never_tested_has_no_last_test(bay: Desk) -> None:
    assert bay.answer("N1").last is None
    assert bay.answer("N1").standing is Standing.UNTESTED


def test_an_item_out_of_scope_says_so_and_has_no_duties(bay: Desk) -> None:
    bay.item("O1", LEAD, site="YARD", condition=Condition.OUT_OF_SCOPE)
    answer = bay.answer("O1")
    assert (answer.duties, answer.next_due, answer.standing) == ((), None, Standing.IN_SERVICE)
    assert answer.out_of_scope == "Out of scope: no reason recorded."


def test_due_soon_is_as_many_days_as_the_register_says(bay: Desk) -> None:
    ten_before = date(2028, 5, 10)
    assert bay.answer("P1", ten_before).standing is Standing.DUE_SOON
    with bay.change() as change:
        set_setting(change, "soon_days", 9)
    assert bay.answer("P1", ten_before).standing is Standing.IN_SERVICE


def test_sites_with_items_that_must_not_be_used_are_told_the_worst_first(bay: Desk) -> None:
    with bay.read() as connection:
        (yard,) = overdue_sites(connection, TODAY)
        later = overdue_sites(connection, date(2028, 5, 21))
    assert yard == OverdueSite(yard.site_id, "YARD", "Yard of the bay", 1, 1, date(2025, 11, 20))
    assert [(each.code, each.overdue, each.untested, each.oldest) for each in later] == [
        ("HOTEL", 1, 0, date(2028, 5, 20)), ("YARD", 1, 1, date(2025, 11, 20)),
    ]  # fmt: skip


def test_the_users_own_duties_make_no_item_overdue(bay: Desk) -> None:
    with bay.change() as change:
        mark_done(change, find_item(change.session.connection(), "P1"), Duty.BUTTON_PRESS, date(2025, 1, 1))
    far = TODAY + timedelta(days=365)
    assert bay.answer("P1", far).standing is Standing.IN_SERVICE
    assert ("P1", "button-press", date(2026, 11, 20), "overdue") in due(bay, far)
