"""A measured value: a number with its unit and its bound, exact as the instrument printed it."""

import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Final

from register.domain.words import Bound, Check, Unit
from register.errors import Refused

UNIT_OF: Final[dict[Check, Unit]] = {
    Check.TRIP_TIME: Unit.MILLISECOND,
    Check.TRIP_CURRENT: Unit.MILLIAMPERE,
    Check.EARTH_RESISTANCE: Unit.OHM,
    Check.INSULATION_RESISTANCE: Unit.MEGOHM,
    Check.LEAKAGE_CURRENT: Unit.MILLIAMPERE,
    Check.POLARITY: Unit.NONE,
}
"""The unit in which each quantity is kept and compared."""

LARGEST: Final[dict[Unit, Decimal]] = {
    Unit.MILLISECOND: Decimal(10_000),
    Unit.MILLIAMPERE: Decimal(10_000),
    Unit.OHM: Decimal(1_000_000),
    Unit.MEGOHM: Decimal(1_000_000),
}
"""Above these a value is a slip of the hand: no instrument of the trade prints them (common practice, no source)."""

RIGHT: Final = "right"
WRONG: Final = "wrong"

_FACTORS: Final[dict[Unit, dict[str, Decimal]]] = {
    Unit.MILLISECOND: {"ms": Decimal(1), "s": Decimal(1000)},
    Unit.MILLIAMPERE: {"ma": Decimal(1), "µa": Decimal("0.001"), "ua": Decimal("0.001"), "a": Decimal(1000)},
    Unit.OHM: {"ohm": Decimal(1), "ohms": Decimal(1), "ω": Decimal(1), "mω": Decimal("0.001"), "kω": Decimal(1000)},
    Unit.MEGOHM: {
        "mohm": Decimal(1), "mohms": Decimal(1), "mω": Decimal(1), "meg": Decimal(1), "megohm": Decimal(1),
        "gω": Decimal(1000), "gohm": Decimal(1000), "kohm": Decimal("0.001"), "kω": Decimal("0.001"),
    },
}  # fmt: skip

_WRITTEN: Final = re.compile(
    r"^(?P<bound>[<>=≤≥]?)\s*(?P<number>[+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(?P<unit>[^\d\s.,]*)$"
)
_NO_TRIP: Final = frozenset({"no trip", "no-trip", "notrip", "did not trip", "not tripped", "nt", "held"})
_NO_READING: Final = frozenset({"no reading", "no-reading", "noreading", "---", "n/r", "nr", "no result", "error"})
_RIGHT: Final = frozenset({"right", "ok", "correct", "pass", "p", "y", "yes", "good"})
_WRONG: Final = frozenset({"wrong", "reversed", "fail", "f", "n", "no", "crossed", "bad"})


@dataclass(frozen=True, slots=True)
class Measure:
    """One value with unit and bound.

    `value` is None for *no trip* and *no reading*; for polarity it is None too and `word` says right or wrong.
    """

    value: Decimal | None
    unit: Unit
    bound: Bound = Bound.EXACT
    word: str = ""

    def __str__(self) -> str:
        if self.bound in {Bound.NO_TRIP, Bound.NO_READING}:
            return self.bound.value.replace("-", " ")
        if self.value is None:
            return self.word
        sign = "" if self.bound is Bound.EXACT else self.bound.value
        return f"{sign}{self.value:f} {SYMBOL[self.unit]}".rstrip()

    @property
    def plain(self) -> str:
        """The bare value as it stands in a file: "28.4", "right", or empty where there is none."""
        return self.word if self.value is None else f"{self.value:f}"


SYMBOL: Final[dict[Unit, str]] = {
    Unit.MILLISECOND: "ms",
    Unit.MILLIAMPERE: "mA",
    Unit.OHM: "Ω",
    Unit.MEGOHM: "MΩ",
    Unit.NONE: "",
}


def measure(check: Check, value: str, unit: str | None = None, bound: str = "=") -> Measure:
    """Return the measure of one reading given in parts, as it stands in JSON and in the register.

    Refused with a sentence when the value is not a number, negative, absurdly large or in a unit that the
    quantity does not have. An empty or missing unit means the quantity's own.
    """
    try:
        how = Bound(bound)
    except ValueError:
        raise Refused(
            f"The bound “{bound}” of a {check.value} reading is not one of =, <, >, no-trip, no-reading."
        ) from None
    own = UNIT_OF[check]
    if how is Bound.NO_TRIP and check not in {Check.TRIP_TIME, Check.TRIP_CURRENT}:
        raise Refused(f"“No trip” says nothing of {check.value}: only safety switches trip. Give the value measured.")
    if how in {Bound.NO_TRIP, Bound.NO_READING}:
        return Measure(None, own, how)
    if check is Check.POLARITY:
        return _polarity(value)
    factor = _factor(check, unit or "")
    return Measure(_number(check, value, factor), own, how)


def read_measure(check: Check, text: str, unit: str | None = None) -> Measure:
    """Return the measure written in one piece of text, as people type it: `28.4`, `>300`, `28.4ms`, `no trip`.

    `unit` is the one in the column's head, used when the text has none. Refused like `measure`.
    """
    plain = " ".join(text.split()).casefold()
    if plain in _NO_READING:
        return Measure(None, UNIT_OF[check], Bound.NO_READING)
    if plain in _NO_TRIP and check in {Check.TRIP_TIME, Check.TRIP_CURRENT}:
        return Measure(None, UNIT_OF[check], Bound.NO_TRIP)
    if check is Check.POLARITY:
        return _polarity(plain)
    match = _WRITTEN.match(text.strip())
    if match is None:
        raise Refused(f"“{text}” is not a {check.value} reading: give a number, such as 28.4 or >300.")
    bound = {"≤": "<", "≥": ">", "": "="}.get(match["bound"], match["bound"])
    return measure(check, match["number"], match["unit"] or unit, bound)


def _polarity(value: str) -> Measure:
    word = value.strip().casefold()
    if word in _RIGHT:
        return Measure(None, Unit.NONE, word=RIGHT)
    if word in _WRONG:
        return Measure(None, Unit.NONE, word=WRONG)
    raise Refused(f"Polarity “{value}” is neither right nor wrong. Write one of the two.")


def _factor(check: Check, unit: str) -> Decimal:
    own = UNIT_OF[check]
    if not unit.strip():
        return Decimal(1)
    written = unit.strip().replace("\u2126", "Ω")
    if own is Unit.OHM and written == "MΩ":
        raise Refused(f"A reading of {check.value} is in {SYMBOL[own]}, not in MΩ. Check the column or the unit.")
    factor = _FACTORS[own].get(written.casefold())
    if factor is None:
        raise Refused(f"A reading of {check.value} is in {SYMBOL[own]}, not in “{unit}”. Check the column or the unit.")
    return factor


def _number(check: Check, text: str, factor: Decimal) -> Decimal:
    unit = UNIT_OF[check]
    try:
        value = Decimal(text.strip().replace(",", "."))
    except InvalidOperation:
        raise Refused(f"“{text}” is not a {check.value} reading: give a number, such as 28.4.") from None
    if not value.is_finite():
        raise Refused(f"“{text}” is not a {check.value} reading: give a number, such as 28.4.")
    if value < 0:
        raise Refused(f"A {check.value} of {text} {SYMBOL[unit]} is negative. Check the reading and enter it again.")
    if value == 0 and check in {Check.TRIP_TIME, Check.TRIP_CURRENT}:
        raise Refused(f"A {check.value} of 0 {SYMBOL[unit]} is not possible. Write “no trip” or “no reading” instead.")
    value = value if factor == 1 else value * factor
    if value > LARGEST[unit]:
        raise Refused(
            f"A {check.value} of {text} is more than {LARGEST[unit]:,f} {SYMBOL[unit]}, beyond any instrument of the "
            "trade. Check the reading and enter it again."
        )
    return value
