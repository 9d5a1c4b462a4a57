"""Which checks the bench asks for, kind by kind, and what each is held against."""

from decimal import Decimal

import pytest

from register.domain.asked import duties_of
from register.domain.items import Item, LeadSize, SafetySwitch, outlets_of
from register.domain.limits import Limit
from register.domain.look import look_points
from register.domain.records import ReadingPlan
from register.domain.words import Check, Duty, Kind, Result, SwitchType, Waveform
from register.services.bench.worksheet import Worksheet
from register.services.rulebooks import rulebook

SWITCH = SafetySwitch(Decimal(30), SwitchType.II, waveform=Waveform.A)
OPERATING, INSPECTION = Duty.OPERATING_TIME, Duty.INSPECTION_AND_TEST
TIME, CURRENT = Check.TRIP_TIME, Check.TRIP_CURRENT
EARTH, POLARITY = Check.EARTH_RESISTANCE, Check.POLARITY
INSULATION, LEAKAGE = Check.INSULATION_RESISTANCE, Check.LEAKAGE_CURRENT
EITHER = {INSULATION, LEAKAGE}


def worksheet(kind: Kind, switch: SafetySwitch | None, book: str, plan: ReadingPlan | None = None) -> Worksheet:
    item = Item(kind, outlets_of(kind, None), switch)
    rules = rulebook(book)
    whole = plan or ReadingPlan((Decimal(1), Decimal(5)), half=True, ramp=True)
    return Worksheet(item, rules, whole, duties_of(item, rules))


@pytest.mark.parametrize("book", ["au-in-service", "au-qld"])
@pytest.mark.parametrize(
    ("kind", "switch", "checks", "duties"),
    [
        (Kind.PORTABLE_SAFETY_SWITCH, SWITCH, {TIME, CURRENT, EARTH, POLARITY} | EITHER, {OPERATING, INSPECTION}),
        (Kind.FIXED_SAFETY_SWITCH, SWITCH, {TIME, CURRENT}, {OPERATING}),
        (Kind.APPLIANCE_CLASS_1, None, {EARTH} | EITHER, {INSPECTION}),
        (Kind.APPLIANCE_CLASS_2, None, EITHER, {INSPECTION}),
        (Kind.CORD_SET, None, {EARTH, POLARITY} | EITHER, {INSPECTION}),
        (Kind.EXTENSION_LEAD, None, {EARTH, POLARITY} | EITHER, {INSPECTION}),
        (Kind.PORTABLE_OUTLET_DEVICE, None, {EARTH, POLARITY} | EITHER, {INSPECTION}),
        (
            Kind.PORTABLE_OUTLET_DEVICE, SWITCH, {TIME, CURRENT, EARTH, POLARITY} | EITHER, {OPERATING, INSPECTION},
        ),
        (Kind.ISOLATING_TRANSFORMER, None, {INSULATION}, {INSPECTION}),
    ],
)  # fmt: skip
def test_each_kind_has_its_own_checks_and_always_a_look(
    kind: Kind, switch: SafetySwitch | None, checks: set[Check], duties: set[Duty], book: str
) -> None:
    sheet = worksheet(kind, switch, book)
    assert {cell.place.check for cell in sheet.cells()} == checks
    assert duties <= set(sheet.duties) <= duties | {Duty.FORMAL_VISUAL}
    assert sheet.asks_look
    assert all(isinstance(cell.limit, Limit) for cell in sheet.cells())
    points = [point.id for point in look_points(sheet.item)]
    assert len(set(points)) == len(points) > 3
    assert ("button" in points) == (switch is not None)


def test_every_kind_is_in_the_table_above() -> None:
    marks = test_each_kind_has_its_own_checks_and_always_a_look.pytestmark
    (table,) = [each.args[1] for each in marks if "kind" in each.args[0]]
    assert {row[0] for row in table} == set(Kind)


def test_the_reading_plan_decides_which_trips_are_asked_for() -> None:
    def asked(plan: ReadingPlan) -> set[tuple[Check, Decimal | None, int | None]]:
        cells = worksheet(Kind.FIXED_SAFETY_SWITCH, SWITCH, "au-in-service", plan).cells()
        return {(cell.place.check, cell.place.multiple, cell.place.half_cycle) for cell in cells}

    one, five, half = Decimal(1), Decimal(5), Decimal("0.5")
    least = {(TIME, one, 0), (TIME, one, 180)}
    assert asked(ReadingPlan()) == least
    assert asked(ReadingPlan((one, five))) == least | {(TIME, five, 0), (TIME, five, 180)}
    assert asked(ReadingPlan(half=True)) == least | {(TIME, half, 0), (TIME, half, 180)}


def test_a_lead_that_is_too_long_fails_its_look_whatever_was_ticked() -> None:
    item = Item(Kind.EXTENSION_LEAD, 1, rated_current_a=Decimal(10), lead=LeadSize(Decimal(30), Decimal(1)))
    ticked = {point.id: True for point in look_points(item)}
    sheet = Worksheet(item, rulebook("au-in-service"), ReadingPlan(), (INSPECTION,), look=ticked)
    assert sheet.look_result is Result.FAIL
    assert sheet.wrong_in_look == ("Length for its size",)
    assert sheet.length is not None
    assert "at most 25 m for 10 A and 1 mm²" in sheet.length.said
