"""Style D: one semicolon-separated row an item, decimal commas, ISO dates, its own words, the last three results."""

from datetime import date
from typing import Final

from register.domain.words import Bound, Check, Kind
from sample_sites.making.items import PastTest, SampleItem
from sample_sites.making.premises import Site
from sample_sites.making.readings import HALVES, Taken
from sample_sites.making.style import MOST_OUTLETS, Headings, Style, place_of, plain
from sample_sites.making.table import Cell, Table, table_of

KINDS: Final = {
    Kind.PORTABLE_SAFETY_SWITCH: "Portable RCD",
    Kind.FIXED_SAFETY_SWITCH: "RCD in board",
    Kind.APPLIANCE_CLASS_1: "Earthed appliance",
    Kind.APPLIANCE_CLASS_2: "Double insulated",
    Kind.CORD_SET: "Detachable cord",
    Kind.EXTENSION_LEAD: "Extension cord",
    Kind.PORTABLE_OUTLET_DEVICE: "Power board",
    Kind.ISOLATING_TRANSFORMER: "Isolation transformer",
}
ENVIRONMENTS: Final = {
    "hire": "for hire", "benign": "office use", "workshop": "production", "flexed-or-hostile": "harsh",
    "cleaning": "cleaners", "construction": "building site", "residential": "guest rooms",
}  # fmt: skip
STATES: Final = {
    "in use": "active", "new": "new", "stored": "stored", "out of service": "blocked", "removed": "scrapped",
    "not found": "not found",
}  # fmt: skip
OUTLETS: Final = range(1, MOST_OUTLETS + 1)
EARLIER: Final = ("Previous test", "Test before that")
HEADS: Final = (
    "Number", "Equipment", "Group", "Room", "Use", "Place", "Sockets", "Residual current mA", "RCD type", "RCD form",
    "Rated A", "Serial number", "State", "Tested on", "Outcome", "Tested by", "With", "Look", "Insulation (Mohm)",
    "Earth (Ohm)", *(f"Earth S{n} (Ohm)" for n in OUTLETS), "Leakage (mA)",
    "Polarity", *(f"Polarity S{n}" for n in OUTLETS),
    *(f"S{n} trip {half} (ms)" for n in OUTLETS for half in HALVES),
    "Previous test", "Previous test outcome", "Test before that", "Test before that outcome", "Scrapped on", "Remarks",
)  # fmt: skip


def _reading_head(taken: Taken, item: SampleItem) -> str:
    outlet = place_of(taken, item)
    named = "" if outlet is None else f" S{outlet}"
    match taken.check:
        case Check.EARTH_RESISTANCE:
            return f"Earth{named} (Ohm)"
        case Check.POLARITY:
            return f"Polarity{named}"
        case Check.INSULATION_RESISTANCE:
            return "Insulation (Mohm)"
        case Check.LEAKAGE_CURRENT:
            return "Leakage (mA)"
        case _:
            return f"S{taken.outlet} trip {taken.half_cycle} (ms)"


def _comma(cell: Cell) -> str:
    return str(cell).replace(".", ",")


def _outcome(test: PastTest) -> str:
    return "passed" if test.passed else "failed"


def _cells(site: Site, item: SampleItem) -> dict[str, Cell]:
    switch = item.switch
    cells: dict[str, Cell] = {
        "Number": f"K{item.number}",
        "Equipment": item.thing.text,
        "Group": KINDS[item.thing.kind],
        "Room": item.area.name,
        "Use": ENVIRONMENTS[item.environment],
        "Place": site.code,
        "Sockets": str(item.thing.outlets) if item.thing.outlets else None,
        "Rated A": item.thing.amps,
        "Serial number": item.serial or None,
        "State": STATES[item.state],
        "Scrapped on": item.removed_on.isoformat() if item.removed_on else None,
        "Remarks": item.remarks or None,
    }
    if switch and switch.type:
        cells["Residual current mA"] = f"{switch.rated_residual_ma}"
        cells["RCD type"] = switch.type.value
        cells["RCD form"] = switch.waveform.value if switch.waveform else None
    return cells


def _test_cells(item: SampleItem) -> dict[str, Cell]:
    if not item.tests:
        return {}
    *earlier, test = item.tests
    cells: dict[str, Cell] = {
        "Tested on": test.day.isoformat(),
        "Outcome": _outcome(test),
        "Tested by": test.tester,
        "With": test.instrument,
        "Look": "good" if test.look_passed else "bad",
        "Remarks": "; ".join(filter(None, (test.remarks, item.remarks))) or None,
    }
    for taken in test.readings:
        cell = plain(taken)
        cells[_reading_head(taken, item)] = cell if taken.bound is Bound.NO_TRIP else _comma(cell)
    for heading, before in zip(EARLIER, reversed(earlier), strict=False):
        cells[heading] = before.day.isoformat()
        cells[f"{heading} outcome"] = _outcome(before)
    return cells


def _tables(site: Site, items: list[SampleItem], _premises: object, _today: date) -> list[Table]:
    return [table_of("", (_cells(site, item) | _test_cells(item) for item in items), HEADS)]


STYLE: Final = Style(
    letter="D",
    headings=Headings(
        tag="Number",
        kind="Group",
        description="Equipment",
        environment="Use",
        day="Tested on",
        trip=lambda outlet: f"S{outlet} trip 0 (ms)",
        earth="Earth (Ohm)",
    ),
    tag=lambda number: f"K{number}",
    day=lambda day: day.isoformat(),
    impossible_day=lambda year: f"{year}-04-31",
    trip_time=lambda text: text.replace(".", ","),
    tables=_tables,
)
