"""Items as the rules see them: what a thing is, where it is, and what is known of its state."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from register.domain.words import Condition, Delay, Kind, SwitchType, Waveform

SAFETY_SWITCHES: Final = frozenset({Kind.PORTABLE_SAFETY_SWITCH, Kind.FIXED_SAFETY_SWITCH})
LEADS: Final = frozenset({Kind.CORD_SET, Kind.EXTENSION_LEAD})
WITH_OUTLETS: Final = SAFETY_SWITCHES | LEADS | {Kind.PORTABLE_OUTLET_DEVICE, Kind.ISOLATING_TRANSFORMER}
"""Kinds that feed something else, so that checks are made on each of their outlets."""

MOST_OUTLETS: Final = 48


@dataclass(frozen=True, slots=True)
class SafetySwitch:
    """What the rating plate of a safety switch says. None where it can't be read."""

    rated_residual_ma: Decimal | None = None
    type: SwitchType | None = None
    delay: Delay = Delay.GENERAL
    waveform: Waveform | None = None


@dataclass(frozen=True, slots=True)
class LeadSize:
    """How long a lead is and the section of each of its conductors. None where it was not measured or read."""

    length_m: Decimal | None = None
    conductor_mm2: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """One thing with its own tag.

    `outlets` counts those that are tested one by one; 0 for kinds without any. `protected_by_switch`,
    `moved_in_use` and `risk_factor` are None where nobody recorded them. `since` is the day of the present
    condition: put into service, repaired, stored. `scope_reason` says why an item is out of scope.
    """

    kind: Kind
    outlets: int = 0
    safety_switch: SafetySwitch | None = None
    rated_current_a: Decimal | None = None
    condition: Condition = Condition.IN_USE
    since: date | None = None
    scope_reason: str = ""
    battery_run: bool = False
    protected_by_switch: bool | None = None
    moved_in_use: bool | None = None
    risk_factor: bool | None = None
    lead: LeadSize | None = None

    @property
    def has_switch(self) -> bool:
        """Whether the item is, or carries, a safety switch."""
        return self.kind in SAFETY_SWITCHES or self.safety_switch is not None


def outlets_of(kind: Kind, given: int | None) -> int:
    """Return how many outlets an item of this kind has: as given, or one where the kind has outlets at all."""
    if given is not None:
        return given
    return 1 if kind in WITH_OUTLETS else 0


@dataclass(frozen=True, slots=True)
class Exposure:
    """How harshly an item is used from a day on: its own environment class, and that of its place.

    The item's own class goes before the area's, the area's before the site's; `environment` is the one that
    counts, `place` the area's or site's, which may bind as well (hired tools on a construction site).
    """

    since: date
    environment: str
    place: str
    rulebook: str


def environment_of(own: str | None, area: str | None, site: str) -> tuple[str, str]:
    """Return the environment class that counts for an item and that of its place: item over area over site."""
    place = area or site
    return own or place, place
