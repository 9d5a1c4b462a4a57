"""What the contractor looks after, read from `premises.toml` and `things.toml`."""

import tomllib
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from register.domain.items import SafetySwitch
from register.domain.words import Delay, Kind, SwitchType, Waveform

HERE: Final = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Thing:
    """What is known of every item of one sort, whoever owns it."""

    name: str
    kind: Kind
    text: str
    outlets: int
    amps: str
    switch: SafetySwitch | None
    leakage: bool
    moved: bool
    own_class: str


@dataclass(frozen=True, slots=True)
class Area:
    """A part of a site, its environment class, and how many of which thing stand there (with a class of their own)."""

    name: str
    environment: str
    stock: tuple[tuple[Thing, str, int], ...]


@dataclass(frozen=True, slots=True)
class Site:
    """One customer's premises and how the contractor visits them."""

    code: str
    name: str
    owner: str
    address: str
    suburb: str
    rulebook: str
    environment: str
    style: str
    access: str
    last_visit: int
    every: int
    rotate: int
    years: float
    extra: frozenset[str]
    problems: tuple[str, ...]
    areas: tuple[Area, ...]


@dataclass(frozen=True, slots=True)
class Premises:
    """The contractor's firm, testers and instruments as the file states them, and the sites."""

    firm: dict[str, str]
    testers: tuple[dict[str, str], ...]
    instruments: tuple[dict[str, Any], ...]
    owners: tuple[str, ...]
    sites: tuple[Site, ...]


def read_premises() -> Premises:
    """Return everything that the sample sites are made from."""
    things = {name: _thing(name, table) for name, table in _toml("things.toml").items()}
    top = _toml("premises.toml")
    return Premises(
        firm=top["firm"],
        testers=tuple(top["testers"]),
        instruments=tuple(top["instruments"]),
        owners=tuple(owner["name"] for owner in top["owners"]),
        sites=tuple(_site(table, things) for table in top["site"]),
    )


def _toml(name: str) -> dict[str, Any]:
    return tomllib.loads((HERE / name).read_text(encoding="utf-8"))


def _thing(name: str, table: dict[str, Any]) -> Thing:
    plate = table.get("switch")
    switch = plate and SafetySwitch(
        rated_residual_ma=Decimal(plate["ma"]),
        type=SwitchType(plate["type"]),
        delay=Delay(plate.get("delay", "general")),
        waveform=Waveform(plate["waveform"]),
    )
    return Thing(
        name=name,
        kind=Kind(table["kind"]),
        text=table["text"],
        outlets=table.get("outlets", 0),
        amps=table["amps"],
        switch=switch,
        leakage=table.get("leakage", False),
        moved=not table.get("still", False),
        own_class=table.get("own_class", ""),
    )


def _site(table: dict[str, Any], things: dict[str, Thing]) -> Site:
    known = {key: table[key] for key in ("code", "name", "owner", "address", "suburb", "rulebook", "style", "access")}
    return Site(
        **known,
        environment=table["environment"],
        last_visit=table["last_visit"],
        every=table["every"],
        rotate=table.get("rotate", 1),
        years=table.get("years", 3.3),
        extra=frozenset(table.get("extra", ())),
        problems=tuple(table["problems"]),
        areas=tuple(_area(area, table, things) for area in table["areas"]),
    )


def _area(table: dict[str, Any], site: dict[str, Any], things: dict[str, Thing]) -> Area:
    environment = table.get("environment", site["environment"])
    stock = []
    for entry, count in table["stock"].items():
        name, _, given = entry.partition("@")
        thing = things[name]
        # cleaning is a class of the Australian rulebook; Queensland's work classes have none
        own = given or (thing.own_class if site["rulebook"] == "au-in-service" else "")
        stock.append((thing, "" if own == environment else own, count))
    return Area(table["name"], environment, tuple(stock))
