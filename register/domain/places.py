"""Where on an item a check is made, and how that place reads in a sentence."""

from collections.abc import Sequence
from decimal import Decimal
from functools import lru_cache
from typing import Final

from register.domain.items import Item
from register.domain.measures import TRIPS, plain_number
from register.domain.plate import current_sent_ma
from register.domain.records import Place, Reading
from register.domain.words import Check, Kind, TestCurrent, spoken

LOOK: Final = Place(Check.LOOK)

OF_THE_WHOLE_ITEM: Final = frozenset({Check.LOOK, Check.INSULATION_RESISTANCE, Check.LEAKAGE_CURRENT})
"""Checks made once on an item, however many outlets it has."""

CURRENT_WORDS: Final = {
    TestCurrent.AC: "a.c.",
    TestCurrent.HALF_WAVE: "half-wave",
    TestCurrent.DC: "smooth d.c.",
}

_ORDER: Final = (
    Check.LOOK,
    Check.EARTH_RESISTANCE,
    Check.POLARITY,
    Check.INSULATION_RESISTANCE,
    Check.LEAKAGE_CURRENT,
    Check.TRIP_TIME,
    Check.TRIP_CURRENT,
)


def place_of(reading: Reading, item: Item) -> Place:
    """Return where a reading was made, in the one way that places of an item are written.

    On an item with one outlet that is outlet 1 whether or not it was said; an item without any has none. A
    trip reading without a test current was made with a.c., the ordinary one, to which the narrowest limits belong.
    """
    outlet = reading.outlet
    if item.outlets == 0:
        outlet = None
    elif item.outlets == 1 and reading.check not in OF_THE_WHOLE_ITEM:
        outlet = 1
    current = reading.test_current
    if reading.check in TRIPS:
        current = current or TestCurrent.AC
    return Place(reading.check, outlet, reading.half_cycle, reading.multiple, current)


def in_order(place: Place) -> tuple[int, int, Decimal, int, str]:
    """Return the key by which places are listed: the look first, then as one works through an item."""
    return (
        _ORDER.index(place.check),
        place.outlet or 0,
        place.multiple or Decimal(0),
        place.half_cycle or 0,
        place.test_current or "",
    )


def a_kind(kind: Kind) -> str:
    """Return a kind with its article: "an extension lead"."""
    words = spoken(kind)
    return f"an {words}" if words[0] in "aeiou" else f"a {words}"


def times_words(multiple: Decimal) -> str:
    """Return a multiple of the rated residual current as the trade writes it: "1×", "0.5×"."""
    return f"{plain_number(multiple)}×"


def place_words(place: Place, instead: Sequence[Check] = ()) -> str:
    """Return a place as it stands in the middle of a sentence: "trip time at 1× at 180° on outlet 2".

    `instead` are the other checks that would do as well there.
    """
    if place.check is Check.LOOK:
        return "the look"
    words = " or ".join(spoken(check) for check in (place.check, *instead))
    if place.check is Check.TRIP_CURRENT:
        words += " with a rising current"
    if place.multiple is not None:
        words += f" at {times_words(place.multiple)}"
    if place.half_cycle is not None:
        words += f" at {place.half_cycle}°"
    if place.test_current not in {None, TestCurrent.AC}:
        words += f" with {CURRENT_WORDS[place.test_current]} current"
    return words if place.outlet is None else f"{words} on outlet {place.outlet}"


@lru_cache(maxsize=4_096)
def place_heading(place: Place, rated_residual_ma: Decimal | None = None) -> str:
    """Return a place as the opening of a sentence on its value: "Outlet 2 at 180°, 1×".

    With the rated residual current the current sent is named too, where it differs: "Outlet 1 at 0°, 5× (150 mA)".
    """
    outlet = "" if place.outlet is None else f"Outlet {place.outlet}"
    half_cycle = "" if place.half_cycle is None else f"at {place.half_cycle}°"
    opening = " ".join(part for part in (outlet, half_cycle) if part)
    if place.check is Check.TRIP_TIME:
        parts = [opening, _times(place.multiple, rated_residual_ma), _current(place)]
    elif place.check is Check.TRIP_CURRENT:
        parts = [opening, f"rising {CURRENT_WORDS[place.test_current or TestCurrent.AC]} current"]
    else:
        parts = [outlet, spoken(place.check)]
    heading = ", ".join(part for part in parts if part)
    return f"{heading[:1].upper()}{heading[1:]}"


def _times(multiple: Decimal | None, rated_residual_ma: Decimal | None) -> str:
    if multiple is None:
        return ""
    if rated_residual_ma is None or multiple == 1:
        return times_words(multiple)
    return f"{times_words(multiple)} ({plain_number(current_sent_ma(rated_residual_ma, multiple))} mA)"


def _current(place: Place) -> str:
    if place.test_current in {None, TestCurrent.AC}:
        return ""
    return f"{CURRENT_WORDS[place.test_current]} current"
