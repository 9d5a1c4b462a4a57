"""The items of one site before anyone tests them: tag, serial, where they stand, what they are like inside."""

from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from random import Random
from typing import Final

from register.domain.items import SafetySwitch
from register.domain.words import Kind
from sample_sites.making.days import start_of, working_day_on_or_after
from sample_sites.making.premises import Area, Site, Thing
from sample_sites.making.readings import Nature, Taken, nature

THERE_FROM_THE_START: Final = 0.62
THERE_FROM_THE_START_OF_OFFICES: Final = 0.35
UNREADABLE_PLATE_SHARE: Final = 0.03
UNREADABLE_SERIAL_SHARE: Final = 0.4
OTHER_FIRMS_TAG_SHARE: Final = 0.04


@dataclass(slots=True)
class PastTest:
    """One test of one item as the contractor wrote it down."""

    day: date
    tester: str
    instrument: str
    appliance_test: bool
    switch_test: bool
    area: str
    readings: tuple[Taken, ...] = ()
    look_passed: bool = True
    passed: bool = True
    remarks: str = ""


@dataclass(slots=True)
class SampleItem:
    """One item of a site, with all its tests so far. `state` is one of those that the styles have words for."""

    number: int
    thing: Thing
    area: Area
    own_class: str
    since: date
    nature: Nature
    switch: SafetySwitch | None
    serial: str = ""
    earlier_tag: str = ""
    state: str = "in use"
    removed_on: date | None = None
    remarks: str = ""
    tests: list[PastTest] = field(default_factory=list)

    @property
    def environment(self) -> str:
        """The environment class that counts: the item's own, or that of its area."""
        return self.own_class or self.area.environment

    @property
    def on_a_switch(self) -> bool:
        """Whether it is plugged in behind a safety switch, which Queensland's rules ask."""
        return self.number % 7 > 0


def stock_up(site: Site, today: date, first_number: int, rng: Random) -> list[SampleItem]:
    """Return the items of a site, numbered on from `first_number` in the order of the areas."""
    items: list[SampleItem] = []
    for area in site.areas:
        for thing, own_class, count in area.stock:
            for _ in range(count):
                items.append(_item(first_number + len(items), thing, area, own_class, _since(site, today, rng), rng))
    return items


def _since(site: Site, today: date, rng: Random) -> date:
    """Most items were there from the start; the others came since, evenly."""
    start = start_of(site.years, today)
    share = THERE_FROM_THE_START_OF_OFFICES if site.environment == "benign" else THERE_FROM_THE_START
    if rng.random() < share:
        return working_day_on_or_after(start)
    return working_day_on_or_after(start + timedelta(days=rng.randint(0, (today - start).days - 20)))


def _item(number: int, thing: Thing, area: Area, own_class: str, since: date, rng: Random) -> SampleItem:
    switch = thing.switch
    if switch and thing.kind is not Kind.FIXED_SAFETY_SWITCH and rng.random() < UNREADABLE_PLATE_SHARE:
        switch = replace(switch, rated_residual_ma=None, type=None)
    return SampleItem(
        number=number,
        thing=thing,
        area=area,
        own_class=own_class,
        since=since,
        nature=nature(thing, thing.switch, rng),
        switch=switch,
        serial=_serial(thing, rng),
        earlier_tag=f"T{rng.randint(10000, 99999)}" if rng.random() < OTHER_FIRMS_TAG_SHARE else "",
        remarks="rating plate can't be read" if switch != thing.switch else "",
    )


def _serial(thing: Thing, rng: Random) -> str:
    if thing.kind in {Kind.CORD_SET, Kind.EXTENSION_LEAD} or rng.random() < UNREADABLE_SERIAL_SHARE:
        return ""
    return f"{rng.randint(100, 999)}-{rng.randint(1000, 9999)}"
