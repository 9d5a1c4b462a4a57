"""The verdict on a whole record: what is asked, what is missing, what decides, and how it is said."""

from dataclasses import replace
from decimal import Decimal

import pytest

from register.domain.items import Item
from register.domain.records import Reading, ReadingPlan
from register.domain.verdict import judge
from register.domain.words import Check, Duty, Kind, Result, TestCurrent
from tests.domain.verdict_rules import (
    INSPECTION,
    OPERATING,
    PLAN,
    RULES,
    appliance,
    both,
    both_ramps,
    earth,
    insulation,
    leakage,
    plate,
    polarity,
    ramp,
    record,
    switch,
    tripped,
    verdict_on,
)

EVERYTHING = ReadingPlan(multiples=(Decimal(1), Decimal(5)), half=True, ramp=True)
BOARD = Item(Kind.PORTABLE_OUTLET_DEVICE, 4, plate())
LEAD = Item(Kind.EXTENSION_LEAD, 1)


def missing_words(why: str) -> str:
    return why.partition("Missing: ")[2]


class TestEveryPlaceIsNeeded:
    def test_every_outlet_at_both_half_cycles_passes(self) -> None:
        judgement = verdict_on([*both("28.4"), *both("26", 2)], switch(2))
        assert judgement.verdict is Result.PASS
        assert judgement.missing == ()
        assert judgement.why == (
            "All 5 checks passed. Slowest trip: Outlet 1 at 0°, 1×: 28.4 ms is within the limit of 300 ms "
            "(Standard 1:2020, Table A, restated second-hand)."
        )

    def test_one_half_cycle_of_one_outlet_is_missing(self) -> None:
        judgement = verdict_on([*both("28.4"), tripped("26", 2, 0)], switch(2))
        assert judgement.verdict is Result.INCOMPLETE
        assert judgement.why == "Missing: trip time at 1× at 180° on outlet 2."
        (place,) = judgement.missing
        assert (place.check, place.outlet, place.half_cycle, place.multiple) == (Check.TRIP_TIME, 2, 180, 1)

    def test_the_look_is_missing(self) -> None:
        judgement = verdict_on(both("28"), switch(), look=None)
        assert judgement.verdict is Result.INCOMPLETE
        assert judgement.why == "Missing: the look."

    def test_a_long_list_of_missing_readings_is_cut_short(self) -> None:
        judgement = verdict_on([], switch(2), plan=EVERYTHING)
        assert len(judgement.missing) == 2 * (3 * 2 + 2)
        assert judgement.why == (
            "Missing: trip time at 0.5× at 0° on outlet 1, trip time at 0.5× at 180° on outlet 1, "
            "trip time at 1× at 0° on outlet 1, trip time at 1× at 180° on outlet 1 and 12 more."
        )

    def test_a_trip_time_of_no_outlet_serves_none_of_two(self) -> None:
        judgement = verdict_on([*both("28", None)], switch(2))
        assert judgement.verdict is Result.INCOMPLETE
        assert len(judgement.missing) == 4
        assert len(judgement.findings) == 3

    @pytest.mark.parametrize("outlet", [None, 1])
    def test_on_one_outlet_it_need_not_be_said_which(self, outlet: int | None) -> None:
        judgement = verdict_on(both("28", outlet), switch(1))
        assert judgement.verdict is Result.PASS
        assert [each.place.outlet for each in judgement.findings] == [None, 1, 1]

    @pytest.mark.parametrize("outlet", [None, 1])
    def test_an_item_without_outlets_has_none_in_its_findings(self, outlet: int | None) -> None:
        judgement = verdict_on([earth("0.1", outlet), insulation("50")], appliance(), duties=INSPECTION)
        assert judgement.verdict is Result.PASS
        assert {each.place.outlet for each in judgement.findings} == {None}

    def test_an_operating_time_counts_on_ac_only(self) -> None:
        readings = [tripped("28", 1, half, "1", TestCurrent.HALF_WAVE) for half in (0, 180)]
        judgement = verdict_on(readings, switch())
        assert judgement.verdict is Result.INCOMPLETE
        assert len(judgement.missing) == 2


class TestWhatEachDutyAsks:
    @pytest.mark.parametrize(
        ("item", "readings", "missing"),
        [
            (appliance(), [earth("0.1"), insulation("50")], ""),
            (appliance(), [earth("0.1"), leakage("0.5")], ""),
            (appliance(), [insulation("50")], "earth resistance."),
            (appliance(), [earth("0.1")], "insulation resistance or leakage current."),
            (appliance(Kind.APPLIANCE_CLASS_2), [insulation("50")], ""),
            (LEAD, [earth("0.1"), insulation("50"), polarity("right")], ""),
            (LEAD, [earth("0.1"), insulation("50")], "polarity on outlet 1."),
            (
                Item(Kind.PORTABLE_OUTLET_DEVICE, 2),
                [earth("0.1", 1), polarity("right", 1), insulation("50")],
                "earth resistance on outlet 2 and polarity on outlet 2.",
            ),
        ],
    )
    def test_inspection_and_test_by_kind(self, item: Item, readings: list[Reading], missing: str) -> None:
        judgement = verdict_on(readings, item, duties=INSPECTION)
        assert missing_words(judgement.why) == missing
        assert judgement.verdict is (Result.INCOMPLETE if missing else Result.PASS)

    def test_without_duties_every_contractors_duty_of_the_kind_is_asked(self) -> None:
        judgement = verdict_on(both("28"), switch(), duties=())
        assert {each.check for each in judgement.missing} == {
            Check.EARTH_RESISTANCE,
            Check.POLARITY,
            Check.INSULATION_RESISTANCE,
        }

    def test_an_outlet_board_with_a_switch_built_in_has_the_duties_of_both(self) -> None:
        asked = {(each.check, each.outlet) for each in verdict_on([], BOARD, duties=()).missing}
        outlets = range(1, 5)
        assert asked == {
            (Check.INSULATION_RESISTANCE, None),
            *((check, each) for check in (Check.EARTH_RESISTANCE, Check.POLARITY, Check.TRIP_TIME) for each in outlets),
        }

    def test_an_outlet_board_without_one_has_no_operating_time(self) -> None:
        judgement = verdict_on([], Item(Kind.PORTABLE_OUTLET_DEVICE, 4), duties=())
        assert Check.TRIP_TIME not in {each.check for each in judgement.missing}

    def test_a_class_2_appliance_with_a_switch_is_inspected_as_class_2(self) -> None:
        cleaner = Item(Kind.APPLIANCE_CLASS_2, 0, plate())
        judgement = verdict_on([*both("28", None), insulation("50")], cleaner, duties=())
        assert judgement.verdict is Result.PASS

    def test_its_leakage_is_held_to_its_own_kind(self) -> None:
        cleaner = Item(Kind.APPLIANCE_CLASS_2, 0, plate())
        judgement = verdict_on([*both("28", None), leakage("1.1")], cleaner, duties=())
        assert judgement.why.startswith("Leakage current: 1.1 mA is above the limit of 1 mA")

    def test_the_reading_plan_adds_to_the_operating_time_alone(self) -> None:
        judgement = verdict_on([earth("0.1", 1), polarity("right", 1)], switch(), duties=INSPECTION, plan=EVERYTHING)
        assert missing_words(judgement.why) == "insulation resistance or leakage current."

    def test_the_reading_plan_never_takes_the_rulebooks_own_multiple_away(self) -> None:
        judgement = verdict_on(both("20", multiple="5"), switch(), plan=ReadingPlan(multiples=(Decimal(5),)))
        assert {each.multiple for each in judgement.missing} == {1}

    def test_everything_that_the_plan_asks_for_passes(self) -> None:
        readings = [*both("no trip", multiple="0.5"), *both("28"), *both("18", multiple="5"), *both_ramps("21")]
        assert verdict_on(readings, switch(), plan=EVERYTHING).verdict is Result.PASS

    def test_the_ramp_is_missing_in_words(self) -> None:
        judgement = verdict_on(both("28"), switch(), plan=ReadingPlan(ramp=True))
        assert judgement.why == (
            "Missing: trip current with a rising current at 0° on outlet 1 and trip current with a rising current "
            "at 180° on outlet 1."
        )

    def test_one_rising_current_without_its_half_cycle_is_not_enough(self) -> None:
        judgement = verdict_on([*both("28"), ramp("21")], switch(), plan=ReadingPlan(ramp=True))
        assert judgement.verdict is Result.INCOMPLETE
        assert [each.half_cycle for each in judgement.missing] == [0, 180]

    def test_the_rising_current_is_held_to_its_limit_at_each_half_cycle(self) -> None:
        readings = [*both("28"), ramp("21", half_cycle=0), ramp("31", half_cycle=180)]
        judgement = verdict_on(readings, switch(), plan=ReadingPlan(ramp=True))
        assert judgement.verdict is Result.FAIL
        assert judgement.why.startswith("Outlet 1 at 180°, rising a.c. current: 31 mA is above the limit of 30 mA")

    def test_a_duty_that_the_kind_does_not_have_is_never_passed(self) -> None:
        judgement = verdict_on([earth("0.1"), insulation("50")], appliance(), duties=OPERATING)
        assert judgement.verdict is Result.INCOMPLETE
        assert judgement.why == (
            "The rulebook made-up doesn't say what the operating-time test asks of a Class I appliance: "
            "correct the record's duties."
        )

    def test_a_kind_that_the_rulebook_does_not_know_is_never_passed(self) -> None:
        judgement = judge(record([], ()), LEAD, replace(RULES, checklists=()), PLAN)
        assert judgement.verdict is Result.INCOMPLETE
        assert judgement.why == "The rulebook made-up lists no checks for an extension lead."

    def test_nothing_seen_and_nothing_measured_is_never_a_pass(self) -> None:
        judgement = verdict_on([], switch(), duties=(Duty.BUTTON_PRESS,), look=None)
        assert judgement.verdict is Result.INCOMPLETE
        assert judgement.why == "Nothing was seen or measured."

    def test_a_users_duty_asks_for_no_readings(self) -> None:
        assert verdict_on([], switch(), duties=(Duty.BUTTON_PRESS,)).verdict is Result.PASS


class TestWhatDecides:
    def test_the_worse_half_cycle_decides(self) -> None:
        judgement = verdict_on([tripped("28", 1, 0), tripped("310", 1, 180)], switch())
        assert judgement.verdict is Result.FAIL
        assert judgement.why.startswith("Outlet 1 at 180°, 1×: 310 ms is above the limit of 300 ms")

    def test_the_worse_of_two_readings_at_one_place_decides(self) -> None:
        judgement = verdict_on([*both("28"), tripped("305", 1, 180)], switch())
        assert judgement.verdict is Result.FAIL
        assert len(judgement.findings) == 4

    def test_a_fail_goes_before_what_is_missing(self) -> None:
        judgement = verdict_on([tripped("310")], switch(2))
        assert judgement.verdict is Result.FAIL
        assert "Missing" not in judgement.why
        assert len(judgement.missing) == 3

    def test_a_fail_beyond_the_plan_fails_too(self) -> None:
        judgement = verdict_on([*both("28"), tripped("41", multiple="5")], switch())
        assert judgement.verdict is Result.FAIL

    def test_what_is_undecided_beyond_the_plan_is_incomplete(self) -> None:
        judgement = verdict_on([*both("28"), tripped("no reading", multiple="5")], switch())
        assert judgement.verdict is Result.INCOMPLETE

    def test_what_is_undecided_is_named_before_what_is_missing(self) -> None:
        judgement = verdict_on([tripped("no reading"), tripped(">200", 2)], switch(2))
        assert judgement.verdict is Result.INCOMPLETE
        assert judgement.why.startswith("Outlet 1 at 0°, 1×: no reading. Try the other set-up")
        assert "1 other check is undecided too. Missing: trip time at 1× at 180° on outlet 1" in judgement.why

    def test_no_reading_gives_way_to_what_the_other_set_up_gave(self) -> None:
        judgement = verdict_on([*both("no reading"), *both("28")], switch())
        assert judgement.verdict is Result.PASS
        assert judgement.notes == (
            "One set-up gave no reading of trip time at 1× at 0° on outlet 1; what the other gave counts.",
            "One set-up gave no reading of trip time at 1× at 180° on outlet 1; what the other gave counts.",
        )

    def test_no_trip_does_not_give_way(self) -> None:
        assert verdict_on([*both("no trip"), *both("28")], switch()).verdict is Result.FAIL

    def test_damage_fails_and_is_named_first(self) -> None:
        judgement = verdict_on(both("no trip"), switch(), look=Result.FAIL)
        assert judgement.verdict is Result.FAIL
        assert judgement.why.startswith("Look: something wrong was seen, which fails the item (Standard 1:2020")
        assert judgement.why.endswith("2 other checks fail too.")

    def test_a_look_that_nobody_asked_for_still_fails(self) -> None:
        judgement = verdict_on([], switch(), duties=(Duty.BUTTON_PRESS,), look=Result.FAIL)
        assert judgement.verdict is Result.FAIL

    @pytest.mark.parametrize(
        ("readings", "worst"),
        [
            ([tripped("310"), tripped("900", 1, 180)], "900 ms"),
            ([tripped("900"), tripped("41", multiple="5")], "900 ms"),
            ([tripped("310"), tripped("120", multiple="5")], "120 ms"),
            ([tripped("900"), tripped("no trip", 1, 180)], "did not trip"),
            ([ramp("3"), tripped("310")], "3 mA"),
            ([ramp("14"), tripped("900")], "900 ms"),
            ([tripped("30", multiple="0.5"), tripped("310")], "310 ms"),
            ([insulation("0"), tripped("900")], "0 MΩ"),
            ([polarity("wrong", 1), tripped("900")], "wrong"),
        ],
    )
    def test_the_worst_fail_is_named(self, readings: list[Reading], worst: str) -> None:
        judgement = verdict_on(readings, switch())
        assert worst in judgement.why
        assert judgement.why.endswith("1 other check fails too.")

    def test_the_slowest_trip_at_the_rated_current_is_named_in_a_pass(self) -> None:
        readings = [tripped("21", 1, 0), tripped("33", 1, 180), tripped("no trip", multiple="0.5")]
        assert "Slowest trip: Outlet 1 at 180°, 1×: 33 ms" in verdict_on(readings, switch()).why

    def test_a_pass_without_trips_names_what_was_checked(self) -> None:
        judgement = verdict_on([earth("0.1"), insulation("50")], appliance(), duties=INSPECTION)
        assert judgement.why == "All 3 checks passed: look, earth resistance and insulation resistance."

    def test_a_pass_of_the_look_alone_says_so(self) -> None:
        judgement = verdict_on([], switch(), duties=(Duty.USER_CHECK,))
        assert judgement.why == "Look: nothing wrong was seen (common practice, no source)."


class TestOneDutyOfSeveral:
    BOTH = (Duty.INSPECTION_AND_TEST, Duty.OPERATING_TIME)

    def test_what_the_other_duty_lacks_does_not_hold_it_up(self) -> None:
        whole = record([*both("28"), Reading(Check.INSULATION_RESISTANCE, insulation(">0.5").measure)], self.BOTH)
        assert judge(whole, switch(), RULES, PLAN).verdict is Result.INCOMPLETE
        assert judge(whole, switch(), RULES, PLAN, OPERATING).verdict is Result.PASS
        assert judge(whole, switch(), RULES, PLAN, INSPECTION).verdict is Result.INCOMPLETE

    def test_a_fail_anywhere_in_the_record_fails_it(self) -> None:
        whole = record([*both("28"), insulation("0.5")], self.BOTH)
        assert judge(whole, switch(), RULES, PLAN, OPERATING).verdict is Result.FAIL


class TestNotes:
    def test_a_reading_without_a_limit_that_nobody_asked_for_becomes_a_note(self) -> None:
        judgement = verdict_on([*both("28"), ramp("20", TestCurrent.DC)], switch(1, plate(waveform="B")))
        assert judgement.verdict is Result.PASS
        (note,) = judgement.notes
        assert note == (
            "Outlet 1, rising smooth d.c. current: 20 mA was not judged. The rulebook made-up has no limit for such a "
            "trip current of a switch of 30 mA."
        )

    def test_one_that_was_asked_for_is_undecided(self) -> None:
        rules = replace(RULES, limits=tuple(each for each in RULES.limits if each.check is not Check.TRIP_CURRENT))
        judgement = judge(record([*both("28"), *both_ramps("20")]), switch(), rules, ReadingPlan(ramp=True))
        assert judgement.verdict is Result.INCOMPLETE
        assert "20 mA can't be judged. The rulebook made-up has no limit" in judgement.why

    @pytest.mark.parametrize("beside", [TestCurrent.HALF_WAVE, TestCurrent.DC])
    def test_another_rising_current_does_not_stand_for_the_alternating_one(self, beside: TestCurrent) -> None:
        of_type_b = switch(1, plate(waveform="B"))
        judgement = verdict_on([*both("28"), *both_ramps("20", beside)], of_type_b, plan=ReadingPlan(ramp=True))
        assert judgement.verdict is Result.INCOMPLETE
        assert "Missing: trip current with a rising current at 0° on outlet 1" in judgement.why
        readings = [*both("28"), *both_ramps("20", beside), *both_ramps("20")]
        whole = verdict_on(readings, of_type_b, plan=ReadingPlan(ramp=True))
        assert whole.verdict is Result.PASS

    def test_a_quantity_that_the_rulebook_does_not_limit_becomes_a_note(self) -> None:
        rules = replace(RULES, limits=tuple(each for each in RULES.limits if each.check is not Check.LEAKAGE_CURRENT))
        judgement = judge(record([*both("28"), leakage("2")]), switch(), rules, PLAN)
        assert judgement.verdict is Result.PASS
        (note,) = judgement.notes
        assert note == (
            "Leakage current: 2 mA was not judged. The rulebook made-up has no limit for the leakage current of a "
            "portable safety switch."
        )

    def test_a_trip_time_without_its_place_serves_nothing_and_becomes_a_note(self) -> None:
        judgement = verdict_on([tripped("28", 1, None, None)], switch())
        assert judgement.verdict is Result.INCOMPLETE
        assert judgement.notes[0].startswith("Outlet 1: 28 ms was not judged.")

    def test_an_item_outside_the_rulebook_is_said_to_be_so(self) -> None:
        big = Item(Kind.EXTENSION_LEAD, 1, rated_current_a=Decimal(32))
        judgement = verdict_on([earth("0.1"), insulation("50"), polarity("right")], big, duties=INSPECTION)
        assert judgement.verdict is Result.PASS
        assert "32 A" in judgement.notes[0]
