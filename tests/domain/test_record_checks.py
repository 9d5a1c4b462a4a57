"""What can't be true of a record is refused with one sentence, before anything is judged."""

from decimal import Decimal

import pytest

from register.domain.items import Item
from register.domain.measures import measure
from register.domain.record_checks import MOST_READINGS, check_record
from register.domain.records import Reading
from register.domain.words import CONTRACTORS_DUTIES, Check, Duty, Kind, TestCurrent, spoken
from register.errors import Refused
from tests.domain.verdict_rules import (
    OPERATING,
    appliance,
    both,
    earth,
    insulation,
    plate,
    polarity,
    ramp,
    record,
    switch,
    tripped,
)

EARTH = measure(Check.EARTH_RESISTANCE, "0.1")
RAMP = measure(Check.TRIP_CURRENT, "21")


@pytest.mark.parametrize(
    ("reading", "item", "sentence"),
    [
        (tripped("28", 3), switch(2), "Outlet 3 does not exist: the item has 2 outlets. Check the outlet and the tag."),
        (tripped("28", 2), switch(1), "Outlet 2 does not exist: the item has 1 outlet."),
        (tripped("28", 0), switch(2), "Outlet 0 does not exist"),
        (earth("0.1", 2), appliance(), "Outlet 2 does not exist: the item has no outlets."),
        (tripped("28", 1, 90), switch(), "A half-cycle is 0 or 180, not 90. Correct the half-cycle of the trip time."),
        (tripped("28", 1, None), switch(), "A trip time says nothing without its half-cycle, 0 or 180. Add it."),
        (tripped("28", 1, 0, None), switch(), "A trip time says nothing without the multiple"),
        (tripped("28", 1, 0, "3"), switch(), "A trip time is measured at 0.5×, 1×, 2×, 5×, not at 3×."),
        (tripped("28"), appliance(), "A trip time can't be measured on a Class I appliance without a safety switch."),
        (ramp("21"), Item(Kind.EXTENSION_LEAD, 1), "A trip current can't be measured on an extension lead without"),
        (
            Reading(Check.TRIP_CURRENT, RAMP, 1, multiple=Decimal(1)),
            switch(),
            "Only a trip time has a multiple of the rated residual current, trip current has none. Leave it out.",
        ),
        (
            Reading(Check.EARTH_RESISTANCE, EARTH, 1, half_cycle=0),
            switch(),
            "Only trip readings have a half-cycle and a test current, earth resistance has none.",
        ),
        (Reading(Check.EARTH_RESISTANCE, EARTH, 1, test_current=TestCurrent.AC), switch(), "Only trip readings"),
    ],
)
def test_a_reading_that_can_not_be_is_refused(reading: Reading, item: Item, sentence: str) -> None:
    with pytest.raises(Refused) as refusal:
        check_record(record([*both("28"), reading] if item.has_switch else [reading]), item)
    assert sentence in str(refusal.value)


@pytest.mark.parametrize(
    ("readings", "item"),
    [
        (both("28", None), switch(1)),
        (both("28", None), switch(2)),
        ([*both("28"), *both("29", 2), ramp("21", TestCurrent.HALF_WAVE, 2)], switch(2)),
        ([Reading(Check.TRIP_CURRENT, RAMP, 1, half_cycle=180)], switch()),
        ([earth("0.1", 1), insulation("50")], appliance()),
        ([earth("0.1"), polarity("right")], Item(Kind.EXTENSION_LEAD, 1)),
        (both("28", 4), Item(Kind.PORTABLE_OUTLET_DEVICE, 4, plate())),
        (both("28"), Item(Kind.PORTABLE_SAFETY_SWITCH, 1)),
        ([], appliance()),
    ],
)
def test_a_record_that_can_be_is_let_through(readings: list[Reading], item: Item) -> None:
    check_record(record(readings), item)


def test_a_record_that_names_no_duty_is_let_through() -> None:
    check_record(record(both("28"), ()), switch())


def test_a_duty_named_twice_is_refused() -> None:
    with pytest.raises(Refused, match="names the operating-time test 2 times"):
        check_record(record(both("28"), (*OPERATING, Duty.FORMAL_VISUAL, *OPERATING)), switch())


@pytest.mark.parametrize("duty", sorted(set(Duty) - set(CONTRACTORS_DUTIES)))
def test_a_duty_of_the_user_is_refused(duty: Duty) -> None:
    with pytest.raises(Refused, match=f"the {spoken(duty)} is the user's"):
        check_record(record(both("28"), (*OPERATING, duty)), switch())


def test_a_record_of_thousands_of_readings_is_refused() -> None:
    with pytest.raises(Refused, match="2002 readings are more than one record can hold"):
        check_record(record(both("28") * (MOST_READINGS // 2 + 1)), switch())
