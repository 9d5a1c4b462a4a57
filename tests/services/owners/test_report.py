"""The owner's report says what the register says, with the finding that failed an item and the limit it broke."""

from datetime import date
from decimal import Decimal

import pytest

from register.domain.words import Condition, Duty, Kind, Result, Standing, WithdrawalReason
from register.errors import Refused
from register.services.conditions import change_condition
from register.services.items import find_item
from register.services.owners.all_sites import report_on_all
from register.services.owners.report import owner_report
from register.services.owners.rows import Period
from register.services.places import known_owner, known_site
from register.services.settings import begin
from register.services.withdrawals.deeds import remove
from register.store import chain
from tests.desk import INSPECTION, OPERATING, SOUND, TYPE_II, Desk
from tests.domain.verdict_rules import tripped
from tests.held_report import HeldReport, held
from tests.registers import TODAY

LEAD = Kind.EXTENSION_LEAD
MAY = date(2026, 5, 20)


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """A yard with a failing switch, an overdue lead, one never tested, one removed, one lost, and another site."""
    with desk.change() as change:
        begin(change, firm="Ferro Retests", contact="4 Slip Lane")
    desk.site("YARD", "workshop", owner="Ridge Joinery", address="1 Quay")
    desk.site("MILL", "hire")
    then = desk.on(MAY)
    then.item("P1", area="Shed", serial="S 1", earlier_tags=("OLD1", "OLD0"), rated_current_a=Decimal(10))
    then.test("P1", instrument="SN 1", remarks="new plug")
    then.item("L1", LEAD, area="Office")
    desk.test("L1", date(2025, 3, 1), duties=(INSPECTION,), readings=SOUND)
    then.item("N1", LEAD, area="Shed", remarks="Blue drum.")
    then.item("G1", LEAD, area="Attic")
    then.item("F1", LEAD, area="Shed", not_found_on=date(2026, 10, 1))
    then.item("M1", LEAD, site="MILL")
    desk.test("M1", date(2026, 9, 1), duties=(INSPECTION,), readings=SOUND)
    with desk.change() as change:
        remove(change, find_item(change.session.connection(), "G1"), reason="crushed.")
    desk.test("P1", duties=(OPERATING,), readings=[tripped("28.4", 1, 0), tripped("310.4", 1, 180)], look=Result.PASS)
    desk.withdraw("P1", WithdrawalReason.FAILED, "OUT-0001")
    return desk


def report(desk: Desk, code: str = "YARD", as_at: date = TODAY) -> HeldReport:
    with desk.read() as connection:
        return held(owner_report(connection, known_site(connection, code), as_at))


def test_the_head_says_whose_report_it_is_and_where_the_history_stands(yard: Desk) -> None:
    made = report(yard)
    assert (made.firm, made.firm_contact, made.owner) == ("Ferro Retests", "4 Slip Lane", "Ridge Joinery")
    assert (made.site.code, made.site.address, made.site.environment) == ("YARD", "1 Quay", "Workshop or factory")
    assert made.site.rulebook.startswith("AS/NZS 3760")
    assert (made.as_at, made.looks_ahead_to, made.records_since) == (TODAY, date(2027, 2, 19), date(2025, 11, 20))
    with yard.read() as connection:
        assert chain.head(connection) == chain.Head(made.events, made.chain_head)
    assert made.cautions


def test_a_failing_finding_stands_beside_the_withdrawn_item_with_its_limit(yard: Desk) -> None:
    (out,) = report(yard).withdrawn
    assert (out.item.tag, out.item.standing, out.since, out.reason) == (
        "P1", Standing.WITHDRAWN, TODAY, WithdrawalReason.FAILED,
    )  # fmt: skip
    (failing,) = out.failing
    assert (failing.place.outlet, failing.place.half_cycle, str(failing.measure)) == (1, 180, "310.4 ms")
    assert (failing.limit, failing.most) == ("at most 300 ms", Decimal(300))
    assert "310.4 ms is above the limit of 300 ms" in failing.why
    assert out.why.startswith("Outlet 1 at 180°, 1×: 310.4 ms is above the limit of 300 ms")
    assert out.tag_number == "OUT-0001"
    assert out.waiting_for == "The owner: have it repaired by a licensed person, or dispose of it"
    assert out.ends == (
        "A complete pass of inspection and test and operating-time test, dated after the withdrawal, or removal for"
        " good."
    )


def test_every_item_is_listed_by_area_and_tag_removed_ones_last(yard: Desk) -> None:
    made = report(yard)
    assert [(row.item.area, row.item.tag, row.item.standing.value) for row in made.items] == [
        ("Office", "L1", "overdue"),
        ("Shed", "F1", "untested"),
        ("Shed", "N1", "untested"),
        ("Shed", "P1", "withdrawn"),
        ("Attic", "G1", "removed"),
    ]
    switch = made.items[3]
    assert (switch.serial, switch.earlier_tags, switch.outlets) == ("S 1", ("OLD0", "OLD1"), 1)
    assert (switch.safety_switch, switch.rated_current_a, switch.environment) == (
        TYPE_II, Decimal(10), "Workshop or factory",
    )  # fmt: skip
    assert {each.duty: each.due for each in switch.duties} == {
        INSPECTION: MAY.replace(month=11),
        OPERATING: date(2027, 5, 20),
    }
    assert switch.next_due == date(2026, 11, 20)


def test_what_the_dates_do_not_say_stands_in_the_remarks(yard: Desk) -> None:
    remarks = {row.item.tag: row.remarks for row in report(yard).items}
    assert remarks == {
        "L1": "",
        "P1": "",
        "N1": "Blue drum. Not tested yet: do not use it before it is.",
        "F1": "Not found on 1 Oct 2026: please say where it is. Not tested yet: do not use it before it is.",
        "G1": "Removed for good on 20 Nov 2026: crushed.",
    }


@pytest.mark.parametrize(
    ("condition", "reason", "remarks"),
    [
        (Condition.REPAIRED, "", "Not tested since its repair: do not use it before it is."),
        (Condition.OUT_OF_SCOPE, "hard-wired", "Out of scope: hard-wired."),
    ],
)
def test_a_condition_is_told_in_the_remarks(yard: Desk, condition: Condition, reason: str, remarks: str) -> None:
    with yard.change() as change:
        change_condition(change, find_item(change.session.connection(), "L1"), condition, since=TODAY, reason=reason)
    assert report(yard).items[0].remarks == remarks


def test_overdue_and_never_tested_duties_are_listed_in_order_of_date_with_reasons(yard: Desk) -> None:
    rows = report(yard).due
    assert [(row.item.tag, row.duty, row.due, row.standing.value) for row in rows] == [
        ("F1", INSPECTION, None, "untested"),
        ("N1", INSPECTION, None, "untested"),
        ("L1", INSPECTION, date(2025, 9, 1), "overdue"),
        ("P1", INSPECTION, date(2026, 11, 20), "due-soon"),
    ]
    assert rows[2].why[0] == "Last done 1 Mar 2025, every 6 months (Workshop or factory): due 1 Sep 2025."
    assert (rows[2].last_done, rows[2].interval) == (date(2025, 3, 1), "P6M")
    assert "AS/NZS 3760" in rows[2].source


def test_a_quarter_is_looked_ahead(yard: Desk) -> None:
    assert ("P1", OPERATING) in {(row.item.tag, row.duty) for row in report(yard, as_at=date(2027, 2, 19)).due}
    assert ("P1", OPERATING) not in {(row.item.tag, row.duty) for row in report(yard, as_at=date(2027, 2, 17)).due}


def test_the_tests_of_a_year_are_listed_the_newest_first_with_their_findings(yard: Desk) -> None:
    failed, passed = report(yard).measured
    assert (failed.item.tag, failed.tested_on, failed.verdict, failed.duties) == (
        "P1",
        TODAY,
        Result.FAIL,
        (OPERATING,),
    )
    assert [str(each.measure) for each in failed.findings if each.measure] == ["28.4 ms", "310.4 ms"]
    assert (passed.tested_on, passed.verdict, passed.instrument, passed.remarks) == (
        MAY,
        Result.PASS,
        "SN 1",
        "new plug",
    )
    assert set(passed.duties) == {INSPECTION, OPERATING}
    assert len(passed.findings) == 6
    assert len(report(yard, as_at=date(2026, 3, 1)).records) == 3, "a test of a year ago to the day is in it"
    assert len(report(yard, as_at=date(2026, 3, 2)).records) == 2


def test_another_sites_items_and_tests_are_not_in_the_report(yard: Desk) -> None:
    mill = report(yard, "MILL")
    assert [row.item.tag for row in mill.items] == ["M1"]
    assert [row.item.tag for row in mill.records] == ["M1"]
    assert mill.withdrawn == ()


def test_the_users_own_duties_are_listed_with_how_often(yard: Desk) -> None:
    (press,) = report(yard).own_duties
    assert (press.item.tag, press.duty, press.every) == (
        "P1", Duty.BUTTON_PRESS, "each day or before each use, whichever is less often",
    )  # fmt: skip
    assert (press.last_done, press.due) == (MAY, None)
    (look,) = report(yard, "MILL").own_duties
    assert (look.duty, look.every) == (Duty.LOOK_BEFORE_HIRE, "before each hire")


def test_a_duty_with_an_interval_is_told_as_such(yard: Desk) -> None:
    yard.site("HOTEL", "residential")
    yard.item("H1", site="HOTEL")
    assert [row.every for row in report(yard, "HOTEL").own_duties] == ["every 6 months"]


def test_an_overdue_withdrawal_waits_for_the_contractor(yard: Desk) -> None:
    yard.withdraw("L1", WithdrawalReason.OVERDUE, "OUT-2")
    out = next(row for row in report(yard).withdrawn if row.item.tag == "L1")
    assert (out.failing, out.waiting_for) == ((), "The contractor's next visit")


def test_every_edition_that_was_used_is_named_with_how_far_it_is_to_be_trusted(yard: Desk) -> None:
    rules = report(yard).rules
    assert rules
    named = {rule.edition: rule for rule in rules}
    assert any("inspection and test (intervals)" in rule.used_for for rule in rules)
    assert any("trip time (limits)" in rule.used_for for rule in rules)
    assert any("test-button press (the user's duties)" in rule.used_for for rule in rules)
    assert all(rule.confidence for rule in named.values())


def test_a_report_takes_as_many_questions_for_many_items_as_for_few(yard: Desk, statements: list[str]) -> None:
    def asked() -> int:
        statements.clear()
        report(yard)
        return len(statements)

    few = asked()
    for number in range(30):
        yard.item(f"X{number}", LEAD)
        yard.test(f"X{number}", duties=(INSPECTION,), readings=SOUND)
    assert asked() == few


def test_a_site_without_items_has_an_empty_report(desk: Desk) -> None:
    desk.site()
    made = report(desk)
    assert (made.items, made.due, made.withdrawn, made.records, made.own_duties) == ((), (), (), (), ())


def test_a_period_bounds_the_tests_and_nothing_else(yard: Desk) -> None:
    with yard.read() as connection:
        site = known_site(connection, "YARD")
        whole = held(owner_report(connection, site, TODAY))
        spring = held(owner_report(connection, site, TODAY, Period(date(2026, 5, 1), date(2026, 5, 31))))
    assert {row.tested_on for row in spring.records} == {MAY}
    assert len(spring.records) < len([row for row in whole.records if row.tested_on >= MAY])
    assert spring.items == whole.items
    assert spring.due == whole.due
    assert (spring.records_since, spring.records_until) == (date(2026, 5, 1), date(2026, 5, 31))


def test_one_report_tells_of_all_sites_of_an_owner_and_where_each_item_is(yard: Desk) -> None:
    yard.site("BARN", "hire", owner="Ridge Joinery", name="The barn")
    yard.item("B1", LEAD, site="BARN", area="Loft")
    with yard.read() as connection:
        together = held(report_on_all(connection, known_owner(connection, "ridge joinery"), TODAY))
        alone = [held(owner_report(connection, known_site(connection, code), TODAY)) for code in ("BARN", "YARD")]
        with pytest.raises(Refused, match="No owner is called"):
            known_owner(connection, "Nobody")
    assert set(together.sites) == {"BARN", "YARD"}
    for name in ("items", "due", "withdrawn", "own_duties", "records"):
        assert len(getattr(together, name)) == sum(len(getattr(each, name)) for each in alone)
    (barn,) = [row.item for row in together.items if row.item.tag == "B1"]
    assert (barn.site, barn.area) == ("The barn", "Loft")
    assert [row.due or date.min for row in together.due] == sorted(row.due or date.min for row in together.due)
