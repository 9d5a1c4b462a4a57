"""What the rating plate of a safety switch decides, and what happens where it can't be read or contradicts itself."""

from dataclasses import replace
from decimal import Decimal

import pytest

from register.domain.items import Item, SafetySwitch
from register.domain.plate import current_sent_ma
from register.domain.verdict import judge
from register.domain.words import Check, Kind, Result, SwitchType, TestCurrent, Unit, Waveform
from tests.domain.verdict_rules import PLAN, RULES, both, limit, plate, ramp, record, switch, tripped, verdict_on


@pytest.mark.parametrize(
    ("safety_switch", "sentence"),
    [
        (plate(None), "The switch's rated residual current is not known, and the limit goes by it: read the rating"),
        (plate("30", None), "The switch's type (I, II, III, IV or IEC) is not known"),
        (
            plate("100", "II"),
            "Type II of AS/NZS 3190 is above 10 mA and up to 30 mA, but the plate is recorded as 100 mA",
        ),
        (plate("10", "II"), "but the plate is recorded as 10 mA"),
        (plate("30", "I"), "Type I of AS/NZS 3190 is up to 10 mA, but the plate is recorded as 30 mA."),
        (plate("30", "III"), "Type III of AS/NZS 3190 is above 30 mA and up to 300 mA"),
        (plate("500", "IV"), "Type IV of AS/NZS 3190 is above 30 mA and up to 300 mA"),
        (
            plate("10", "I", selective=True),
            "Type I of AS/NZS 3190 has no delay, but the switch is recorded as selective.",
        ),
        (plate("30", "II", selective=True), "Type II of AS/NZS 3190 has no delay"),
        (plate("100", "III", selective=True), "Type III of AS/NZS 3190 has no delay"),
        (plate("30", "iec", selective=True), "A selective switch is made above 30 mA (IEC 61008-1), but the plate is"),
    ],
)
def test_a_plate_that_does_not_settle_the_limit_leaves_the_record_incomplete(
    safety_switch: SafetySwitch, sentence: str
) -> None:
    judgement = verdict_on(both("28"), switch(1, safety_switch))
    assert judgement.verdict is Result.INCOMPLETE
    assert judgement.missing == ()
    assert sentence in judgement.why
    assert judgement.findings[1].limit == ""


def test_a_switch_of_which_no_plate_was_recorded_leaves_it_incomplete() -> None:
    judgement = verdict_on(both("28"), Item(Kind.PORTABLE_SAFETY_SWITCH, 1))
    assert judgement.verdict is Result.INCOMPLETE
    assert "rated residual current is not known" in judgement.why


@pytest.mark.parametrize(
    ("safety_switch", "reading"),
    [
        (plate("10", "I"), "40"),
        (plate("30", "II"), "300"),
        (plate("100", "III"), "300"),
        (plate("300", "IV"), "400"),
        (plate("300", "IV", selective=True), "400"),
        (plate("10", "iec"), "250"),
        (plate("30", "iec"), "300"),
        (plate("100", "iec", selective=True), "400"),
    ],
)
def test_the_declared_type_and_delay_decide_never_the_current_alone(safety_switch: SafetySwitch, reading: str) -> None:
    assert verdict_on(both(reading), switch(1, safety_switch)).verdict is Result.PASS


@pytest.mark.parametrize("multiple", ["2", "5", "0.5"])
def test_limits_for_every_type_need_no_type(multiple: str) -> None:
    value = "no trip" if multiple == "0.5" else "20"
    judgement = verdict_on([*both("28"), tripped(value, multiple=multiple)], switch(1, plate("30", None)))
    assert [each.result for each in judgement.findings if each.place.multiple == Decimal(multiple)] == [Result.PASS]


def test_a_switch_of_unknown_type_that_does_not_trip_has_failed() -> None:
    judgement = verdict_on(both("no trip"), switch(1, plate("30", None)))
    assert judgement.verdict is Result.FAIL
    assert judgement.why.startswith("Outlet 1 at 0°, 1×: no trip. Of whatever type, a safety switch must trip there")


def test_one_of_unknown_rating_has_not() -> None:
    assert verdict_on(both("no trip"), switch(1, plate(None))).verdict is Result.INCOMPLETE


def test_a_half_wave_needs_the_waveform_on_the_plate() -> None:
    judgement = verdict_on([*both("28"), ramp("12", TestCurrent.HALF_WAVE)], switch(1, plate(waveform=None)))
    assert judgement.verdict is Result.INCOMPLETE
    assert "The switch's waveform (AC, A, F or B) is not known" in judgement.why


def test_a_ramp_on_ac_needs_no_waveform() -> None:
    assert verdict_on([*both("28"), ramp("20")], switch(1, plate(waveform=None))).verdict is Result.PASS


@pytest.mark.parametrize(
    ("waveform", "current"), [("AC", TestCurrent.HALF_WAVE), ("A", TestCurrent.DC), ("F", TestCurrent.DC)]
)
def test_no_trip_on_a_current_that_the_switch_is_not_made_to_see_is_no_fail(
    waveform: str, current: TestCurrent
) -> None:
    judgement = verdict_on([*both("28"), ramp("no trip", current)], switch(1, plate(waveform=waveform)))
    assert judgement.verdict is Result.PASS
    assert f"A switch for {waveform} currents is not made to trip on" in judgement.notes[0]


def test_a_limit_that_goes_by_the_waveform_is_not_guessed_without_it() -> None:
    by_waveform = limit(
        Check.TRIP_TIME, Unit.MILLISECOND, multiple="1", at_most="300", waveforms=frozenset({Waveform.A})
    )  # fmt: skip
    rules = replace(RULES, limits=(by_waveform,))
    assert judge(record(both("28")), switch(), rules, PLAN).verdict is Result.PASS
    judgement = judge(record(both("28")), switch(1, plate(waveform=None)), rules, PLAN)
    assert judgement.verdict is Result.INCOMPLETE
    assert "waveform" in judgement.why
    other = judge(record(both("28")), switch(1, plate(waveform="B")), rules, PLAN)
    assert "has no limit for such a trip time" in other.why


def test_a_type_outside_its_lines_range_has_no_limit_there() -> None:
    judgement = verdict_on([*both("28"), ramp("3", TestCurrent.HALF_WAVE)], switch(1, plate(waveform="B")))
    assert judgement.verdict is Result.PASS
    assert "was not judged" in judgement.notes[0]


@pytest.mark.parametrize(("rated", "multiple", "sent"), [("30", "5", "150"), ("30", "2", "60"), ("30", "0.5", "15")])
def test_the_current_sent_is_a_multiple_of_the_rated_residual_current(rated: str, multiple: str, sent: str) -> None:
    assert current_sent_ma(Decimal(rated), Decimal(multiple)) == Decimal(sent)


def test_every_type_has_a_plate_that_holds_together() -> None:
    plates = {"I": "10", "II": "30", "III": "300", "IV": "300", "iec": "30"}
    assert set(plates) == {each.value for each in SwitchType}
    for type_, rated in plates.items():
        assert verdict_on(both("39" if type_ != "IV" else "139"), switch(1, plate(rated, type_))).verdict is Result.PASS
