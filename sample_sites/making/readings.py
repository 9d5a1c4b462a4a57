"""Believable readings: what a sound item measures, how it ages, and how a fault shows."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from random import Random
from typing import Final

from register.domain.items import LEADS, SafetySwitch
from register.domain.words import Bound, Check, Kind, SwitchType
from sample_sites.making.premises import Thing

HALVES: Final = (0, 180)
FULL: Final = Decimal(1)
FIVEFOLD: Final = Decimal(5)
HALF: Final = Decimal("0.5")

TRIP_TIMES: Final = {SwitchType.I: (8, 20), SwitchType.III: (14, 60), SwitchType.IV: (170, 320)}
"""Milliseconds at the rated residual current from a sound switch of the type (common practice, no source)."""

OTHER_TRIP_TIMES: Final = (9, 35)
SLOWEST: Final = 290
"""Ageing stops here, in ms: what is slower is a fault and made by `spoil`."""

LIMITS: Final = {SwitchType.I: Decimal(40), SwitchType.IV: Decimal(500)}
OTHER_LIMIT: Final = Decimal(300)
"""Trip time at the rated residual current in ms (AS/NZS 3190, restated second-hand)."""

DRIFTING_SHARE: Final = 0.07
BROKEN_EARTH_SHARE: Final = 0.3


@dataclass(frozen=True, slots=True)
class Nature:
    """What an item is like inside. Times in ms, resistances in ohm; `drift` is added per operating-time test."""

    trip: float
    drift: float
    earth: float
    insulation: float
    leakage: float


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading as the instrument printed it. Polarity has a word instead of a value."""

    check: Check
    value: Decimal | None
    bound: Bound = Bound.EXACT
    outlet: int | None = None
    half_cycle: int | None = None
    multiple: Decimal | None = None
    word: str = ""


def nature(thing: Thing, switch: SafetySwitch | None, rng: Random) -> Nature:
    """Return the nature of one new item."""
    low, high = TRIP_TIMES.get(switch.type, OTHER_TRIP_TIMES) if switch and switch.type else OTHER_TRIP_TIMES
    drifting = low == OTHER_TRIP_TIMES[0] and rng.random() < DRIFTING_SHARE
    long_lead = thing.kind in LEADS and "25 m" in thing.text
    return Nature(
        trip=rng.uniform(low, high),
        drift=rng.uniform(12, 34) if drifting else rng.uniform(-0.3, 0.6),
        earth=rng.uniform(0.25, 0.55) if long_lead else rng.uniform(0.02, 0.28),
        insulation=rng.choice((400.0, 400.0, 400.0, rng.uniform(6, 180))),
        leakage=rng.uniform(0.05, 0.9) if thing.kind is Kind.APPLIANCE_CLASS_1 else rng.uniform(0.01, 0.2),
    )


def appliance_readings(thing: Thing, inside: Nature, largest: Decimal, rng: Random) -> list[Taken]:
    """Return earth, polarity, and insulation or leakage. `largest` is the most that the tester shows in megohm."""
    taken = []
    earthed_outlets = 0 if thing.kind is Kind.ISOLATING_TRANSFORMER else thing.outlets
    for outlet in range(1, earthed_outlets + 1):
        taken.append(Taken(Check.EARTH_RESISTANCE, _near(inside.earth, "0.01", rng), outlet=outlet))
        taken.append(Taken(Check.POLARITY, None, outlet=outlet, word="right"))
    if thing.kind is Kind.APPLIANCE_CLASS_1:
        taken.append(Taken(Check.EARTH_RESISTANCE, _near(inside.earth, "0.01", rng)))
    if thing.leakage:
        taken.append(Taken(Check.LEAKAGE_CURRENT, _near(inside.leakage, "0.01", rng)))
    else:
        value = _near(inside.insulation, "0.1", rng)
        beyond = value > largest
        taken.append(Taken(Check.INSULATION_RESISTANCE, min(value, largest), Bound.ABOVE if beyond else Bound.EXACT))
    return taken


def switch_readings(
    thing: Thing, switch: SafetySwitch, inside: Nature, extra: frozenset[str], turn: int, rng: Random
) -> list[Taken]:
    """Return the readings of an operating-time test, the `turn`-th of the item, on every outlet and half-cycle."""
    aged = min(inside.trip + inside.drift * turn, SLOWEST)
    taken = []
    for outlet in range(1, thing.outlets + 1):
        for half in HALVES:
            time = _near(aged, "0.1", rng)
            taken.append(Taken(Check.TRIP_TIME, time, outlet=outlet, half_cycle=half, multiple=FULL))
            if "5x" in extra:
                fast = _near(min(inside.trip * 0.5, 30.0), "0.1", rng)
                taken.append(Taken(Check.TRIP_TIME, fast, outlet=outlet, half_cycle=half, multiple=FIVEFOLD))
            if "half" in extra:
                held = Taken(Check.TRIP_TIME, None, Bound.NO_TRIP, outlet, half, HALF)
                taken.append(held)
        if "ramp" in extra and switch.rated_residual_ma is not None:
            for half in HALVES:
                current = _near(float(switch.rated_residual_ma) * 0.75, "0.1", rng)
                taken.append(Taken(Check.TRIP_CURRENT, current, outlet=outlet, half_cycle=half))
    return taken


def spoil(taken: Sequence[Taken], fault: Check, limit: Decimal, rng: Random) -> tuple[Taken, ...]:
    """Return the readings with one of them failing the check named; `limit` is that of the trip time in ms."""
    places = [
        place for place, reading in enumerate(taken) if reading.check is fault and reading.multiple in {None, FULL}
    ]
    place = rng.choice(places)
    spoilt = list(taken)
    spoilt[place] = _spoilt(taken[place], limit, rng)
    return tuple(spoilt)


def _spoilt(reading: Taken, limit: Decimal, rng: Random) -> Taken:
    match reading.check:
        case Check.EARTH_RESISTANCE if rng.random() < BROKEN_EARTH_SHARE:
            return replace(reading, value=Decimal(20), bound=Bound.ABOVE)
        case Check.EARTH_RESISTANCE:
            low, high, step = 1.3, 6.5, "0.01"
        case Check.INSULATION_RESISTANCE:
            low, high, step = 0.05, 0.8, "0.01"
        case Check.LEAKAGE_CURRENT:
            low, high, step = 5.6, 9.5, "0.01"
        case Check.POLARITY:
            return replace(reading, word="wrong")
        case _:
            return _too_slow(reading, limit, rng)
    return replace(reading, value=_spread(low, high, step, rng), bound=Bound.EXACT)


def _too_slow(reading: Taken, limit: Decimal, rng: Random) -> Taken:
    how = rng.choice(("slow", "over", "held"))
    if how == "held":
        return replace(reading, value=None, bound=Bound.NO_TRIP)
    if how == "over":
        return replace(reading, value=limit, bound=Bound.ABOVE)
    return replace(reading, value=_spread(float(limit) * 1.03, float(limit) * 1.6, "0.1", rng))


def faults_of(thing: Thing, *, switch_test: bool) -> tuple[Check, ...]:
    """Return the checks that a fault can show in, the look apart."""
    if switch_test:
        return (Check.TRIP_TIME,)
    if thing.kind in LEADS:
        return (Check.EARTH_RESISTANCE, Check.POLARITY, Check.INSULATION_RESISTANCE)
    if thing.leakage:
        return (Check.EARTH_RESISTANCE, Check.LEAKAGE_CURRENT)
    if thing.kind is Kind.APPLIANCE_CLASS_1 or thing.kind is Kind.PORTABLE_OUTLET_DEVICE:
        return (Check.EARTH_RESISTANCE, Check.INSULATION_RESISTANCE)
    return (Check.INSULATION_RESISTANCE,)


def _near(middle: float, step: str, rng: Random) -> Decimal:
    return _spread(middle * 0.93, middle * 1.07, step, rng)


def _spread(low: float, high: float, step: str, rng: Random) -> Decimal:
    return max(Decimal(str(rng.uniform(low, high))).quantize(Decimal(step)), Decimal(step))
