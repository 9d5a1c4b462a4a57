"""What every tester of safety switches does, held against the rulebooks: common practice of the trade, no source.

AS/NZS 3760 was not read; none of this is quoted from it.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from register.domain.items import Item, SafetySwitch
from register.domain.measures import read_measure
from register.domain.plate import current_sent_ma
from register.domain.records import HALF_CYCLES, Judgement, Place, Reading, ReadingPlan, TestRecord
from register.domain.verdict import judge
from register.domain.words import Check, Duty, Kind, Result, SetUp, SwitchType, Waveform
from register.services.rulebooks import rulebook

BOARD = Item(Kind.PORTABLE_OUTLET_DEVICE, 4, SafetySwitch(Decimal(30), SwitchType.II, waveform=Waveform.A))
PLACES = [Place(Check.TRIP_TIME, outlet, half, Decimal(1)) for outlet in range(1, 5) for half in HALF_CYCLES]


def reading(place: Place, value: str = "24") -> Reading:
    return Reading(place.check, read_measure(place.check, value), place.outlet, place.half_cycle, place.multiple)


WHOLE = TestRecord((Duty.OPERATING_TIME,), tuple(reading(place) for place in PLACES), Result.PASS, date(2026, 11, 20))


def judged(record: TestRecord, plan: ReadingPlan | None = None, item: Item = BOARD) -> Judgement:
    return judge(record, item, rulebook("au-in-service"), plan or ReadingPlan())


def without(place: Place) -> TestRecord:
    return replace(WHOLE, readings=tuple(reading(each) for each in PLACES if each != place))


@pytest.mark.parametrize("place", PLACES)
def test_every_outlet_is_tested_at_both_half_cycles(place: Place) -> None:
    assert judged(WHOLE).verdict is Result.PASS
    found = judged(without(place))
    assert found.verdict is Result.INCOMPLETE
    assert [(each.outlet, each.half_cycle, each.multiple) for each in found.missing] == [
        (place.outlet, place.half_cycle, place.multiple)
    ]


@pytest.mark.parametrize("place", PLACES)
def test_failing_at_either_half_cycle_of_one_outlet_fails_the_device(place: Place) -> None:
    record = without(place)
    found = judged(replace(record, readings=(*record.readings, reading(place, "300.1"))))
    assert found.verdict is Result.FAIL
    assert found.why.startswith(f"Outlet {place.outlet} at {place.half_cycle}°, 1×: 300.1 ms is above the limit")


def test_it_is_looked_over_and_its_type_is_known_before_it_is_measured() -> None:
    unseen = judged(replace(WHOLE, look=None))
    assert (unseen.verdict, [each.check for each in unseen.missing]) == (Result.INCOMPLETE, [Check.LOOK])
    for plate in (SafetySwitch(None, SwitchType.II), SafetySwitch(Decimal(30), None)):
        assert judged(WHOLE, item=replace(BOARD, safety_switch=plate)).verdict is Result.INCOMPLETE


def test_five_times_30_milliamperes_is_150() -> None:
    assert current_sent_ma(Decimal(30), Decimal(5)) == Decimal(150)
    found = judged(WHOLE, ReadingPlan((Decimal(1), Decimal(5))))
    assert found.verdict is Result.INCOMPLETE
    assert {each.multiple for each in found.missing} == {Decimal(5)}
    assert len(found.missing) == len(PLACES)


def test_a_rising_current_is_raised_until_the_device_trips_and_that_current_is_the_reading() -> None:
    found = judged(WHOLE, ReadingPlan(ramp=True))
    assert {(each.check, each.outlet, each.half_cycle) for each in found.missing} == {
        (Check.TRIP_CURRENT, place.outlet, place.half_cycle) for place in PLACES
    }
    tripped = Reading(Check.TRIP_CURRENT, read_measure(Check.TRIP_CURRENT, "22"), 1, 0)
    assert judged(replace(WHOLE, readings=(*WHOLE.readings, tripped))).verdict is Result.PASS


@pytest.mark.parametrize("set_up", list(SetUp))
def test_where_one_set_up_gives_no_reading_the_other_is_tried(set_up: SetUp) -> None:
    record = without(PLACES[0])
    nothing = reading(PLACES[0], "no reading")
    found = judged(replace(record, set_up=set_up, readings=(*record.readings, nothing)))
    assert found.verdict is Result.INCOMPLETE
    assert "set-up" in found.why


def test_an_isolating_transformer_for_the_second_set_up_is_one_made_for_testing_safety_switches() -> None:
    (caution,) = [each for each in rulebook("au-in-service").cautions if "isolating transformer" in each]
    assert "made for testing safety switches" in caution
    assert "On a plain isolated winding nothing can trip" in caution
