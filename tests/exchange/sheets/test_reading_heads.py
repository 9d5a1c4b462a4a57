"""Heads of columns with readings: understood only where every part of them is."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from register.domain.records import HALF_CYCLES, MULTIPLES
from register.domain.words import Check, TestCurrent
from register.exchange.sheets.fields import ReadingHead, spoken_head
from register.exchange.sheets.reading_heads import read_head

ONE, FIVE, HALF = Decimal(1), Decimal(5), Decimal("0.5")
TIME, RAMP = Check.TRIP_TIME, Check.TRIP_CURRENT
EARTH, INSULATION, LEAKAGE = Check.EARTH_RESISTANCE, Check.INSULATION_RESISTANCE, Check.LEAKAGE_CURRENT


@pytest.mark.parametrize(
    ("heading", "head"),
    [
        ("Outlet 2 180° 5x (ms)", ReadingHead(TIME, 2, 180, multiple=FIVE, unit="ms")),
        ("Trip 0° (ms)", ReadingHead(TIME, None, 0, multiple=ONE, unit="ms")),
        ("RCD trip time 180", ReadingHead(TIME, None, 180, multiple=ONE)),
        ("O1 1x 0", ReadingHead(TIME, 1, 0, multiple=ONE)),
        ("x5 180", ReadingHead(TIME, None, 180, multiple=FIVE)),
        ("½x 0°", ReadingHead(TIME, None, 0, multiple=HALF)),
        ("5xIΔn 180°", ReadingHead(TIME, None, 180, multiple=FIVE)),
        ("S3 trip 180 (ms)", ReadingHead(TIME, 3, 180, multiple=ONE, unit="ms")),
        ("O1 0deg", ReadingHead(TIME, 1, 0, multiple=ONE)),
        ("0°", ReadingHead(TIME, None, 0, multiple=ONE)),
        ("Earth R", ReadingHead(EARTH)),
        ("PE res. [Ohm]", ReadingHead(EARTH, unit="ohm")),
        ("Ins. R (MΩ)", ReadingHead(INSULATION, unit="Mohm")),
        ("Trip 0/180 (ms)", ReadingHead(TIME, both_halves=True, multiple=ONE, unit="ms")),
        ("Trip time (ms)", ReadingHead(TIME, multiple=ONE, unit="ms")),
        ("Trip time (s) 0°", ReadingHead(TIME, None, 0, multiple=ONE, unit="s")),
        ("Outlet 1 rising current (mA)", ReadingHead(RAMP, 1, unit="mA")),
        ("Ramp half-wave mA", ReadingHead(RAMP, test_current=TestCurrent.HALF_WAVE, unit="mA")),
        ("Earth (Ω)", ReadingHead(EARTH, unit="ohm")),
        ("Earth continuity mΩ", ReadingHead(EARTH, unit="mΩ")),
        ("Earth S2 (Ohm)", ReadingHead(EARTH, 2, unit="ohm")),
        ("Insulation (MΩ)", ReadingHead(INSULATION, unit="Mohm")),
        ("IR Mohm", ReadingHead(INSULATION, unit="Mohm")),
        ("MΩ", ReadingHead(INSULATION, unit="Mohm")),
        ("Earth leakage (mA)", ReadingHead(LEAKAGE, unit="mA")),
        ("Leakage current µA", ReadingHead(LEAKAGE, unit="µA")),
        ("Polarity outlet 4", ReadingHead(Check.POLARITY, 4)),
    ],
)
def test_a_head_says_quantity_place_and_unit(heading: str, head: ReadingHead) -> None:
    assert read_head(heading) == head


@pytest.mark.parametrize(
    "heading",
    [
        "",
        "0",
        "180",
        "mA",
        "Ω",
        "Trip 1",
        "Trip time 90°",
        "Outlet 99 0°",
        "3x 0°",
        "RCD 30mA 0°",
        "Result",
        "Earth 0°",
        "Insulation 5x",
        "Earth insulation",
        "Polarity (ms)",
        "Trip current (ms)",
        "Leakage (MΩ)",
        "Outlet 1 outlet 2 0°",
        "Trip 0° 180°",
        "Sockets",
        "No of outlets",
        "Trip time OK?",
    ],
)
def test_a_head_with_an_odd_or_contradicting_part_is_left_alone(heading: str) -> None:
    assert read_head(heading) is None


@given(
    st.integers(1, 48),
    st.sampled_from(HALF_CYCLES),
    st.sampled_from(MULTIPLES),
    st.sampled_from(
        [
            "Outlet {o} {h}° {m}x (ms)",
            "{m}x S{o} trip {h} (ms)",
            "O{o} {h}deg x{m} ms",
            "Trip time socket {o}, {m} × IΔn, {h} deg",
        ]
    ),
)
def test_the_parts_of_a_head_may_stand_in_any_order(outlet: int, half: int, multiple: Decimal, form: str) -> None:
    head = read_head(form.format(o=outlet, h=half, m=multiple))
    assert head is not None
    assert (head.check, head.outlet, head.half_cycle, head.multiple) == (TIME, outlet, half, multiple)


@given(st.text(max_size=40))
def test_any_text_is_a_head_or_none(text: str) -> None:
    head = read_head(text)
    assert head is None or spoken_head(head)


def test_a_head_is_told_in_words() -> None:
    head = read_head("Outlet 2 180° 5x (ms)")
    assert head is not None
    assert spoken_head(head) == "trip-time, outlet 2, 180°, 5×"
    assert spoken_head(ReadingHead(RAMP, test_current=TestCurrent.DC)) == "trip-current, dc"
