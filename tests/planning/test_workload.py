"""How much work duties are."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from register.domain.words import Check, Duty, Kind
from register.errors import Refused
from register.planning.workload import (
    CREW_HOURS,
    DEFAULTS,
    Minutes,
    crew_hours_from,
    minutes_from,
    time_words,
)


def test_every_kind_has_minutes_for_its_look() -> None:
    assert set(DEFAULTS) == set(Kind)
    assert all(Check.LOOK in row for row in DEFAULTS.values())


@pytest.mark.parametrize(
    ("kind", "duty", "minutes"),
    [
        (Kind.PORTABLE_SAFETY_SWITCH, Duty.INSPECTION_AND_TEST, "3.5"),
        (Kind.PORTABLE_SAFETY_SWITCH, Duty.OPERATING_TIME, "4"),
        (Kind.APPLIANCE_CLASS_1, Duty.INSPECTION_AND_TEST, "3.5"),
        (Kind.APPLIANCE_CLASS_1, Duty.FORMAL_VISUAL, "2"),
        (Kind.APPLIANCE_CLASS_2, Duty.OPERATING_TIME, "0"),
        (Kind.PORTABLE_SAFETY_SWITCH, Duty.BUTTON_PRESS, "0"),
    ],
)
def test_a_duty_takes_the_minutes_of_its_checks(kind: Kind, duty: Duty, minutes: str) -> None:
    assert Minutes().of(kind, duty) == Decimal(minutes)


@pytest.mark.parametrize("kind", Kind)
def test_an_inspection_with_its_tag_takes_as_long_as_the_trade_says(kind: Kind) -> None:
    """Three to four minutes an item by a trade page, restated second-hand; a fixed switch has no tests of this duty."""
    assert 2 <= Minutes().of(kind, Duty.INSPECTION_AND_TEST) <= 5


def test_the_firms_own_minutes_stand_in_place_of_one_check_and_leave_the_others() -> None:
    own = minutes_from({"cord-set": {"look": "3.25"}})
    assert own.own
    assert own.of(Kind.CORD_SET, Duty.FORMAL_VISUAL) == Decimal("3.25")
    assert own.of(Kind.CORD_SET, Duty.INSPECTION_AND_TEST) == Decimal("4.75")
    assert own.of(Kind.EXTENSION_LEAD, Duty.FORMAL_VISUAL) == Minutes().of(Kind.EXTENSION_LEAD, Duty.FORMAL_VISUAL)


@pytest.mark.parametrize("nothing", [None, {}])
def test_without_own_minutes_the_defaults_hold(nothing: object) -> None:
    assert minutes_from(nothing) == Minutes(DEFAULTS)


@pytest.mark.parametrize(
    ("own", "said"),
    [
        ({"kettle": {"look": 1}}, "“kettle” is not a kind of item"),
        ({"cord-set": {"smell": 1}}, "“smell” is not a check"),
        ({"cord-set": {"look": "a bit"}}, "can't be “a bit”"),
        ({"cord-set": {"look": -1}}, "can't be “-1”"),
        ({"cord-set": {"look": 241}}, "from 0 to 240"),
        ({"cord-set": {"look": "NaN"}}, "can't be “NaN”"),
        ({"cord-set": 5}, "no table of minutes"),
        ("five", "no table of minutes"),
    ],
)
def test_minutes_that_are_none_are_refused_with_the_value_named(own: object, said: str) -> None:
    with pytest.raises(Refused, match=said):
        minutes_from(own)


def test_the_crews_hours_are_the_default_until_the_firm_says_its_own() -> None:
    assert crew_hours_from(None) == CREW_HOURS == 30
    assert crew_hours_from("22.5") == Decimal("22.5")
    assert crew_hours_from(40) == 40


@pytest.mark.parametrize("said", [-1, 1001, "many", "Infinity"])
def test_crew_hours_that_are_none_are_refused(said: object) -> None:
    with pytest.raises(Refused, match="from 0 to 1000"):
        crew_hours_from(said)


@pytest.mark.parametrize(
    ("minutes", "words"),
    [("0", "0 min"), ("0.5", "1 min"), ("59.4", "59 min"), ("59.5", "1 h"), ("96", "1 h 36"), ("61", "1 h 01"),
     ("120", "2 h"), ("75000", "1,250 h")],
)  # fmt: skip
def test_minutes_are_said_in_hours_from_an_hour_on(minutes: str, words: str) -> None:
    assert time_words(Decimal(minutes)) == words


@given(st.decimals(min_value=0, max_value=240, places=1))
def test_more_minutes_of_one_check_make_its_duty_longer_by_as_much(minutes: Decimal) -> None:
    before = Minutes().of(Kind.CORD_SET, Duty.FORMAL_VISUAL)
    after = minutes_from({"cord-set": {"look": str(minutes)}}).of(Kind.CORD_SET, Duty.FORMAL_VISUAL)
    assert after - before == minutes - DEFAULTS[Kind.CORD_SET][Check.LOOK]
