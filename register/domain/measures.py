"""A measured value: a number with its unit and its bound, exact as the instrument printed it."""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from register.domain.words import Bound, Check, Unit, spoken
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

TRIPS: Final = frozenset({Check.TRIP_TIME, Check.TRIP_CURRENT})
"""The quantities that only a safety switch has."""

RIGHT: Final = "right"
WRONG: Final = "wrong"

_FACTORS: Final[dict[Unit, dict[str, Decimal]]] = {
    Unit.MILLISECOND: {"ms": Decimal(1), "s": Decimal(1000)},
    Unit.MILLIAMPERE: {"ma": Decimal(1), "μa": Decimal("0.001"), "ua": Decimal("0.001"), "a": Decimal(1000)},
    Unit.OHM: {"ohm": Decimal(1), "ohms": Decimal(1), "ω": Decimal(1), "mω": Decimal("0.001"), "kω": Decimal(1000)},
    Unit.MEGOHM: {
        "m": Decimal(1), "mω": Decimal(1), "mohm": Decimal(1), "mohms": Decimal(1), "meg": Decimal(1),
        "megohm": Decimal(1), "gω": Decimal(1000), "gohm": Decimal(1000), "kω": Decimal("0.001"),
        "kohm": Decimal("0.001"),
    },
}  # fmt: skip

_NUMBER: Final = re.compile(r"[+-]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,2})?")
_WRITTEN: Final = re.compile(rf"(?P<bound>[<>=≤≥]?)\s*(?P<number>{_NUMBER.pattern})\s*(?P<unit>[^\d\s.,]*)")
_THOUSANDS: Final = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
"""A comma that may part thousands: read as a decimal comma it would turn 1,200 ms into a pass."""
LONGEST_NUMBER: Final = 20
MOST_DECIMALS: Final = 9
"""Longer and finer ones are an accident of arithmetic, not a reading; within them every sum here is exact."""
LONGEST_QUOTE: Final = 40

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


def plain_number(value: Decimal) -> str:
    """Return a number as it stands in a sentence, without needless zeros or an exponent: "10.5", "300"."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def measure(check: Check, value: str, unit: str | None = None, bound: str = "=") -> Measure:
    """Return the measure of one reading given in parts, as it stands in JSON and in the register.

    Refused with a sentence when the value is not a number, negative, absurdly large or in a unit that the
    quantity does not have. An empty or missing unit means the quantity's own.
    """
    how = _bound(check, bound)
    factor = _factor(check, unit or "")
    if how in {Bound.NO_TRIP, Bound.NO_READING}:
        if value.strip():
            raise Refused(f"A reading says both “{how.value}” and “{_short(value)}”. Leave one of them out.")
        return Measure(None, UNIT_OF[check], how)
    if check is Check.POLARITY:
        return _polarity(value)
    return Measure(_number(check, value, factor), UNIT_OF[check], how)


def read_measure(check: Check, text: str, unit: str | None = None) -> Measure:
    """Return the measure written in one piece of text, as people type it: `28.4`, `>300`, `28.4ms`, `no trip`.

    `unit` is the one in the column's head, used when the text has none. `≥` and `≤` are read as `>` and `<`:
    an instrument prints either at the end of its range. Refused like `measure`.
    """
    plain = " ".join(text.split()).casefold()
    if plain in _NO_READING:
        return Measure(None, UNIT_OF[check], Bound.NO_READING)
    if plain in _NO_TRIP and check in TRIPS:
        return Measure(None, UNIT_OF[check], Bound.NO_TRIP)
    if check is Check.POLARITY:
        return _polarity(plain)
    match = _WRITTEN.fullmatch(text.strip())
    if match is None:
        raise _not_a_number(check, text)
    bound = {"≤": "<", "≥": ">", "": "="}.get(match["bound"], match["bound"])
    return measure(check, match["number"], match["unit"] or unit, bound)


def _bound(check: Check, bound: str) -> Bound:
    try:
        how = Bound(bound)
    except ValueError:
        raise Refused(
            f"The bound “{_short(bound)}” of a reading of {spoken(check)} is not one of =, <, >, no-trip, no-reading."
        ) from None
    if how is Bound.NO_TRIP and check not in TRIPS:
        raise Refused(f"“No trip” says nothing of {spoken(check)}: only safety switches trip. Give the value measured.")
    if check is Check.POLARITY and how in {Bound.BELOW, Bound.ABOVE}:
        raise Refused(f"Polarity is right or wrong, never “{bound}”. Leave the bound out.")
    return how


def _polarity(value: str) -> Measure:
    word = value.strip().casefold()
    if word in _RIGHT:
        return Measure(None, Unit.NONE, word=RIGHT)
    if word in _WRONG:
        return Measure(None, Unit.NONE, word=WRONG)
    raise Refused(f"Polarity “{_short(value)}” is neither right nor wrong. Write one of the two.")


def _factor(check: Check, unit: str) -> Decimal:
    """Return by what a value in the written unit is multiplied to be in the quantity's own."""
    own = UNIT_OF[check]
    if not unit.strip():
        return Decimal(1)
    if own is Unit.NONE:
        raise Refused(f"Polarity has no unit: leave out “{_short(unit)}”.")
    written = unit.strip().replace("\u2126", "Ω")
    mega_for_milli = own is Unit.OHM and written == "MΩ"
    factor = None if mega_for_milli else _FACTORS[own].get(written.casefold())
    if factor is None:
        raise Refused(
            f"A reading of {spoken(check)} is in {SYMBOL[own]}, not in “{_short(unit)}”. Check the column or the unit."
        )
    return factor


def _number(check: Check, text: str, factor: Decimal) -> Decimal:
    written = text.strip()
    if not _NUMBER.fullmatch(written) or len(written) > LONGEST_NUMBER:
        raise _not_a_number(check, text)
    if _THOUSANDS.fullmatch(written):
        raise Refused(
            f"“{written}” can be read two ways: write {written.replace(',', '.')} or {written.replace(',', '')}."
        )
    value = Decimal(written.replace(",", ".")) * factor + 0  # a meter's -0.00 is nought
    fault = _fault(check, value)
    if fault:
        shown = _short(plain_number(value))
        raise Refused(f"{spoken(check).capitalize()} {shown} {SYMBOL[UNIT_OF[check]]} {fault}")
    return value


def _fault(check: Check, value: Decimal) -> str:
    """Return what can't be true of a value in its quantity's own unit, as the end of a sentence; or nothing."""
    unit = UNIT_OF[check]
    if value < 0:
        return "is negative. Check the reading and enter it again."
    if value == 0 and check in TRIPS:
        return "is not possible. Write “no trip” or “no reading” instead."
    if value > LARGEST[unit]:
        largest = f"{LARGEST[unit]:,f} {SYMBOL[unit]}"
        return f"is beyond any instrument of the trade ({largest}). Check the reading and enter it again."
    if value != round(value, MOST_DECIMALS):
        return "has more decimals than any instrument prints. Round it as the instrument shows it."
    return ""


def _not_a_number(check: Check, text: str) -> Refused:
    return Refused(f"“{_short(text)}” is not a reading of {spoken(check)}: give a number, such as 28.4.")


def _short(text: str) -> str:
    """Return what was written, cut to a length that a sentence can carry."""
    return text if len(text) <= LONGEST_QUOTE else f"{text[: LONGEST_QUOTE - 1]}…"
