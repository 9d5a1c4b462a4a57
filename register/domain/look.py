"""What is looked at before anything is measured, by kind: common practice and course notes, restated in own words."""

from dataclasses import dataclass
from typing import Final

from register.domain.items import SAFETY_SWITCHES, Item
from register.domain.words import Kind

SOURCE: Final = "common practice and course notes, restated"


@dataclass(frozen=True, slots=True)
class LookPoint:
    """One thing to look at. `title` is what stands beside its box, `about` the sentence that says what is right."""

    id: str
    title: str
    about: str


READY: Final = LookPoint(
    "ready",
    "Switched on or reset",
    "The switch is on, or its reset was pressed and holds, before any measuring.",
)
_BUTTON: Final = LookPoint(
    "button", "Test button trips it", "The test button trips it and the reset holds. That alone is no time test."
)
_PLATE: Final = LookPoint(
    "plate", "Rating plate readable", "Rated residual current, type, rated current and the standard can be read."
)
_BODY: Final = LookPoint("body", "Body and covers", "The case is whole: no cracks, burns, loose parts or openings.")
_GUARDS: Final = LookPoint(
    "guards", "Guards and switches", "Guards, covers and switches work and are marked; vents are clear."
)
_CLEAN: Final = LookPoint("clean", "Dry and clean", "No wet, thick dust or corrosion; no taped or home-made repair.")
CORD: Final = LookPoint("cord", "Flex and anchorage", "The sheath is not cut, crushed or scorched, and held at entry.")
_PLUG: Final = LookPoint(
    "plug",
    "Plug and pins",
    "The plug is not cracked; its pins are straight, insulated where need be, not filed.",
)
_OUTLETS: Final = LookPoint("outlets", "Outlets, no burning", "Shutters work, and there is no burn mark or piggy-back.")
_LABEL: Final = LookPoint("label", "Label and class mark", "The rating label and the class mark are there and right.")
_SAME: Final = LookPoint("same", "Plug matches socket", "Plug and socket have the same rating, the cord carries it.")
_UNCOILED: Final = LookPoint("uncoiled", "Uncoiled, no joints", "It is fully uncoiled, in one piece, with an earth.")
LENGTH: Final = LookPoint("length", "Length for its size", "It is not longer than its conductors and rating allow.")
_OVERLOAD: Final = LookPoint("overload", "Over-current device", "It has one, it works, and it is not bridged.")
_SUITED: Final = LookPoint("suited", "Right for the place", "Its class and its protection from weather suit the place.")
_BYPASS: Final = LookPoint("bypass", "Not bypassed", "Nothing is wired around the switch.")
_NAMED: Final = LookPoint("named", "Circuits named", "What it protects is written beside it, and the list is right.")
_WINDING: Final = LookPoint(
    "winding", "Terminals and shield", "Terminals are tight and covered, and its shield earthed."
)

_POINTS: Final[dict[Kind, tuple[LookPoint, ...]]] = {
    Kind.PORTABLE_SAFETY_SWITCH: (_PLUG, _BODY, CORD, _PLATE, _OUTLETS, _BYPASS, _SUITED),
    Kind.FIXED_SAFETY_SWITCH: (_BODY, _PLATE, _BYPASS, _NAMED, _CLEAN),
    Kind.APPLIANCE_CLASS_1: (_PLUG, CORD, _BODY, _GUARDS, _LABEL, _CLEAN),
    Kind.APPLIANCE_CLASS_2: (_PLUG, CORD, _BODY, _GUARDS, _LABEL, _CLEAN),
    Kind.CORD_SET: (_PLUG, CORD, _SAME, _CLEAN),
    Kind.EXTENSION_LEAD: (_PLUG, CORD, _SAME, LENGTH, _UNCOILED, _CLEAN),
    Kind.PORTABLE_OUTLET_DEVICE: (_PLUG, _BODY, CORD, _OUTLETS, _OVERLOAD, _SUITED),
    Kind.ISOLATING_TRANSFORMER: (_PLUG, _BODY, CORD, _LABEL, _WINDING, _CLEAN),
}


def look_points(item: Item) -> tuple[LookPoint, ...]:
    """Return what is looked at on an item, in working order; one that carries a switch is switched on first."""
    own = _POINTS[item.kind]
    if not item.has_switch:
        return own
    plate = () if item.kind in SAFETY_SWITCHES else (_PLATE,)
    return (READY, *own, *plate, _BUTTON)
