"""How long an extension lead may be for its conductors and its rating: figures for Australia, each with its source."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from register.domain.items import Item
from register.domain.measures import plain_number
from register.domain.rulebook import Confidence
from register.domain.words import Kind

_CHECKLIST: Final = "WorkSafe Victoria, electrical hazards checklist"
_STANDARD: Final = "AS/NZS 3199 and AS/NZS 3012, from memory"


@dataclass(frozen=True, slots=True)
class LeadLimit:
    """The longest lead of one rating and one section of conductor; None where sources differ, `others` says how."""

    rated_a: Decimal
    conductor_mm2: Decimal
    most_m: Decimal | None
    source: str
    confidence: Confidence
    others: str = ""


def _limit(
    rated: str, conductor: str, most: str, source: str = _STANDARD, sure: Confidence = Confidence.MEMORY
) -> LeadLimit:
    return LeadLimit(Decimal(rated), Decimal(conductor), Decimal(most), source, sure)


LIMITS: Final = (
    _limit("10", "1", "25", _CHECKLIST, Confidence.READ),
    _limit("10", "1.5", "35", _CHECKLIST, Confidence.READ),
    _limit("10", "2.5", "60"),
    _limit("10", "4", "100"),
    LeadLimit(
        Decimal(15), Decimal("1.5"), None, _CHECKLIST, Confidence.DISPUTED,
        "the checklist prints 5 m, which looks like a dropped digit, and 25 m is remembered of the standard",
    ),
    _limit("15", "2.5", "40", _CHECKLIST, Confidence.READ),
    _limit("15", "4", "65"),
    _limit("20", "2.5", "30"),
    _limit("20", "4", "50"),
    _limit("20", "6", "75"),
)  # fmt: skip

LEAST_MM2: Final = Decimal(1)
"""The smallest conductor of an extension lead (a trade handbook, second-hand)."""


@dataclass(frozen=True, slots=True)
class LengthFound:
    """What the length of a lead says: whether it is too long (None: can't be told), and the sentence that says why."""

    too_long: bool | None
    said: str


def length_found(item: Item) -> LengthFound | None:
    """Hold the length of an extension lead against its conductors and rating; None where it can't or needn't be."""
    lead = item.lead
    if item.kind is not Kind.EXTENSION_LEAD or lead is None or lead.conductor_mm2 is None:
        return None
    if lead.conductor_mm2 < LEAST_MM2:
        given = plain_number(lead.conductor_mm2)
        said = f"Conductors of {given} mm² are too thin: an extension lead has at least {LEAST_MM2} mm²."
        return LengthFound(too_long=True, said=said)
    if item.rated_current_a is None or lead.length_m is None:
        return None
    return _held(lead.length_m, item.rated_current_a, lead.conductor_mm2)


def _held(length_m: Decimal, rated_a: Decimal, conductor_mm2: Decimal) -> LengthFound:
    size = f"{plain_number(rated_a)} A and {plain_number(conductor_mm2)} mm²"
    limit = next((each for each in LIMITS if (each.rated_a, each.conductor_mm2) == (rated_a, conductor_mm2)), None)
    if limit is None:
        return LengthFound(None, f"No longest length is known here for {size}: look it up before you tick the length.")
    if limit.most_m is None:
        return LengthFound(None, f"Sources differ for {size}: {limit.others}. Decide by the standard itself.")
    most, length = plain_number(limit.most_m), plain_number(length_m)
    if length_m > limit.most_m:
        return LengthFound(too_long=True, said=f"{length} m is too long: at most {most} m for {size} ({limit.source}).")
    return LengthFound(too_long=False, said=f"{length} m is within the {most} m for {size} ({limit.source}).")
