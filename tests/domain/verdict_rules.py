"""A small rulebook made by hand, and short ways to write items, readings and records, for the tests of the verdict."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from register.domain.items import Item as DomainItem
from register.domain.items import SafetySwitch
from register.domain.measures import measure, read_measure
from register.domain.records import Judgement, Reading, ReadingPlan, TestRecord
from register.domain.rulebook import (
    ChecklistLine,
    Confidence,
    Edition,
    LimitLine,
    Rulebook,
    RulebookScope,
    Source,
)
from register.domain.verdict import judge
from register.domain.words import Check, Delay, Duty, Kind, Result, SwitchType, TestCurrent, Unit, Waveform

STANDARD = Edition("standard-1", "Standard 1:2020")
MADE_UP = Source("Table A", STANDARD, Confidence.RESTATED)
FROM_MEMORY = Source("Table B", STANDARD, Confidence.MEMORY)

SWITCHES = frozenset({Kind.PORTABLE_SAFETY_SWITCH, Kind.FIXED_SAFETY_SWITCH})
EARTHED = frozenset(Kind) - {Kind.APPLIANCE_CLASS_2, Kind.FIXED_SAFETY_SWITCH}
WITH_POLARITY = EARTHED - {Kind.APPLIANCE_CLASS_1}
INSULATION_OR_LEAKAGE = (Check.INSULATION_RESISTANCE, Check.LEAKAGE_CURRENT)


def limit(check: Check, unit: Unit, **rest: Any) -> LimitLine:  # noqa: ANN401 - whatever the line has
    """Return one limit line. Numbers may be written as text."""
    numbers = {"multiple", "rated_above", "rated_up_to", "at_least", "at_most"}
    values = {name: Decimal(value) if name in numbers else value for name, value in rest.items()}
    return LimitLine(f"limit.{check.value}", check, unit, values.pop("source", MADE_UP), **values)


def trip(multiple: str, *, most: str, types: str = "", **rest: Any) -> LimitLine:  # noqa: ANN401 - whatever the line has
    """Return a limit of trip time; `types` as in "I II"."""
    declared = frozenset(SwitchType(each) for each in types.split())
    return limit(Check.TRIP_TIME, Unit.MILLISECOND, multiple=multiple, at_most=most, types=declared, **rest)


GENERAL = frozenset({Delay.GENERAL})
SELECTIVE = frozenset({Delay.SELECTIVE})

LIMITS = (
    limit(Check.EARTH_RESISTANCE, Unit.OHM, at_most="1"),
    limit(Check.INSULATION_RESISTANCE, Unit.MEGOHM, at_least="1"),
    limit(Check.LEAKAGE_CURRENT, Unit.MILLIAMPERE, at_most="5", kinds=frozenset(Kind) - {Kind.APPLIANCE_CLASS_2}),
    limit(Check.LEAKAGE_CURRENT, Unit.MILLIAMPERE, at_most="1", kinds=frozenset({Kind.APPLIANCE_CLASS_2})),
    limit(Check.POLARITY, Unit.NONE),
    trip("1", types="I", most="40", kinds=SWITCHES),
    trip("1", types="II III", most="300", kinds=SWITCHES),
    trip("1", types="IV", at_least="130", most="500", kinds=SWITCHES, source=FROM_MEMORY),
    trip("1", types="iec", delays=GENERAL, most="300", kinds=SWITCHES),
    trip("1", types="iec", delays=SELECTIVE, at_least="130", most="500", kinds=SWITCHES),
    trip("2", delays=GENERAL, most="150"),
    trip("2", delays=SELECTIVE, at_least="60", most="200"),
    trip("5", delays=GENERAL, most="40"),
    trip("5", delays=SELECTIVE, at_least="50", most="150"),
    limit(Check.TRIP_TIME, Unit.MILLISECOND, multiple="0.5", must_hold=True),
    limit(
        Check.TRIP_CURRENT, Unit.MILLIAMPERE, test_current=TestCurrent.AC, at_least="0.5", at_least_passes=False,
        at_most="1", of_rated=True,
    ),
    limit(
        Check.TRIP_CURRENT, Unit.MILLIAMPERE, test_current=TestCurrent.HALF_WAVE, at_least="0.35", at_most="1.4",
        of_rated=True, rated_above="10", waveforms=frozenset({Waveform.A, Waveform.F}),
    ),
    limit(
        Check.TRIP_CURRENT, Unit.MILLIAMPERE, test_current=TestCurrent.HALF_WAVE, at_least="0.35", at_most="2",
        of_rated=True, rated_up_to="10", waveforms=frozenset({Waveform.A, Waveform.F}),
    ),
)  # fmt: skip

CHECKLISTS = (
    ChecklistLine(Duty.INSPECTION_AND_TEST, frozenset(Kind), MADE_UP, per_item=((Check.LOOK,), INSULATION_OR_LEAKAGE)),
    ChecklistLine(Duty.INSPECTION_AND_TEST, EARTHED, MADE_UP, per_outlet=((Check.EARTH_RESISTANCE,),)),
    ChecklistLine(Duty.INSPECTION_AND_TEST, WITH_POLARITY, MADE_UP, per_outlet=((Check.POLARITY,),)),
    ChecklistLine(
        Duty.OPERATING_TIME, SWITCHES, MADE_UP, per_item=((Check.LOOK,),), switch_multiples=(Decimal(1),)
    ),
)  # fmt: skip

RULES = Rulebook(
    id="made-up",
    title="Made-up rules",
    version="1",
    about="",
    environments={},
    editions={STANDARD.id: STANDARD},
    intervals=(),
    checklists=CHECKLISTS,
    limits=LIMITS,
    scope=RulebookScope(max_rated_current_a=Decimal(20), source="Section 1"),
)

PLAN = ReadingPlan()
OPERATING = (Duty.OPERATING_TIME,)
INSPECTION = (Duty.INSPECTION_AND_TEST,)
ON = date(2026, 11, 20)


def plate(
    rated: str | None = "30", type_: str | None = "II", *, selective: bool = False, waveform: str | None = "A"
) -> SafetySwitch:
    """Return a rating plate; None where it can't be read."""
    return SafetySwitch(
        None if rated is None else Decimal(rated),
        None if type_ is None else SwitchType(type_),
        Delay.SELECTIVE if selective else Delay.GENERAL,
        None if waveform is None else Waveform(waveform),
    )


def switch(outlets: int = 1, safety_switch: SafetySwitch | None = None) -> DomainItem:
    """Return a portable safety switch: 30 mA Type II unless another plate is given."""
    return DomainItem(Kind.PORTABLE_SAFETY_SWITCH, outlets, safety_switch or plate())


def appliance(kind: Kind = Kind.APPLIANCE_CLASS_1) -> DomainItem:
    """Return an item without a safety switch and without outlets."""
    return DomainItem(kind)


def tripped(
    value: str,
    outlet: int | None = 1,
    half_cycle: int | None = 0,
    multiple: str | None = "1",
    test_current: TestCurrent | None = None,
) -> Reading:
    """Return a trip time, written as people type it: "28.4", ">300", "no trip"."""
    times = None if multiple is None else Decimal(multiple)
    return Reading(Check.TRIP_TIME, read_measure(Check.TRIP_TIME, value), outlet, half_cycle, times, test_current)


def both(value: str, outlet: int | None = 1, multiple: str = "1") -> tuple[Reading, Reading]:
    """Return the same trip time at both half-cycles."""
    return tripped(value, outlet, 0, multiple), tripped(value, outlet, 180, multiple)


def ramp(
    value: str, test_current: TestCurrent | None = None, outlet: int | None = 1, half_cycle: int | None = None
) -> Reading:
    """Return the trip current of a rising-current test."""
    measure = read_measure(Check.TRIP_CURRENT, value)
    return Reading(Check.TRIP_CURRENT, measure, outlet, half_cycle, test_current=test_current)


def both_ramps(value: str, test_current: TestCurrent | None = None, outlet: int | None = 1) -> tuple[Reading, Reading]:
    """Return the same trip current at both half-cycles."""
    return ramp(value, test_current, outlet, 0), ramp(value, test_current, outlet, 180)


def earth(value: str, outlet: int | None = None) -> Reading:
    """Return an earth resistance."""
    return Reading(Check.EARTH_RESISTANCE, read_measure(Check.EARTH_RESISTANCE, value), outlet)


def insulation(value: str) -> Reading:
    """Return an insulation resistance."""
    return Reading(Check.INSULATION_RESISTANCE, read_measure(Check.INSULATION_RESISTANCE, value))


def leakage(value: str) -> Reading:
    """Return a leakage current."""
    return Reading(Check.LEAKAGE_CURRENT, read_measure(Check.LEAKAGE_CURRENT, value))


def polarity(word: str, outlet: int | None = None) -> Reading:
    """Return the outcome of a polarity check."""
    return Reading(Check.POLARITY, measure(Check.POLARITY, word), outlet)


def record(
    readings: Iterable[Reading] = (), duties: tuple[Duty, ...] = OPERATING, look: Result | None = Result.PASS
) -> TestRecord:
    """Return a record of one item on one day."""
    return TestRecord(duties, tuple(readings), look, ON)


def verdict_on(
    readings: Iterable[Reading],
    item: DomainItem,
    *,
    duties: tuple[Duty, ...] = OPERATING,
    plan: ReadingPlan = PLAN,
    look: Result | None = Result.PASS,
) -> Judgement:
    """Return the judgement of readings on an item by the made-up rules."""
    return judge(record(readings, duties, look), item, RULES, plan)
