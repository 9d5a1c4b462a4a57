"""One reading against its limit: on it, just under and just over, with every bound, and the sentence that says so."""

from decimal import Decimal

import pytest

from register.domain.asked import what_is_asked
from register.domain.items import Item
from register.domain.limits import Limit, cite, compare, limit_for
from register.domain.measures import read_measure
from register.domain.records import Finding, Reading, ReadingPlan
from register.domain.rulebook import Confidence, Edition, Other, Source
from register.domain.words import Check, Kind, Result, TestCurrent, Unit
from tests.domain.verdict_rules import (
    OPERATING,
    RULES,
    appliance,
    earth,
    insulation,
    leakage,
    limit,
    plate,
    polarity,
    ramp,
    switch,
    tripped,
    verdict_on,
)

TYPE_I = switch(1, plate("10", "I"))
TYPE_II = switch()
TYPE_IV = switch(1, plate("100", "IV"))
IEC = switch(1, plate("10", "iec"))
IEC_S = switch(1, plate("100", "iec", selective=True))
CLASS_1 = appliance()
CLASS_2 = appliance(Kind.APPLIANCE_CLASS_2)


def finding_of(reading: Reading, item: Item) -> Finding:
    (finding,) = (each for each in verdict_on([reading], item).findings if each.place.check is not Check.LOOK)
    return finding


@pytest.mark.parametrize(
    ("reading", "item", "result"),
    [
        # trip time at 1×, by declared type
        *((tripped(value), TYPE_I, result) for value, result in [("39.9", "pass"), ("40", "pass"), ("40.1", "fail")]),
        *(
            (tripped(value), TYPE_II, result)
            for value, result in [("299.9", "pass"), ("300", "pass"), ("300.1", "fail")]
        ),
        *((tripped(value), IEC, result) for value, result in [("40.1", "pass"), ("300", "pass"), ("301", "fail")]),
        *(
            (tripped(value), item, result)
            for item in (TYPE_IV, IEC_S)
            for value, result in [("129.9", "fail"), ("130", "pass"), ("500", "pass"), ("500.1", "fail")]
        ),
        # beyond 1×
        *((tripped(value, multiple="2"), TYPE_II, result) for value, result in [("150", "pass"), ("150.1", "fail")]),
        *((tripped(value, multiple="5"), TYPE_II, result) for value, result in [("40", "pass"), ("40.1", "fail")]),
        *(
            (tripped(value, multiple="2"), IEC_S, result)
            for value, result in [("59.9", "fail"), ("60", "pass"), ("200", "pass"), ("200.1", "fail")]
        ),
        *(
            (tripped(value, multiple="5"), IEC_S, result)
            for value, result in [("49.9", "fail"), ("50", "pass"), ("150", "pass"), ("150.1", "fail")]
        ),
        # at half the rated residual current it must hold
        *(
            (tripped(value, multiple="0.5"), TYPE_II, result)
            for value, result in [("no trip", "pass"), ("250", "fail"), ("<40", "fail"), (">300", "incomplete")]
        ),
        # bounds
        (tripped(">300"), TYPE_II, "fail"),
        (tripped(">301"), TYPE_II, "fail"),
        (tripped(">299"), TYPE_II, "incomplete"),
        (tripped("<300"), TYPE_II, "pass"),
        (tripped("<40"), TYPE_II, "pass"),
        (tripped("<301"), TYPE_II, "incomplete"),
        (tripped("<40"), IEC_S, "fail"),
        (tripped("<130"), IEC_S, "fail"),
        (tripped("<131"), IEC_S, "incomplete"),
        (tripped(">130"), IEC_S, "incomplete"),
        (tripped(">500"), IEC_S, "fail"),
        (tripped("no trip"), TYPE_II, "fail"),
        (tripped("no trip", multiple="2"), TYPE_II, "fail"),
        (tripped("no trip", multiple="5"), TYPE_II, "fail"),
        (tripped("no reading"), TYPE_II, "incomplete"),
        (tripped("no reading", multiple="0.5"), TYPE_II, "incomplete"),
        # the rising current, by the waveform that the tester sends
        *(
            (ramp(value, TestCurrent.AC), TYPE_II, result)
            for value, result in [("15", "fail"), ("15.01", "pass"), ("30", "pass"), ("30.01", "fail")]
        ),
        (ramp("12"), TYPE_II, "fail"),
        (ramp("no trip"), TYPE_II, "fail"),
        (ramp("no reading"), TYPE_II, "incomplete"),
        *(
            (ramp(value, TestCurrent.HALF_WAVE), TYPE_II, result)
            for value, result in [("10.49", "fail"), ("10.5", "pass"), ("42", "pass"), ("42.01", "fail")]
        ),
        *(
            (ramp(value, TestCurrent.HALF_WAVE), IEC, result)
            for value, result in [("3.49", "fail"), ("3.5", "pass"), ("20", "pass"), ("20.01", "fail")]
        ),
        # appliances
        *(
            (earth(value), CLASS_1, result)
            for value, result in [("0.999", "pass"), ("1.00", "pass"), ("1.001", "fail")]
        ),
        (earth("<0.01"), CLASS_1, "pass"),
        (earth(">1"), CLASS_1, "fail"),
        (earth(">0.5"), CLASS_1, "incomplete"),
        *((insulation(value), CLASS_1, r) for value, r in [("0.999", "fail"), ("1", "pass"), ("1.001", "pass")]),
        (insulation(">19.99"), CLASS_1, "pass"),
        (insulation(">1"), CLASS_1, "pass"),
        (insulation(">0.5"), CLASS_1, "incomplete"),
        (insulation("<1"), CLASS_1, "fail"),
        (insulation("<2"), CLASS_1, "incomplete"),
        (insulation("0"), CLASS_1, "fail"),
        *((leakage(value), CLASS_1, result) for value, result in [("4.999", "pass"), ("5", "pass"), ("5.001", "fail")]),
        *((leakage(value), CLASS_2, result) for value, result in [("0.999", "pass"), ("1", "pass"), ("1.001", "fail")]),
        (leakage("<0.10"), CLASS_2, "pass"),
        (polarity("right"), CLASS_1, "pass"),
        (polarity("wrong"), CLASS_1, "fail"),
    ],
    ids=str,
)
def test_each_limit_says_whether_its_own_edge_passes(reading: Reading, item: Item, result: str) -> None:
    finding = finding_of(reading, item)
    assert finding.result == result
    assert finding.measure == reading.measure


@pytest.mark.parametrize(
    ("reading", "item", "words", "why"),
    [
        (
            tripped("310", 1, 180),
            TYPE_II,
            "at most 300 ms",
            "Outlet 1 at 180°, 1×: 310 ms is above the limit of 300 ms (Standard 1:2020, Table A, restated second",
        ),
        (tripped(">300"), TYPE_II, "at most 300 ms", ">300 ms is above the limit of 300 ms"),
        (tripped("28.40"), TYPE_II, "at most 300 ms", "28.40 ms is within the limit of 300 ms"),
        (
            tripped("120"),
            TYPE_IV,
            "at least 130 ms, at most 500 ms",
            "120 ms is below the least of 130 ms (Standard 1:2020, Table B, from memory).",
        ),
        (tripped("131"), TYPE_IV, "at least 130 ms, at most 500 ms", "is within the limits: at least 130 ms, at most"),
        (tripped("no trip"), TYPE_II, "at most 300 ms", "the switch did not trip; it must, in at most 300 ms"),
        (
            tripped("250", multiple="0.5"),
            TYPE_II,
            "must not trip",
            "Outlet 1 at 0°, 0.5× (15 mA): it tripped (250 ms), but must not trip",
        ),
        (tripped("no trip", multiple="0.5"), TYPE_II, "must not trip", "no trip, as it must be"),
        (tripped(">300", multiple="0.5"), TYPE_II, "must not trip", ">300 ms does not say whether it held."),
        (tripped("41", multiple="5"), TYPE_II, "at most 40 ms", "Outlet 1 at 0°, 5× (150 mA): 41 ms is above"),
        (
            tripped("no reading"),
            TYPE_II,
            "at most 300 ms",
            "no reading. Try the other set-up, and enter what it gives.",
        ),
        (
            tripped(">200"),
            TYPE_II,
            "at most 300 ms",
            ">200 ms does not decide it: the limit is at most 300 ms, and the instrument's range ended before it.",
        ),
        (
            ramp("14.9"),
            TYPE_II,
            "more than 15 mA, at most 30 mA",
            "Outlet 1, rising a.c. current: 14.9 mA is below the least of 15 mA",
        ),
        (ramp("15"), TYPE_II, "more than 15 mA, at most 30 mA", "15 mA is not more than 15 mA"),
        (ramp("no trip"), TYPE_II, "more than 15 mA, at most 30 mA", "it must, at more than 15 mA, at most 30 mA"),
        (
            ramp("12", TestCurrent.HALF_WAVE),
            TYPE_II,
            "at least 10.5 mA, at most 42 mA",
            "Outlet 1, rising half-wave current: 12 mA is within the limits",
        ),
        (earth("1.01"), CLASS_1, "at most 1 Ω", "Earth resistance: 1.01 Ω is above the limit of 1 Ω"),
        (insulation(">19.99"), CLASS_1, "at least 1 MΩ", ">19.99 MΩ is within the limit of 1 MΩ"),
        (polarity("right"), CLASS_1, "right", "Polarity: right (Standard"),
        (polarity("wrong"), CLASS_1, "right", "Polarity: wrong, but must be right"),
    ],
)
def test_a_finding_names_place_value_limit_and_source(reading: Reading, item: Item, words: str, why: str) -> None:
    finding = finding_of(reading, item)
    assert finding.limit == words
    assert why in finding.why


@pytest.mark.parametrize(
    ("reading", "item", "least", "most"),
    [
        (tripped("28"), TYPE_II, None, Decimal(300)),
        (tripped("200"), TYPE_IV, Decimal(130), Decimal(500)),
        (ramp("20"), TYPE_II, Decimal(15), Decimal(30)),
        (insulation("5"), CLASS_1, Decimal(1), None),
        (tripped("no trip", multiple="0.5"), TYPE_II, None, None),
    ],
)
def test_a_finding_keeps_its_limit_as_numbers_too(
    reading: Reading, item: Item, least: Decimal | None, most: Decimal | None
) -> None:
    finding = finding_of(reading, item)
    assert (finding.least, finding.most) == (least, most)


def test_a_place_that_is_still_to_be_measured_has_its_limit_already() -> None:
    asked = what_is_asked(OPERATING, TYPE_II, RULES, ReadingPlan(ramp=True))
    limits = [limit_for(each.place, TYPE_II, RULES) for each in asked if each.place.check is not Check.LOOK]
    assert [each.words for each in limits if isinstance(each, Limit)] == [
        "at most 300 ms",
        "at most 300 ms",
        "more than 15 mA, at most 30 mA",
        "more than 15 mA, at most 30 mA",
    ]


def test_an_upper_edge_that_does_not_pass_is_said_to_be_so() -> None:
    line = limit(Check.LEAKAGE_CURRENT, Unit.MILLIAMPERE, at_most="5", at_most_passes=False)
    made = Limit(line, line.at_least, line.at_most)
    assert made.words == "less than 5 mA"
    assert compare(read_measure(Check.LEAKAGE_CURRENT, "5"), made) is Result.FAIL
    assert compare(read_measure(Check.LEAKAGE_CURRENT, "<5"), made) is Result.PASS
    assert compare(read_measure(Check.LEAKAGE_CURRENT, ">5"), made) is Result.FAIL


@pytest.mark.parametrize(
    ("text", "confidence", "others", "cited"),
    [
        ("Table 4", Confidence.READ, (), "Standard 7, Table 4"),
        ("Standard 7 Table 4", Confidence.RESTATED, (), "Standard 7 Table 4, restated second-hand"),
        ("Table 4", Confidence.MEMORY, (), "Standard 7, Table 4, from memory"),
        (
            "Table 4",
            Confidence.DISPUTED,
            (Other("30 ms", "a code"),),
            "Standard 7, Table 4, sources differ; 30 ms in a code",
        ),
    ],
)
def test_a_source_is_cited_with_edition_standing_and_what_others_say(
    text: str, confidence: Confidence, others: tuple[Other, ...], cited: str
) -> None:
    assert cite(Source(text, Edition("7", "Standard 7"), confidence), others) == cited
