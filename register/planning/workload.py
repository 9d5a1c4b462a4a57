"""How many minutes of work a duty is, by what the item is and which checks are made on it.

The figures are common practice, no source: trade pages speak of 3 to 4 minutes an item with its tag, and of 15 to
30 items an hour. A firm puts its own in their place.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from register.domain.words import Check, Duty, Kind
from register.errors import Refused

SOURCE: Final = "common practice, no source"
MOST_MINUTES: Final = Decimal(240)
CREW_HOURS: Final = Decimal(30)
"""What a crew works at items in a week, without driving and paper; common practice, no source."""

MOST_CREW_HOURS: Final = Decimal(1_000)

CHECKS: Final[Mapping[Duty, tuple[Check, ...]]] = MappingProxyType(
    {
        Duty.INSPECTION_AND_TEST: (
            Check.LOOK,
            Check.EARTH_RESISTANCE,
            Check.INSULATION_RESISTANCE,
            Check.LEAKAGE_CURRENT,
            Check.POLARITY,
        ),
        Duty.OPERATING_TIME: (Check.TRIP_TIME, Check.TRIP_CURRENT),
        Duty.FORMAL_VISUAL: (Check.LOOK,),
    }
)
"""Which checks a duty consists of. Finding and tagging the item counts with its look."""

Table = Mapping[Kind, Mapping[Check, Decimal]]


def _table(rows: dict[Kind, dict[Check, str]]) -> Table:
    return MappingProxyType(
        {kind: MappingProxyType({check: Decimal(said) for check, said in row.items()}) for kind, row in rows.items()}
    )


DEFAULTS: Final[Table] = _table(
    {
        Kind.PORTABLE_SAFETY_SWITCH: {
            Check.LOOK: "2", Check.EARTH_RESISTANCE: "0.5", Check.INSULATION_RESISTANCE: "0.5", Check.POLARITY: "0.5",
            Check.TRIP_TIME: "4",
        },
        Kind.FIXED_SAFETY_SWITCH: {Check.LOOK: "2", Check.TRIP_TIME: "5"},
        Kind.APPLIANCE_CLASS_1: {
            Check.LOOK: "2", Check.EARTH_RESISTANCE: "0.5", Check.INSULATION_RESISTANCE: "1",
        },
        Kind.APPLIANCE_CLASS_2: {Check.LOOK: "2", Check.INSULATION_RESISTANCE: "1"},
        Kind.CORD_SET: {
            Check.LOOK: "1.5", Check.EARTH_RESISTANCE: "0.5", Check.INSULATION_RESISTANCE: "0.5",
            Check.POLARITY: "0.5",
        },
        Kind.EXTENSION_LEAD: {
            Check.LOOK: "2", Check.EARTH_RESISTANCE: "0.5", Check.INSULATION_RESISTANCE: "0.5", Check.POLARITY: "0.5",
        },
        Kind.PORTABLE_OUTLET_DEVICE: {
            Check.LOOK: "2", Check.EARTH_RESISTANCE: "1", Check.INSULATION_RESISTANCE: "0.5", Check.POLARITY: "1",
            Check.TRIP_TIME: "4",
        },
        Kind.ISOLATING_TRANSFORMER: {
            Check.LOOK: "2", Check.EARTH_RESISTANCE: "1", Check.INSULATION_RESISTANCE: "2",
        },
    }
)  # fmt: skip
"""Minutes of each check on an item of each kind: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Minutes:
    """How long each check takes on an item of each kind, in minutes; a check that is not named takes none.

    `kinds` are those of which the firm gave figures of its own, `learnt` those whose figures its records taught.
    """

    table: Table = field(default_factory=lambda: DEFAULTS)
    kinds: frozenset[Kind] = frozenset()
    learnt: frozenset[Kind] = frozenset()

    @property
    def own(self) -> bool:
        """Whether any figure is the firm's, entered or learnt, in place of a usual one."""
        return bool(self.kinds or self.learnt)

    def of(self, kind: Kind, duty: Duty) -> Decimal:
        """Return the minutes that one duty on one item of a kind takes; none for a duty of the user's own."""
        row = self.table.get(kind, {})
        return sum((row.get(check, Decimal(0)) for check in CHECKS.get(duty, ())), Decimal(0))


def minutes_from(own: object | None) -> Minutes:
    """Return the minutes in force: the firm's own figures, kind by kind and check by check, over the defaults.

    Refused with a sentence where a kind, a check or a number is none.
    """
    if not own:
        return Minutes()
    if not (isinstance(own, Mapping) and all(isinstance(row, Mapping) for row in own.values())):
        raise Refused(f"“{own}” is no table of minutes. Give the minutes of each check under the kind of item.")
    table = {kind: dict(row) for kind, row in DEFAULTS.items()}
    for kind, row in own.items():
        for check, said in row.items():
            table[_kind(kind)][_check(check)] = _number(said, f"Minutes of the {check} of a {kind}", MOST_MINUTES)
    return Minutes(table, frozenset(map(Kind, own)))


def crew_hours_from(own: object | None) -> Decimal:
    """Return the hours a week that the crew works at items, the default where the firm never said."""
    return CREW_HOURS if own is None else _number(own, "The crew's hours a week", MOST_CREW_HOURS)


def _kind(code: str) -> Kind:
    if code not in set(Kind):
        raise Refused(f"“{code}” is not a kind of item. There are: {', '.join(Kind)}.")
    return Kind(code)


def _check(code: str) -> Check:
    if code not in set(Check):
        raise Refused(f"“{code}” is not a check. There are: {', '.join(Check)}.")
    return Check(code)


def _number(said: object, what: str, most: Decimal) -> Decimal:
    try:
        number = Decimal(str(said))
    except InvalidOperation:
        number = Decimal("NaN")
    if not number.is_finite() or not 0 <= number <= most:
        raise Refused(f"{what} can't be “{said}”. Give a number from 0 to {most}.")
    return number


@lru_cache(maxsize=4_096)
def time_words(minutes: Decimal) -> str:
    """Return minutes of work as they are said: "35 min", "1 h", "1 h 36"."""
    whole = int(minutes.to_integral_value("ROUND_HALF_UP"))
    hours, rest = divmod(whole, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours:,} h {rest:02d}" if rest else f"{hours:,} h"
