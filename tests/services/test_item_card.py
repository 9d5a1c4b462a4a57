"""The card of an item: its plate in words, its dates with reasons, its readings over time, its records and tags."""

from datetime import date
from decimal import Decimal

import pytest

from register.domain.items import Item, SafetySwitch
from register.domain.words import Delay, Kind, Result, SwitchType, Waveform
from register.services.item_card import ItemCard, item_card, plate_words
from tests.desk import OPERATING, SOUND, Desk
from tests.domain.verdict_rules import both, insulation


def card(desk: Desk, tag: str = "RR-1", on: date = date(2026, 11, 20)) -> ItemCard:
    with desk.read() as connection:
        return item_card(connection, desk.id(tag), on)


@pytest.fixture
def switch(desk: Desk) -> Desk:
    desk.site()
    desk.item("RR-1", since=date(2024, 1, 10), area="Slipway")
    return desk


def test_the_card_says_what_the_item_is_where_and_whose(switch: Desk) -> None:
    shown = card(switch)

    assert shown.item.tag == "RR-1"
    assert (shown.item.site_name, shown.item.area, shown.owner) == ("Yard of the bay", "Slipway", "Owner of YARD")
    assert shown.plate == "30 mA, type II, no delay, waveform A"
    assert shown.strokes == 3


@pytest.mark.parametrize(
    ("item", "said"),
    [
        (Item(Kind.APPLIANCE_CLASS_1), ""),
        (Item(Kind.EXTENSION_LEAD, rated_current_a=Decimal("10.0"), outlets=1), "10 A"),
        (Item(Kind.PORTABLE_SAFETY_SWITCH, outlets=2), "rated residual current not known · 2 outlets"),
        (
            Item(Kind.FIXED_SAFETY_SWITCH, safety_switch=SafetySwitch(Decimal(100), SwitchType.IEC, Delay.SELECTIVE)),
            "100 mA, IEC type, selective",
        ),
        (
            Item(Kind.PORTABLE_OUTLET_DEVICE, 4, SafetySwitch(Decimal(30), waveform=Waveform.AC)),
            "30 mA, type not known, no delay, waveform AC · 4 outlets",
        ),
    ],
)
def test_the_plate_is_said_in_one_line(item: Item, said: str) -> None:
    assert plate_words(item) == said


def test_each_date_has_its_reasons_apart_from_the_rule_behind_it(switch: Desk) -> None:
    switch.test("RR-1", date(2026, 8, 3))

    for duty in card(switch).duties:
        assert duty.because
        assert duty.rule
        assert duty.because + duty.rule == duty.answer.why
        assert "rulebook" in duty.rule[0]


def test_records_are_the_newest_first_with_their_worst_reading(switch: Desk) -> None:
    switch.test("RR-1", date(2025, 2, 3), readings=(*SOUND, *both("24")))
    switch.test("RR-1", date(2026, 2, 3), readings=(*SOUND, *both("512")))
    switch.test("RR-1", date(2024, 2, 3), duties=(OPERATING,), readings=both("21"))

    found = [(record.tested_on.year, record.verdict, record.worst) for record in card(switch).records]

    assert found == [
        (2026, Result.FAIL, "slowest 512 ms"),
        (2025, Result.PASS, "slowest 24 ms"),
        (2024, Result.PASS, "slowest 21 ms"),
    ]


def test_a_quantity_is_followed_over_time_with_the_limit_it_was_held_against(switch: Desk) -> None:
    switch.test("RR-1", date(2025, 2, 3), readings=(*SOUND, *both("24")))
    switch.test("RR-1", date(2026, 2, 3), readings=(*SOUND, *both("31.5")))

    trip = card(switch).histories[0]

    assert trip.title == "Slowest trip time at 1×"
    assert [(point.on.year, point.words, point.limit) for point in trip.points] == [
        (2025, "24 ms", Decimal(300)),
        (2026, "31.5 ms", Decimal(300)),
    ]
    assert trip.readings == 2
    assert [each.title for each in card(switch).histories[1:]] == [
        "Highest earth resistance",
        "Lowest insulation resistance",
    ]


def test_the_lowest_insulation_is_the_worst(switch: Desk) -> None:
    readings = (*[one for one in SOUND if one.check.value != "insulation-resistance"], insulation("2.5"), *both("24"))
    switch.test("RR-1", date(2026, 2, 3), readings=readings)

    history = card(switch).histories[-1]

    assert history.low_is_worse
    assert (history.points[0].value, history.points[0].limit) == (Decimal("2.5"), Decimal(1))


def test_a_switch_that_held_is_slower_than_any_time(switch: Desk) -> None:
    at_0, at_180 = both("24")[0], both("no trip")[1]
    switch.test("RR-1", date(2026, 2, 3), readings=(*SOUND, at_0, at_180))

    point = card(switch).histories[0].points[0]

    assert (point.value, point.words, point.result) == (None, "no trip", Result.FAIL)


def test_a_withdrawn_item_names_the_reading_the_tag_and_what_brings_it_back(switch: Desk) -> None:
    switch.test("RR-1", date(2026, 11, 20), readings=(*SOUND, *both("512")))
    out = card(switch).withdrawal

    assert out is not None
    assert "512 ms is above the limit of 300 ms" in out.why
    assert out.needed == ("inspection and test", "operating-time test")


def test_present_tags_come_before_earlier_ones(desk: Desk) -> None:
    desk.site()
    desk.item("NEW-7", earlier_tags=("OLD-7",), since=date(2026, 5, 1))

    assert [(tag.number, tag.until) for tag in card(desk, "NEW-7").tags] == [
        ("NEW-7", None),
        ("OLD-7", date(2026, 5, 1)),
    ]
