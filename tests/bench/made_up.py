"""An invented contractor's customers, items and tests, of any number and always the same."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from random import Random
from typing import Final

from register.domain.asked import Asked, what_is_asked
from register.domain.items import Item as DomainItem
from register.domain.items import SafetySwitch
from register.domain.measures import measure
from register.domain.records import Reading, ReadingPlan, TestRecord
from register.domain.rulebook import Rulebook
from register.domain.words import Check, Condition, Duty, Kind, Result, SwitchType, TestCurrent, Waveform
from register.services.items import NewItem
from register.services.places import NewSite

TODAY: Final = date(2026, 11, 2)
ITEMS_PER_SITE: Final = 830
BETWEEN_VISITS: Final = 183
AREAS: Final = ("Front office", "Kitchen", "Store room", "Machine shop", "Yard", "Upper floor", "Laundry", "Plant room")

KINDS: Final = {
    Kind.APPLIANCE_CLASS_1: 24,
    Kind.APPLIANCE_CLASS_2: 34,
    Kind.EXTENSION_LEAD: 15,
    Kind.CORD_SET: 8,
    Kind.PORTABLE_OUTLET_DEVICE: 8,
    Kind.PORTABLE_SAFETY_SWITCH: 7,
    Kind.FIXED_SAFETY_SWITCH: 3,
    Kind.ISOLATING_TRANSFORMER: 1,
}
"""How many of a hundred items are of each kind (made up, after what a general contractor may see)."""

THINGS: Final = {
    Kind.APPLIANCE_CLASS_1: ("Kettle", "Toaster", "Urn 20 l", "Bench grinder", "Pie warmer", "Heater", "Refrigerator"),
    Kind.APPLIANCE_CLASS_2: (
        "Drill",
        "Laptop supply",
        "Angle grinder",
        "Desk lamp",
        "Vacuum cleaner",
        "Radio",
        "Sander",
    ),
    Kind.EXTENSION_LEAD: ("Lead 10 m", "Lead 20 m", "Lead 5 m orange", "Reel 30 m"),
    Kind.CORD_SET: ("Cord C13", "Cord C13 right angle", "Cord C5"),
    Kind.PORTABLE_OUTLET_DEVICE: ("Outlet board 4 way", "Outlet board 6 way"),
    Kind.PORTABLE_SAFETY_SWITCH: ("Portable switch 1 outlet", "Portable switch 2 outlets", "Safety box 4 outlets"),
    Kind.FIXED_SAFETY_SWITCH: ("Switchboard switch, power", "Switchboard switch, light"),
    Kind.ISOLATING_TRANSFORMER: ("Site transformer",),
}
OUTLETS: Final = {Kind.PORTABLE_OUTLET_DEVICE: (4, 6), Kind.PORTABLE_SAFETY_SWITCH: (1, 2, 4)}
OWN_CLASSES: Final = {"Vacuum cleaner": "cleaning", "Site transformer": "hire"}

_CLASSES: Final = {
    "au-in-service": ("workshop", "flexed-or-hostile", "benign", "residential", "construction"),
    "au-qld": ("manufacturing", "service", "office", "rural", "construction"),
}
_FIRST: Final = ("Alder", "Bramble", "Copper", "Dray", "Ember", "Fallow", "Gorse", "Hazel", "Isling", "Juniper")
_SECOND: Final = ("gate", "wick", "mere", "holt", "combe", "ford", "stead", "ridge", "brook", "field")
_SORTS: Final = ("Workshop", "Hall", "School", "Motel", "Joinery", "Clinic", "Depot", "Dairy")


@dataclass(frozen=True, slots=True)
class MadeSite:
    """One customer's premises: the site, and its areas with their own classes where they have one."""

    site: NewSite
    areas: tuple[tuple[str, str | None], ...]


def sites(count: int) -> list[MadeSite]:
    """Return so many sites, one in five of them under the second rulebook."""
    rng = Random("sites")  # noqa: S311 - made-up data, no secret
    return [_site(number, rng) for number in range(count)]


def _site(number: int, rng: Random) -> MadeSite:
    place = _FIRST[number % 10] + _SECOND[number // 10 % 10]
    rules = "au-qld" if number % 5 == 4 else "au-in-service"
    classes = _CLASSES[rules]
    site = NewSite(
        code=f"S{number + 1:03}", name=f"{place} {_SORTS[number % len(_SORTS)]}",
        owner=f"{place} Holdings {number + 1}",
        rulebook=rules, environment=classes[number % len(classes)],
    )  # fmt: skip
    areas = tuple((name, rng.choice(classes) if rng.random() < 0.3 else None) for name in AREAS)
    return MadeSite(site, areas)


def items(area_ids: list[str], count: int, *, start: int = 0) -> Iterator[NewItem]:
    """Yield so many items, site after site; `start` is the first one's number, by which tags differ."""
    rng = Random(f"items {start}")  # noqa: S311 - made-up data, no secret
    kinds, weights = list(KINDS), list(KINDS.values())
    for number in range(start, start + count):
        area = number // ITEMS_PER_SITE * len(AREAS) + rng.randrange(len(AREAS))
        yield _item(number, rng.choices(kinds, weights)[0], area_ids[area % len(area_ids)], rng)


def _item(number: int, kind: Kind, area_id: str, rng: Random) -> NewItem:
    place = rng.randrange(len(THINGS[kind]))
    since = visit_of(number // ITEMS_PER_SITE) - timedelta(days=BETWEEN_VISITS * rng.choice((6, 6, 6, 5, 4)))
    condition = rng.choices((Condition.IN_USE, Condition.NEW, Condition.STORED), (95, 4, 1))[0]
    return NewItem(
        tag=f"{number:06}", area_id=area_id, kind=kind, since=since, description=THINGS[kind][place],
        serial=f"{rng.randrange(36**6):08X}"[:8], environment=OWN_CLASSES.get(THINGS[kind][place]),
        outlets=OUTLETS[kind][place % len(OUTLETS[kind])] if kind in OUTLETS else None,
        safety_switch=switch_plate(kind), rated_current_a=Decimal(10), condition=condition,
        condition_since=since if condition is not Condition.IN_USE else None,
        protected_by_switch=True if rng.random() < 0.3 else None, moved_in_use=True if place % 2 else None,
        earlier_tags=(f"K{number:06}",) if rng.random() < 0.1 else (),
        removed_on=TODAY - timedelta(days=rng.randrange(1, 200)) if rng.random() < 0.03 else None,
    )  # fmt: skip


def switch_plate(kind: Kind) -> SafetySwitch | None:
    """Return the rating plate of a made-up safety switch; None for other kinds."""
    if kind not in {Kind.PORTABLE_SAFETY_SWITCH, Kind.FIXED_SAFETY_SWITCH}:
        return None
    kinds = SwitchType.II if kind is Kind.PORTABLE_SAFETY_SWITCH else SwitchType.IEC
    return SafetySwitch(Decimal(30), kinds, waveform=Waveform.A)


def visit_of(site_number: int, day: int = 0) -> date:
    """Return a day of the latest visit to a site, which lasts some days."""
    return TODAY - timedelta(days=8 + site_number * 37 % (BETWEEN_VISITS - 9) - day)


def tests(
    item: DomainItem, duties: tuple[Duty, ...], rules: Rulebook, visited: date, rng: Random
) -> Iterator[TestRecord]:
    """Yield the complete tests of an item, the oldest first: one at each visit, one in fifty of which fails.

    One item in forty was never tested, one in twelve was not to be found at the latest visit.
    """
    asked = what_is_asked(duties, item, rules, ReadingPlan())
    visits = 0 if rng.random() < 0.025 else 3 + (rng.random() < 0.4)
    missed = rng.random() < 0.08
    for number in range(visits, 0, -1):
        day = visited - timedelta(days=BETWEEN_VISITS * (number - 1 + missed))
        yield TestRecord(duties, tuple(_readings(asked, rng, fails=rng.random() < 0.02)), Result.PASS, day)


def _readings(asked: tuple[Asked, ...], rng: Random, *, fails: bool) -> Iterator[Reading]:
    for each in asked:
        check = each.checks[0]
        if check is not Check.LOOK:
            value, unit = _value(check, rng, fails=fails)
            trip = check is Check.TRIP_TIME
            yield Reading(
                check, measure(check, value, unit), each.outlet, each.half_cycle, each.multiple,
                TestCurrent.AC if trip else None,
            )  # fmt: skip


def _value(check: Check, rng: Random, *, fails: bool) -> tuple[str, str]:
    """Return what an instrument might show, well inside the limit or well beyond it."""
    if check is Check.TRIP_TIME:
        return f"{310 if fails else 18 + rng.randrange(120) / 10:.1f}", "ms"
    if check is Check.EARTH_RESISTANCE:
        return f"{1.4 if fails else rng.randrange(5, 60) / 100:.2f}", "ohm"
    if check is Check.INSULATION_RESISTANCE:
        return f"{0.4 if fails else rng.randrange(50, 400)}", "Mohm"
    return ("wrong" if fails else "right", "")
