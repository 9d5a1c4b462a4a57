"""The items and their history before they are written down: enough of everything, and believable."""

import re
import tomllib
from collections import Counter
from datetime import date, timedelta
from pathlib import Path

import pytest

from register.domain.items import Item
from register.domain.measures import UNIT_OF, Decimal, Measure
from register.domain.records import Reading, ReadingPlan, TestRecord
from register.domain.rulebook import Rulebook
from register.domain.rulebook_reader import read_rulebook
from register.domain.verdict import judge
from register.domain.words import Check, Duty, Kind, Result
from sample_sites.make import FIXED_DAY, items_of_sites
from sample_sites.making.items import PastTest, SampleItem
from sample_sites.making.premises import Premises, Site, read_premises

TOP = Path(__file__).parents[2]
YEAR = timedelta(days=365)


@pytest.fixture(scope="module")
def premises() -> Premises:
    return read_premises()


@pytest.fixture(scope="module")
def by_site(premises: Premises) -> dict[str, tuple[Site, list[SampleItem]]]:
    return {site.code: (site, items) for site, items, _ in items_of_sites(premises, FIXED_DAY)}


@pytest.fixture(scope="module")
def items(by_site: dict[str, tuple[Site, list[SampleItem]]]) -> list[SampleItem]:
    return [item for _, items in by_site.values() for item in items]


@pytest.fixture(scope="module")
def rulebooks() -> dict[str, Rulebook]:
    found: dict[str, Rulebook] = {}
    for name in ("au-in-service", "au-qld"):
        text = (TOP / "resources/rulebooks" / f"{name}.toml").read_text(encoding="utf-8")
        rulebook, problems = read_rulebook(text, name=name, base=found.get("au-in-service"))
        assert rulebook, problems
        found[name] = rulebook
    return found


def test_there_are_about_twelve_hundred_items_of_every_kind_at_sixteen_sites(
    by_site: dict[str, tuple[Site, list[SampleItem]]], items: list[SampleItem]
) -> None:
    assert len(by_site) == 16
    assert 1100 <= len(items) <= 1300
    assert {item.thing.kind for item in items} == set(Kind)
    assert len({item.number for item in items}) == len(items)


def test_every_environment_class_of_the_general_rulebook_is_in_use(
    by_site: dict[str, tuple[Site, list[SampleItem]]],
) -> None:
    found = {item.environment for site, items in by_site.values() for item in items if site.rulebook == "au-in-service"}
    assert found == {"workshop", "flexed-or-hostile", "benign", "residential", "cleaning", "hire", "construction"}


def test_queensland_sites_have_the_work_classes_of_their_own_rulebook(
    by_site: dict[str, tuple[Site, list[SampleItem]]], rulebooks: dict[str, Rulebook]
) -> None:
    found = {item.environment for site, items in by_site.values() for item in items if site.rulebook == "au-qld"}
    assert {"manufacturing", "service", "office", "rural"} <= found
    assert found <= set(rulebooks["au-qld"].environments)


def test_safety_switches_differ_in_outlets_type_and_waveform_and_some_are_built_into_boards(
    items: list[SampleItem],
) -> None:
    portable = [item for item in items if item.thing.kind is Kind.PORTABLE_SAFETY_SWITCH]
    assert {item.thing.outlets for item in portable} == {1, 2, 4}
    plates = [item.switch for item in items if item.switch]
    assert {plate.type.value for plate in plates if plate.type} == {"I", "II", "III", "IV", "iec"}
    assert {plate.waveform.value for plate in plates if plate.waveform} == {"AC", "A"}
    assert any(plate.type is None for plate in plates), "no rating plate that can't be read"
    boards = [item for item in items if item.thing.kind is Kind.PORTABLE_OUTLET_DEVICE]
    assert {item.switch is not None for item in boards} == {True, False}


def test_the_history_reaches_back_three_years_and_more(items: list[SampleItem]) -> None:
    days = [test.day for item in items for test in item.tests]
    assert min(days) < FIXED_DAY - 3 * YEAR
    of_year = Counter((FIXED_DAY - day) // YEAR for day in days)
    assert all(of_year[year] > 500 for year in range(3)), of_year


def test_all_that_becomes_of_items_is_there(items: list[SampleItem]) -> None:
    states = Counter(item.state for item in items)
    assert states["in use"] > 0.8 * len(items)
    for state in ("new", "stored", "out of service", "removed", "not found"):
        assert states[state] >= 3, states
    assert any(item.earlier_tag for item in items)
    assert any(item.state == "in use" and not item.tests for item in items), "none was never tested"
    assert sum(item.remarks.startswith("moved from") for item in items) >= 5
    assert sum(test.remarks.startswith("after repair") for item in items for test in item.tests) >= 10


def test_what_is_out_of_service_failed_last_and_what_was_repaired_passed_after_failing(
    items: list[SampleItem],
) -> None:
    for item in items:
        if item.state == "out of service":
            assert not item.tests[-1].passed
        for before, test in zip(item.tests, item.tests[1:], strict=False):
            assert before.day <= test.day
            assert before.passed or test.remarks.startswith("after repair")
        if item.removed_on:
            assert item.tests[-1].day <= item.removed_on <= FIXED_DAY


def test_offices_fail_less_often_than_sites_and_workshops(items: list[SampleItem]) -> None:
    def failing(classes: set[str]) -> float:
        passed = [test.passed for item in items if item.environment in classes for test in item.tests]
        return passed.count(False) / len(passed)

    assert failing({"benign", "office"}) < 0.025
    assert 0.02 < failing({"construction", "workshop", "hire"}) < 0.06


@pytest.mark.parametrize("today", [FIXED_DAY, date(2028, 2, 29), date(2027, 1, 3), date(2025, 12, 31)])
def test_tests_are_made_on_working_days_up_to_today(premises: Premises, today: date) -> None:
    for _, items, _ in items_of_sites(premises, today):
        for item in items:
            for test in item.tests:
                assert item.since <= test.day <= today
                assert test.day.weekday() < 5, f"{item.number} on {test.day:%A %d %B %Y}"
                assert (test.day.month, test.day.day) not in {(12, 25), (12, 26), (1, 1)}


def test_sheets_and_rules_agree_on_every_verdict_but_for_plates_that_cannot_be_read(
    by_site: dict[str, tuple[Site, list[SampleItem]]], rulebooks: dict[str, Rulebook]
) -> None:
    for site, items in by_site.values():
        for item in items:
            unreadable = item.switch is not None and item.switch.type is None
            for test in item.tests:
                verdict = verdict_on(site, item, test, rulebooks[site.rulebook])
                expected = Result.PASS if test.passed else Result.FAIL
                assert verdict is expected or (unreadable and test.switch_test), f"{site.code} {item.number} {test}"


def verdict_on(site: Site, item: SampleItem, test: PastTest, rulebook: Rulebook) -> Result:
    work = ((Duty.INSPECTION_AND_TEST, test.appliance_test), (Duty.OPERATING_TIME, test.switch_test))
    readings = tuple(
        Reading(
            check=taken.check,
            measure=Measure(taken.value, UNIT_OF[taken.check], taken.bound, taken.word),
            outlet=taken.outlet,
            half_cycle=taken.half_cycle,
            multiple=taken.multiple,
        )
        for taken in test.readings
    )
    record = TestRecord(
        duties=tuple(duty for duty, done in work if done),
        readings=readings,
        look=Result.PASS if test.look_passed else Result.FAIL,
        tested_on=test.day,
    )
    multiples = (Decimal(1), Decimal(5)) if "5x" in site.extra else (Decimal(1),)
    plan = ReadingPlan(multiples, half="half" in site.extra, ramp="ramp" in site.extra)
    thing = Item(item.thing.kind, item.thing.outlets, item.switch, Decimal(item.thing.amps))
    return judge(record, thing, rulebook, plan).verdict


def test_sound_switches_trip_in_the_usual_time_and_a_few_grow_slower_from_test_to_test(
    items: list[SampleItem],
) -> None:
    passed = [
        (item, [taken.value for taken in test.readings if taken.check is Check.TRIP_TIME and taken.multiple == 1])
        for item in items
        for test in item.tests
        if test.switch_test and test.passed and item.switch and item.switch.rated_residual_ma == 30
    ]
    usual = [time for _, times in passed for time in times if time and 9 <= time <= 38]
    assert len(usual) > 0.9 * sum(len(times) for _, times in passed)
    slowest: dict[int, list[Decimal]] = {}
    for item, times in passed:
        slowest.setdefault(item.number, []).append(max(time for time in times if time))
    assert sum(len(times) > 1 and times[-1] > 2 * times[0] for times in slowest.values()) >= 3


def test_things_are_described_in_common_words_without_makers_names() -> None:
    things = tomllib.loads((TOP / "sample_sites/making/things.toml").read_text(encoding="utf-8"))
    for thing in things.values():
        after_the_first = re.findall(r"[A-Za-z-]+", thing["text"])[1:]
        named = [
            word for word in after_the_first if not word.islower() and word not in {"A", "V", "mA", "kVA", "IEC", "LED"}
        ]
        assert not named, thing["text"]
