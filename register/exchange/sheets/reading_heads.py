"""The heads of columns with readings, such as "Outlet 2 180° 5x (ms)": quantity, outlet, half-cycle, multiple, unit.

A head is understood only if every part of it is: one odd word leaves the column to be named in a mapping.
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from register.domain.items import MOST_OUTLETS
from register.domain.records import MULTIPLES
from register.domain.words import Check, TestCurrent
from register.exchange.sheets.fields import ReadingHead

_UNITS: Final = {
    "ms": "ms", "msec": "ms", "ma": "mA", "μa": "µA", "ua": "µA", "ohm": "ohm", "ohms": "ohm", "Ω": "ohm", "ω": "ohm",
    "MΩ": "Mohm", "mΩ": "mΩ", "mohm": "Mohm", "mohms": "Mohm", "megohm": "Mohm", "megohms": "Mohm", "kΩ": "kΩ",
    "GΩ": "GΩ", "gohm": "GΩ",
}  # fmt: skip
_BRACKETED_ONLY: Final = {"s": "s", "a": "A", "m": "Mohm"}
_CHECKS_OF_UNIT: Final = {
    "ms": frozenset({Check.TRIP_TIME}), "s": frozenset({Check.TRIP_TIME}),
    "mA": frozenset({Check.LEAKAGE_CURRENT, Check.TRIP_CURRENT}), "µA": frozenset({Check.LEAKAGE_CURRENT}),
    "A": frozenset({Check.LEAKAGE_CURRENT, Check.TRIP_CURRENT}),
    "ohm": frozenset({Check.EARTH_RESISTANCE}), "mΩ": frozenset({Check.EARTH_RESISTANCE}),
    "kΩ": frozenset({Check.EARTH_RESISTANCE, Check.INSULATION_RESISTANCE}),
    "Mohm": frozenset({Check.INSULATION_RESISTANCE}), "GΩ": frozenset({Check.INSULATION_RESISTANCE}),
}  # fmt: skip

_UNIT: Final = re.compile(r"[(\[]\s*(?P<bracketed>[^\s()\[\]]{1,7})\s*[)\]]|(?<![^\s°)])(?P<bare>[^\W\d_]{1,7})(?!\w)")
_GAP: Final = re.compile(r"[\s,;:_.()\[\]@=-]+")
_PARTS: Final = (
    ("outlet", re.compile(r"(?:outlet|out|socket|skt|gpo|o|s)\s*(?:no\.?\s*)?(\d{1,2})(?![\d.]|\s*[x×])")),
    ("multiple", re.compile(r"(\d(?:\.\d)?|1/2)\s*[x×](?:\s*(?:i\s*[∆δ]\s*n|idn|rated)\b)?(?!\w)")),
    ("multiple", re.compile(r"[x×]\s*(\d(?:\.\d)?|1/2)(?!\w)")),
    ("both", re.compile(r"0\s*(?:°|deg(?:rees?)?)?\s*(?:/|&|and|\+)\s*180\s*(?:°|deg(?:rees?)?\b)?(?!\w)")),
    ("half", re.compile(r"(180|0)\s*(?:°|deg(?:rees?)?\b)?(?![\w.])")),
    ("current", re.compile(r"(half[\s-]?wave|pulsating|a\.c\.|ac|d\.c\.|dc)(?:\s+(?:test\s+)?current)?\b")),
    (Check.LEAKAGE_CURRENT, re.compile(r"(?:earth\s+)?leakage(?:\s+current)?\b")),
    (Check.TRIP_CURRENT, re.compile(r"(?:trip(?:ping)?|rising)\s+current\b|(?:current\s+)?ramp\b")),
    (Check.TRIP_TIME, re.compile(r"(?:rcd\s+)?(?:trip(?:ping)?|operating|op\.?|rcd)\s*times?\b|trip\b")),
    (Check.INSULATION_RESISTANCE,
     re.compile(r"insul(?:ation)?(?:\.?\s+r(?:es(?:istance|\.)?)?)?\b|ins\.?\s+r(?:es)?\b|ir\b")),
    (Check.EARTH_RESISTANCE, re.compile(
        r"(?:(?:protective\s+)?earth|pe)(?:\s+(?:r(?:es(?:istance)?)?|cont(?:inuity)?|bond))?\b")),
    (Check.EARTH_RESISTANCE, re.compile(r"(?:earth\s+)?continuity\b")),
    (Check.POLARITY, re.compile(r"polarity\b")),
    ("filler", re.compile(r"(?:test|reading|measured|value|at|half[\s-]?cycle|phase|angle|rcd|safety\s+switch)\b")),
)  # fmt: skip
_CURRENTS: Final = {
    "ac": TestCurrent.AC, "dc": TestCurrent.DC, "pulsating": TestCurrent.HALF_WAVE, "halfwave": TestCurrent.HALF_WAVE,
}  # fmt: skip


@dataclass(slots=True)
class _Found:
    checks: set[Check]
    parts: dict[str, str]


def read_head(heading: str) -> ReadingHead | None:
    """Return what the head of a column of readings says, or None where any part of it is not understood."""
    text, unit = unit_of(heading)
    found = _scan(text.casefold())
    if found is None or _is_bare_number(found, text, unit):
        return None
    check = _check(found, unit)
    if check is None:
        return None
    parts = found.parts
    outlet = int(parts["outlet"]) if "outlet" in parts else None
    multiple = _multiple(parts.get("multiple"))
    if outlet is not None and not 1 <= outlet <= MOST_OUTLETS:
        return None
    if multiple is not None and (multiple not in MULTIPLES or check is not Check.TRIP_TIME):
        return None
    trips = check in {Check.TRIP_TIME, Check.TRIP_CURRENT}
    if not trips and parts.keys() & {"half", "both", "current"}:
        return None
    current = _CURRENTS.get(re.sub(r"[\s.-]", "", parts["current"])) if "current" in parts else None
    half = int(parts["half"]) if "half" in parts else None
    if check is Check.TRIP_TIME:
        multiple = multiple or Decimal(1)
    return ReadingHead(check, outlet, half, "both" in parts, multiple, current, unit)


def unit_of(heading: str) -> tuple[str, str | None]:
    """Return a heading without the unit that it names, and the unit."""
    text = unicodedata.normalize("NFKC", heading).replace("\u2044", "/").strip()  # the slash that ½ has by then
    for match in reversed(list(_UNIT.finditer(text))):
        written = match["bracketed"] or match["bare"]
        unit = _UNITS.get(written) or _UNITS.get(written.casefold())
        if unit is None and match["bracketed"]:
            unit = _BRACKETED_ONLY.get(written.casefold())
        if unit:
            return f"{text[: match.start()]} {text[match.end() :]}".strip(), unit
    return text, None


def is_unit(text: str) -> bool:
    """Whether a text is a unit and nothing else: "mA", "(ms)"."""
    bare = unicodedata.normalize("NFKC", text).strip(" ()[]")
    return bool(_UNITS.get(bare) or _UNITS.get(bare.casefold()) or _BRACKETED_ONLY.get(bare.casefold()))


def _scan(text: str) -> _Found | None:
    """Return the parts of a head, or None at the first one that is not understood or stands there twice."""
    seen, at = _Found(set(), {}), 0
    while at < len(text):
        gap = _GAP.match(text, at)
        if gap:
            at = gap.end()
            continue
        name, match = next(((name, found) for name, part in _PARTS if (found := part.match(text, at))), ("", None))
        if match is None:
            return None
        at = match.end()
        if isinstance(name, Check):
            seen.checks.add(name)
        elif name != "filler":
            if name in seen.parts:
                return None
            seen.parts[name] = match[1] if match.groups() else ""
    return seen


def _is_bare_number(found: _Found, text: str, unit: str | None) -> bool:
    """Whether a head is only 0 or 180: without a sign for degrees that can be anything."""
    return not found.checks and not unit and set(found.parts) == {"half"} and not re.search("°|deg", text.casefold())


def _check(found: _Found, unit: str | None) -> Check | None:
    """Return the quantity that a head names or, by its unit or half-cycle, can only mean."""
    checks = found.checks
    fits = _CHECKS_OF_UNIT[unit] if unit else frozenset(Check)
    if not checks:
        if "half" in found.parts or "both" in found.parts or unit == "ms":
            checks = {Check.TRIP_TIME}
        elif unit in {"Mohm", "GΩ"} and not found.parts:
            checks = {Check.INSULATION_RESISTANCE}
    return next(iter(checks)) if len(checks) == 1 and checks <= fits else None


def _multiple(text: str | None) -> Decimal | None:
    if text is None:
        return None
    return Decimal("0.5") if text == "1/2" else Decimal(text)
