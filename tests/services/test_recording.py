"""A record is judged, kept with its limits for good, and moves the dates only when it passes."""

from dataclasses import replace
from datetime import date, time, timedelta
from decimal import Decimal

import pytest
import sqlalchemy as sa

from register.domain.items import SafetySwitch
from register.domain.records import ReadingPlan
from register.domain.words import Kind, Result, SetUp, Standing, SwitchType
from register.errors import Refused
from register.services.items import NewItem, add_item
from register.services.places import NewSite, add_site, area_named
from register.services.recording import record_tests
from register.store.tables import Reading, Record, RecordDuty
from tests.desk import INSPECTION, OPERATING, QUICK, SLOW, SOUND, Desk, entry
from tests.domain.verdict_rules import both, earth, insulation, tripped
from tests.registers import TODAY

BEFORE = date(2026, 2, 28)


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """A switch in a workshop, all tested on the last of February."""
    desk.site()
    desk.on(BEFORE).item("P1")
    desk.on(BEFORE).test("P1")
    return desk


def records(desk: Desk) -> int:
    with desk.read() as connection:
        return connection.execute(sa.select(sa.func.count()).select_from(Record)).scalar_one()


def test_a_pass_moves_the_dates_of_the_duties_it_did(yard: Desk) -> None:
    assert yard.dates("P1") == {"inspection-and-test": date(2026, 8, 28), "operating-time": date(2027, 2, 28)}
    recorded = yard.test("P1", duties=(INSPECTION,), readings=SOUND)
    assert recorded.judgement.verdict is Result.PASS
    assert dict(recorded.dates) == {INSPECTION: date(2027, 5, 20), OPERATING: date(2027, 2, 28)}
    assert yard.dates("P1") == {"inspection-and-test": date(2027, 5, 20), "operating-time": date(2027, 2, 28)}
    assert yard.faults() == ()


@pytest.mark.parametrize(
    ("readings", "look", "verdict"),
    [
        ([*SOUND, *SLOW], Result.PASS, Result.FAIL),
        ([*SOUND, *QUICK], Result.FAIL, Result.FAIL),
        ([*SOUND, tripped("24", 1, 0)], Result.PASS, Result.INCOMPLETE),
        ([*SOUND, *QUICK], None, Result.INCOMPLETE),
        ([], Result.PASS, Result.INCOMPLETE),
    ],
)
def test_a_fail_or_an_incomplete_record_never_moves_a_date(
    yard: Desk, readings: list, look: Result | None, verdict: Result
) -> None:
    before = yard.dates("P1")
    assert yard.test("P1", readings=readings, look=look).judgement.verdict is verdict
    assert yard.dates("P1") == before
    assert yard.faults() == ()


def test_an_older_pass_entered_late_moves_no_date(yard: Desk) -> None:
    before = yard.dates("P1")
    recorded = yard.test("P1", BEFORE - timedelta(days=300))
    assert dict(recorded.dates) == {INSPECTION: before["inspection-and-test"], OPERATING: before["operating-time"]}


def test_a_record_that_names_no_duties_sets_out_to_do_every_one_of_the_contractors(yard: Desk) -> None:
    yard.test("P1", duties=(), readings=[*SOUND, *QUICK])
    with yard.read() as connection:
        kept = connection.execute(sa.select(RecordDuty.duty).where(RecordDuty.tested_on == TODAY)).scalars()
        assert sorted(kept) == ["formal-visual", "inspection-and-test", "operating-time"]


def test_the_same_id_twice_changes_nothing(yard: Desk) -> None:
    first = entry("P1", TODAY)
    with yard.change() as change:
        record_tests(change, [first])
    before = yard.events()
    with yard.change() as change:
        (again,) = record_tests(change, [replace(first, tester="Another")])
    assert (again.known, again.judgement, again.id) == (True, None, first.id)
    assert (yard.events(), records(yard)) == (before, 2)


def test_the_same_test_under_another_id_changes_nothing(yard: Desk) -> None:
    yard.test("P1")
    before = yard.events()
    again = yard.test("P1", id="0190a6c2-7f0e-7c3a-9d51-3b6f0c2d8e14")
    assert again.known
    assert again.judgement.verdict is Result.PASS
    assert (yard.events(), records(yard)) == (before, 2)


@pytest.mark.parametrize(
    "other",
    [
        {"at": time(9)},
        {"readings": [*SOUND, *both("25")]},
        {"look": None},
        {"on": TODAY - timedelta(days=1)},
        {"duties": (INSPECTION,), "readings": [*SOUND, *QUICK]},
    ],
)
def test_a_test_that_differs_in_anything_measured_is_another_test(yard: Desk, other: dict) -> None:
    yard.test("P1")
    assert not yard.test("P1", **other).known
    assert records(yard) == 3


def test_readings_stand_in_the_register_exactly_as_they_were_given(yard: Desk) -> None:
    recorded = yard.test("P1", readings=[earth("0.20", 1), *both("28.40"), insulation(">19.99")])
    with yard.read() as connection:
        rows = connection.execute(sa.select(Reading.__table__).where(Reading.record_id == recorded.id)).all()
    assert [(row.number, row.quantity, row.outlet, row.value, row.unit, row.bound) for row in rows] == [
        (1, "earth-resistance", 1, "0.20", "ohm", "="),
        (2, "trip-time", 1, "28.40", "ms", "="),
        (3, "trip-time", 1, "28.40", "ms", "="),
        (4, "insulation-resistance", None, "19.99", "Mohm", ">"),
    ]


def test_a_record_keeps_who_tested_with_what_how_and_by_which_rules(yard: Desk) -> None:
    made = entry("P1", TODAY, at=time(9, 30), tester=" Kim  Ferro ", instrument="SN\t4411", remarks=" dusty \n")
    made = replace(made, record=replace(made.record, set_up=SetUp.DEVICE_FEEDS_TESTER))
    with yard.change() as change:
        record_tests(change, [made])
    with yard.read() as connection:
        row = connection.execute(sa.select(Record.__table__).where(Record.id == made.id)).one()
    assert (row.tester, row.instrument, row.remarks, row.set_up) == (
        "Kim Ferro", "SN 4411", "dusty", "device-feeds-tester",
    )  # fmt: skip
    assert (row.tested_on, row.tested_at, row.verdict, row.as_found) == (TODAY, "09:30:00", "pass", False)
    assert (row.rulebook, row.environment, row.missing, row.look) == ("au-in-service", "workshop", [], "pass")
    assert row.rulebook_version
    assert row.recorded_at.isoformat() == "2026-11-20T12:00:00+00:00"


def test_what_is_missing_is_kept_with_an_incomplete_record(yard: Desk) -> None:
    recorded = yard.test("P1", duties=(OPERATING,), readings=[tripped("24", 1, 0)])
    with yard.read() as connection:
        missing = connection.execute(sa.select(Record.missing).where(Record.id == recorded.id)).scalar_one()
    assert missing == [{"check": "trip-time", "outlet": 1, "half_cycle": 180, "multiple": "1"}]


def test_testers_and_instruments_become_known_by_being_named(yard: Desk) -> None:
    before = len(yard.events())
    yard.test("P1", tester="Ona Petrie", instrument="SN 9", at=time(8))
    assert yard.events(before) == ["record:add", "tester:add", "instrument:add"]


NOT_TAKEN = "The test of P1 of 20 Nov 2026 was not taken in. "


@pytest.mark.parametrize(
    ("tag", "facts", "sentence"),
    [
        ("P9", {}, "No item has or had the tag P9. Check the number on the tag."),
        ("P1", {"site": "MILL"}, "There is no site MILL in this register. It has: YARD."),
        (
            "P1",
            {"on": TODAY + timedelta(days=1)},
            "The date 21 Nov 2026 is in the future: today is 20 Nov 2026. Give the day it was done.",
        ),
        (
            "P1",
            {"on": date(1989, 12, 31)},
            "The date 31 Dec 1989 is before 1990. Check the year, and confirm it if it is right.",
        ),
        (
            "P1",
            {"readings": [*both("24", 2)]},
            NOT_TAKEN + "Outlet 2 does not exist: the item has 1 outlet. Check the outlet and the tag.",
        ),
        (
            "P1",
            {"duties": (OPERATING, OPERATING)},
            NOT_TAKEN + "The record names the operating-time test 2 times. Name each duty once.",
        ),
    ],
)
def test_a_record_that_cant_be_is_refused_and_nothing_is_kept(yard: Desk, tag: str, facts: dict, sentence: str) -> None:
    before = yard.events()
    with pytest.raises(Refused) as told:
        yard.test(tag, **facts)
    assert str(told.value) == sentence
    assert yard.events() == before


def test_a_date_before_1990_is_taken_once_it_is_confirmed(yard: Desk) -> None:
    assert not yard.test("P1", date(1989, 12, 31), old_confirmed=True).known


def test_of_several_records_all_are_kept_or_none(yard: Desk) -> None:
    good, wrong = entry("P1", TODAY), entry("P1", TODAY + timedelta(days=1))
    before = yard.events()
    with pytest.raises(Refused), yard.change() as change:
        record_tests(change, [good, wrong])
    assert (yard.events(), records(yard)) == (before, 1)


def test_records_taken_in_together_follow_each_other(yard: Desk) -> None:
    failed = entry("P1", TODAY - timedelta(days=2), readings=[*SOUND, *SLOW])
    passed = entry("P1", TODAY - timedelta(days=1))
    with yard.change() as change:
        first, second = record_tests(change, [failed, passed])
    assert (first.withdrawn, second.returned) == (True, True)
    assert yard.answer("P1").standing is Standing.IN_SERVICE


def test_the_sites_reading_plan_asks_for_more_readings(desk: Desk) -> None:
    plan = ReadingPlan((Decimal(1), Decimal(5)), half=True)
    with desk.change() as change:
        site = add_site(change, NewSite("MILL", "Mill", "Mill", "au-in-service", "workshop", reading_plan=plan))
        area = area_named(change, site, "")
        plate = SafetySwitch(Decimal(30), SwitchType.II)
        add_item(change, NewItem("M1", area, Kind.PORTABLE_SAFETY_SWITCH, TODAY, safety_switch=plate))
    recorded = desk.test("M1", duties=(OPERATING,))
    assert recorded.judgement.verdict is Result.INCOMPLETE
    assert {place.multiple for place in recorded.judgement.missing} == {Decimal("0.5"), Decimal(5)}


def test_an_item_that_was_not_found_and_is_tested_again_is_found(yard: Desk) -> None:
    yard.item("L1", Kind.EXTENSION_LEAD, not_found_on=date(2026, 10, 1))
    yard.test("L1", date(2026, 9, 30), duties=(INSPECTION,), readings=SOUND)
    assert yard.answer("L1").not_found_on == date(2026, 10, 1), "that test was before"
    yard.test("L1", date(2026, 10, 1), duties=(INSPECTION,), readings=SOUND)
    assert yard.answer("L1").not_found_on is None
    assert "item:change" in yard.events()


def test_only_the_contractors_dates_are_told(yard: Desk) -> None:
    assert dict(yard.test("P1").dates) == {INSPECTION: date(2027, 5, 20), OPERATING: date(2027, 11, 20)}
