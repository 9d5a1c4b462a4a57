"""Style B: one CSV row a test with the item written out again each time, dd/mm/yyyy, units in the cells."""

from datetime import date
from random import Random
from typing import Final

from register.domain.words import Bound, Check, Kind
from sample_sites.making.items import PastTest, SampleItem
from sample_sites.making.premises import Site
from sample_sites.making.readings import HALVES, Taken
from sample_sites.making.style import MOST_OUTLETS, Headings, Style, place_of
from sample_sites.making.table import Cell, Table, table_of

KINDS: Final = {
    Kind.PORTABLE_SAFETY_SWITCH: "PRCD",
    Kind.FIXED_SAFETY_SWITCH: "Fixed RCD",
    Kind.APPLIANCE_CLASS_1: "Class I",
    Kind.APPLIANCE_CLASS_2: "Class II",
    Kind.CORD_SET: "Cord set",
    Kind.EXTENSION_LEAD: "Ext lead",
    Kind.PORTABLE_OUTLET_DEVICE: "EPOD",
    Kind.ISOLATING_TRANSFORMER: "Iso transformer",
}
OTHER_KINDS: Final = {"PRCD": "prcd", "Class I": "class 1", "Class II": "DI", "Ext lead": "extension lead"}
"""The same written another way, as happens when two people keep one sheet."""

OTHER_HAND_SHARE: Final = 0.12

STATES: Final = {
    "new": "new",
    "stored": "in store",
    "out of service": "OOS",
    "removed": "disposed",
    "not found": "missing",
}
UNITS: Final = {
    Check.EARTH_RESISTANCE: " ohm",
    Check.INSULATION_RESISTANCE: " Mohm",
    Check.LEAKAGE_CURRENT: "mA",
    Check.TRIP_TIME: "ms",
}
RISK_FACTORS: Final = frozenset({"Milking shed", "Calf shed"})
OUTLETS: Final = range(1, MOST_OUTLETS + 1)
HEADS: Final = (
    "Site", "Tag No", "Date tested", "Equipment", "Kind", "Location", "Environment", "Serial", "No of outlets",
    "mA", "Type", "AC/A", "S", "Amps", "Tester", "Test set", "Work done", "Look",
    "Earth", *(f"Earth O{n}" for n in OUTLETS), "Insulation", "Leakage",
    "Polarity", *(f"Polarity O{n}" for n in OUTLETS),
    *(f"O{n} {half}deg" for n in OUTLETS for half in HALVES), "P/F", "State", "Disposed on", "Previous tag",
    "Moved in use?", "On RCD?", "Risk factor?", "Comments",
)  # fmt: skip


def _day(day: date) -> str:
    return f"{day:%d/%m/%Y}"


def _reading_head(taken: Taken, item: SampleItem) -> str:
    outlet = place_of(taken, item)
    named = "" if outlet is None else f" O{outlet}"
    match taken.check:
        case Check.EARTH_RESISTANCE:
            return f"Earth{named}"
        case Check.POLARITY:
            return f"Polarity{named}"
        case Check.INSULATION_RESISTANCE:
            return "Insulation"
        case Check.LEAKAGE_CURRENT:
            return "Leakage"
        case _:
            return f"O{taken.outlet} {taken.half_cycle}deg"


def _written(taken: Taken) -> str:
    if taken.bound is Bound.NO_TRIP:
        return "no trip"
    if taken.value is None:
        return {"right": "ok", "wrong": "reversed"}[taken.word]
    bound = "" if taken.bound is Bound.EXACT else taken.bound.value
    return f"{bound}{taken.value}{UNITS[taken.check]}"


def _item_cells(site: Site, item: SampleItem, rng: Random) -> dict[str, Cell]:
    kind = KINDS[item.thing.kind]
    switch = item.switch
    cells: dict[str, Cell] = {
        "Site": site.code,
        "Tag No": f"{item.number:06d}",
        "Equipment": item.thing.text,
        "Kind": OTHER_KINDS.get(kind, kind) if rng.random() < OTHER_HAND_SHARE else kind,
        "Environment": item.environment.replace("-", " "),
        "Serial": item.serial or None,
        "No of outlets": str(item.thing.outlets) if item.thing.outlets else None,
        "Amps": f"{item.thing.amps}A",
        "Previous tag": item.earlier_tag or None,
    }
    if switch and switch.type:
        cells["mA"] = f"{switch.rated_residual_ma}mA"
        cells["Type"] = switch.type.value
        cells["AC/A"] = switch.waveform.value if switch.waveform else None
        cells["S"] = "S" if switch.delay == "selective" else None
    if site.rulebook == "au-qld":
        cells["Moved in use?"] = "yes" if item.thing.moved else "no"
        cells["On RCD?"] = "yes" if item.on_a_switch else "no"
        cells["Risk factor?"] = "yes" if item.area.name in RISK_FACTORS else "no"
    return cells


def _test_cells(item: SampleItem, test: PastTest) -> dict[str, Cell]:
    work = (("test & tag", test.appliance_test), ("RCD time", test.switch_test))
    cells: dict[str, Cell] = {
        "Date tested": _day(test.day),
        "Location": test.area,
        "Tester": test.tester,
        "Test set": test.instrument,
        "Work done": ", ".join(word for word, done in work if done),
        "Look": "ok" if test.look_passed else "not ok",
        "P/F": "PASS" if test.passed else "FAIL",
    }
    for taken in test.readings:
        cells[_reading_head(taken, item)] = _written(taken)
    return cells


def _state_cells(item: SampleItem) -> dict[str, Cell]:
    """What only the last row of an item says: where it is now, and what became of it."""
    remarks = "; ".join(filter(None, (item.tests[-1].remarks if item.tests else "", item.remarks)))
    return {
        "Location": item.area.name,
        "State": STATES.get(item.state),
        "Disposed on": _day(item.removed_on) if item.removed_on else None,
        "Comments": remarks or None,
    }


def _rows(site: Site, item: SampleItem, rng: Random) -> list[tuple[date, dict[str, Cell]]]:
    if not item.tests:
        return [(item.since, _item_cells(site, item, rng) | _state_cells(item))]
    rows = [
        (test.day, _item_cells(site, item, rng) | _test_cells(item, test) | {"Comments": test.remarks or None})
        for test in item.tests
    ]
    rows[-1][1].update(_state_cells(item))
    return rows


def _tables(site: Site, items: list[SampleItem], _premises: object, _today: date) -> list[Table]:
    rng = Random(site.code)  # noqa: S311 - which hand wrote a word, no secret
    rows = sorted((row for item in items for row in _rows(site, item, rng)), key=lambda row: row[0])
    return [table_of("", (cells for _, cells in rows), HEADS)]


STYLE: Final = Style(
    letter="B",
    headings=Headings(
        tag="Tag No",
        kind="Kind",
        description="Equipment",
        environment="Environment",
        day="Date tested",
        trip=lambda outlet: f"O{outlet} 0deg",
        earth="Earth",
    ),
    tag=lambda number: f"{number:06d}",
    day=_day,
    impossible_day=lambda year: f"31/04/{year}",
    trip_time=lambda text: f"{text}ms",
    tables=_tables,
)
