"""What counts as a reading, in which unit it is kept, and what is refused with which sentence."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from register.domain.measures import RIGHT, WRONG, Measure, measure, plain_number, read_measure
from register.domain.words import Bound, Check, Unit
from register.errors import Refused


@pytest.mark.parametrize(
    ("check", "text", "unit", "expected"),
    [
        (Check.TRIP_TIME, "28.4", None, "28.4 ms"),
        (Check.TRIP_TIME, "28,4", None, "28.4 ms"),
        (Check.TRIP_TIME, " 28.40 ms ", None, "28.40 ms"),
        (Check.TRIP_TIME, "0.0284", "s", "28.4000 ms"),
        (Check.TRIP_TIME, "28.4 ms", "s", "28.4 ms"),
        (Check.TRIP_TIME, ">300", None, ">300 ms"),
        (Check.TRIP_TIME, "> 300ms", None, ">300 ms"),
        (Check.TRIP_TIME, "≥300", None, ">300 ms"),
        (Check.TRIP_TIME, "=28", None, "28 ms"),
        (Check.TRIP_TIME, "1.2e2", None, "120 ms"),
        (Check.TRIP_TIME, ".5", None, "0.5 ms"),
        (Check.TRIP_TIME, "0,125", "s", "125.000 ms"),
        (Check.TRIP_TIME, "10000", None, "10000 ms"),
        (Check.TRIP_TIME, "No  Trip", None, "no trip"),
        (Check.TRIP_TIME, "---", None, "no reading"),
        (Check.TRIP_CURRENT, "21.5 mA", None, "21.5 mA"),
        (Check.TRIP_CURRENT, "no trip", None, "no trip"),
        (Check.EARTH_RESISTANCE, "0.12", "\u2126", "0.12 Ω"),
        (Check.EARTH_RESISTANCE, "120 mΩ", None, "0.120 Ω"),
        (Check.EARTH_RESISTANCE, "0.1 kΩ", None, "100.0 Ω"),
        (Check.EARTH_RESISTANCE, "-0.00", None, "0.00 Ω"),
        (Check.INSULATION_RESISTANCE, ">19.99 MΩ", None, ">19.99 MΩ"),
        (Check.INSULATION_RESISTANCE, "200 M", None, "200 MΩ"),
        (Check.INSULATION_RESISTANCE, ">200M", None, ">200 MΩ"),
        (Check.INSULATION_RESISTANCE, "1 GΩ", None, "1000 MΩ"),
        (Check.INSULATION_RESISTANCE, "500", "kohm", "0.500 MΩ"),
        (Check.LEAKAGE_CURRENT, "≤0.10", "mA", "<0.10 mA"),
        (Check.LEAKAGE_CURRENT, "250 µA", None, "0.250 mA"),
        (Check.LEAKAGE_CURRENT, "250 μA", None, "0.250 mA"),
        (Check.LEAKAGE_CURRENT, "0", None, "0 mA"),
        (Check.POLARITY, "OK", None, "right"),
        (Check.POLARITY, "reversed", None, "wrong"),
        (Check.POLARITY, "n/r", None, "no reading"),
    ],
)
def test_a_reading_is_kept_in_its_quantitys_own_unit_exactly_as_written(
    check: Check, text: str, unit: str | None, expected: str
) -> None:
    assert str(read_measure(check, text, unit)) == expected


@pytest.mark.parametrize(
    ("check", "text", "unit", "sentence"),
    [
        (Check.TRIP_TIME, "abc", None, "“abc” is not a reading of trip time: give a number, such as 28.4."),
        (Check.TRIP_TIME, "", None, "is not a reading of trip time"),
        (Check.TRIP_TIME, "2 8", None, "is not a reading"),
        (Check.TRIP_TIME, "٢٨", None, "is not a reading"),
        (Check.TRIP_TIME, "28.4 mA", None, "A reading of trip time is in ms, not in “mA”. Check the column"),
        (Check.TRIP_TIME, "-5", None, "Trip time -5 ms is negative. Check the reading"),
        (Check.TRIP_TIME, "0", None, "Trip time 0 ms is not possible. Write “no trip” or “no reading” instead."),
        (Check.TRIP_TIME, "1e9", None, "beyond any instrument of the trade (10,000 ms)"),
        (Check.TRIP_TIME, "10001", None, "Trip time 10001 ms is beyond"),
        (Check.TRIP_TIME, "12", "s", "Trip time 12000 ms is beyond"),
        (Check.TRIP_TIME, "1e99", None, "00000… ms is beyond any instrument"),
        (Check.TRIP_TIME, "1e999", None, "is not a reading"),
        (Check.TRIP_TIME, "1,200", None, "“1,200” can be read two ways: write 1.200 or 1200."),
        (Check.TRIP_TIME, "28.3999999999999", None, "more decimals than any instrument prints"),
        (Check.TRIP_TIME, "300.00000000000000000000000000000001", None, "is not a reading"),
        (Check.TRIP_CURRENT, "0.0", None, "is not possible"),
        (Check.EARTH_RESISTANCE, "0.1 MΩ", None, "A reading of earth resistance is in Ω, not in “MΩ”."),
        (Check.EARTH_RESISTANCE, "no trip", None, "is not a reading of earth resistance"),
        (Check.INSULATION_RESISTANCE, "5 mA", None, "is in MΩ, not in “mA”"),
        (Check.POLARITY, "sideways", None, "Polarity “sideways” is neither right nor wrong."),
        (Check.POLARITY, "x" * 90, None, "x…” is neither right nor wrong"),
    ],
)
def test_what_is_not_a_reading_is_refused_with_a_sentence(
    check: Check, text: str, unit: str | None, sentence: str
) -> None:
    with pytest.raises(Refused) as refusal:
        read_measure(check, text, unit)
    assert sentence in str(refusal.value)
    assert len(str(refusal.value)) < 200


@pytest.mark.parametrize(
    ("check", "value", "unit", "bound", "expected"),
    [
        (Check.TRIP_TIME, "28.4", "ms", "=", Measure(Decimal("28.4"), Unit.MILLISECOND)),
        (Check.TRIP_TIME, "300", None, ">", Measure(Decimal(300), Unit.MILLISECOND, Bound.ABOVE)),
        (Check.TRIP_TIME, "", "", "no-trip", Measure(None, Unit.MILLISECOND, Bound.NO_TRIP)),
        (Check.INSULATION_RESISTANCE, "", None, "no-reading", Measure(None, Unit.MEGOHM, Bound.NO_READING)),
        (Check.LEAKAGE_CURRENT, "0.10", "mA", "<", Measure(Decimal("0.10"), Unit.MILLIAMPERE, Bound.BELOW)),
        (Check.POLARITY, "right", "", "=", Measure(None, Unit.NONE, word=RIGHT)),
        (Check.POLARITY, "wrong", None, "=", Measure(None, Unit.NONE, word=WRONG)),
    ],
)
def test_a_reading_in_parts_becomes_a_measure(
    check: Check, value: str, unit: str | None, bound: str, expected: Measure
) -> None:
    assert measure(check, value, unit, bound) == expected


@pytest.mark.parametrize(
    ("check", "value", "unit", "bound", "sentence"),
    [
        (Check.TRIP_TIME, "28", None, "≈", "The bound “≈” of a reading of trip time is not one of =, <, >, no-trip"),
        (Check.TRIP_TIME, "28", None, "no-trip", "says both “no-trip” and “28”. Leave one of them out."),
        (Check.EARTH_RESISTANCE, "", None, "no-trip", "“No trip” says nothing of earth resistance"),
        (Check.POLARITY, "right", None, "<", "Polarity is right or wrong, never “<”."),
        (Check.POLARITY, "right", "ms", "=", "Polarity has no unit: leave out “ms”."),
        (Check.TRIP_TIME, ">300", None, "=", "“>300” is not a reading of trip time"),
        (Check.TRIP_TIME, "1_000", None, "=", "is not a reading"),
        (Check.TRIP_TIME, "NaN", None, "=", "is not a reading"),
    ],
)
def test_parts_that_contradict_each_other_are_refused(
    check: Check, value: str, unit: str | None, bound: str, sentence: str
) -> None:
    with pytest.raises(Refused) as refusal:
        measure(check, value, unit, bound)
    assert sentence in str(refusal.value)


@pytest.mark.parametrize(
    ("text", "plain"),
    [("28.40", "28.40"), (">300", "300"), ("no trip", ""), ("no reading", "")],
)
def test_the_plain_form_is_the_bare_value(text: str, plain: str) -> None:
    assert read_measure(Check.TRIP_TIME, text).plain == plain


def test_the_plain_form_of_polarity_is_its_word() -> None:
    assert read_measure(Check.POLARITY, "ok").plain == "right"


@pytest.mark.parametrize(("value", "shown"), [("10.50", "10.5"), ("300", "300"), ("3E+2", "300"), ("0.0", "0")])
def test_a_number_in_a_sentence_has_no_needless_zeros(value: str, shown: str) -> None:
    assert plain_number(Decimal(value)) == shown


@given(st.decimals(min_value="0.001", max_value=10_000, places=3), st.sampled_from(["", "<", ">"]))
def test_what_is_printed_is_read_back_unchanged(value: Decimal, bound: str) -> None:
    first = read_measure(Check.TRIP_TIME, f"{bound}{value}")
    assert read_measure(Check.TRIP_TIME, str(first)) == first
    assert measure(Check.TRIP_TIME, first.plain, first.unit.value, first.bound.value) == first
    assert first.value == value
