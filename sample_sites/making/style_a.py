"""Style A: a tidy workbook, items on one sheet and all tests on another, units in the heads, real date cells."""

from datetime import date
from decimal import Decimal
from typing import Final

from register.domain.words import Check, Kind
from sample_sites.making.items import PastTest, SampleItem
from sample_sites.making.premises import Site
from sample_sites.making.readings import FULL, HALVES, Taken
from sample_sites.making.style import MOST_OUTLETS, Headings, Style, place_of, plain
from sample_sites.making.table import Cell, Table, table_of

KINDS: Final = {
    Kind.PORTABLE_SAFETY_SWITCH: "Portable safety switch",
    Kind.FIXED_SAFETY_SWITCH: "Fixed safety switch",
    Kind.APPLIANCE_CLASS_1: "Appliance Class I",
    Kind.APPLIANCE_CLASS_2: "Appliance Class II",
    Kind.CORD_SET: "Cord set",
    Kind.EXTENSION_LEAD: "Extension lead",
    Kind.PORTABLE_OUTLET_DEVICE: "Portable outlet device",
    Kind.ISOLATING_TRANSFORMER: "Isolating transformer",
}
STATES: Final = {
    "in use": "In use", "new": "New", "stored": "Spare", "out of service": "Out of service",
    "removed": "Removed", "not found": "Not found",
}  # fmt: skip
ITEM_HEADS: Final = (
    "Tag no.", "Site", "Area", "Area class", "Item class", "Description", "Kind", "Serial no.", "Outlets",
    "Rated residual current (mA)", "Switch type", "Waveform", "Delay", "Rated current (A)", "In service since",
    "Status", "Removed on", "Old tag", "Moved in use", "On a safety switch", "Risk factor", "Notes",
)  # fmt: skip
MULTIPLES: Final = (FULL, Decimal(5), Decimal("0.5"))


def _tag(number: int) -> str:
    return f"BW-{number:06d}"


def _trip_head(outlet: int, half: int, multiple: Decimal) -> str:
    return f"Outlet {outlet} {half}° {multiple}x (ms)"


def _rising_head(outlet: int, half: int) -> str:
    return f"Outlet {outlet} {half}° rising current (mA)"


def _test_heads() -> list[str]:
    outlets = range(1, MOST_OUTLETS + 1)
    return [
        "Tag no.", "Test date", "Tested by", "Instrument", "Work done", "Visual",
        "Earth (Ω)", *(f"Earth outlet {n} (Ω)" for n in outlets), "Insulation (MΩ)", "Leakage (mA)",
        "Polarity", *(f"Polarity outlet {n}" for n in outlets),
        *(_trip_head(n, half, multiple) for multiple in MULTIPLES for n in outlets for half in HALVES),
        *(_rising_head(n, half) for n in outlets for half in HALVES), "Result", "Remarks",
    ]  # fmt: skip


def _reading_head(taken: Taken, item: SampleItem) -> str:
    outlet = place_of(taken, item)
    named = "" if outlet is None else f" outlet {outlet}"
    match taken.check:
        case Check.EARTH_RESISTANCE:
            return f"Earth{named} (Ω)"
        case Check.POLARITY:
            return f"Polarity{named}"
        case Check.INSULATION_RESISTANCE:
            return "Insulation (MΩ)"
        case Check.LEAKAGE_CURRENT:
            return "Leakage (mA)"
        case Check.TRIP_CURRENT:
            return _rising_head(taken.outlet or 1, taken.half_cycle or 0)
        case _:
            return _trip_head(taken.outlet or 1, taken.half_cycle or 0, taken.multiple or FULL)


def _work(test: PastTest) -> str:
    parts = (("T&T", test.appliance_test), ("RCD", test.switch_test))
    return " + ".join(word for word, done in parts if done)


def _item_row(site: Site, item: SampleItem) -> dict[str, Cell]:
    switch = item.switch
    row: dict[str, Cell] = {
        "Tag no.": _tag(item.number),
        "Site": site.code,
        "Area": item.area.name,
        "Area class": item.area.environment,
        "Item class": item.own_class or None,
        "Description": item.thing.text,
        "Kind": KINDS[item.thing.kind],
        "Serial no.": item.serial or None,
        "Outlets": item.thing.outlets or None,
        "Rated current (A)": Decimal(item.thing.amps),
        "In service since": item.since,
        "Status": STATES[item.state],
        "Removed on": item.removed_on,
        "Old tag": item.earlier_tag or None,
        "Notes": item.remarks or None,
    }
    if switch and switch.type:
        row["Rated residual current (mA)"] = switch.rated_residual_ma
        row["Switch type"] = "IEC" if switch.type == "iec" else f"Type {switch.type.value}"
        row["Delay"] = "S" if switch.delay == "selective" else None
        row["Waveform"] = switch.waveform.value if switch.waveform else None
    if site.rulebook == "au-qld":
        row["Moved in use"] = "Y" if item.thing.moved else "N"
        row["On a safety switch"] = "Y" if item.on_a_switch else "N"
    return row


def _test_row(item: SampleItem, test: PastTest) -> dict[str, Cell]:
    row: dict[str, Cell] = {
        "Tag no.": _tag(item.number),
        "Test date": test.day,
        "Tested by": test.tester,
        "Instrument": test.instrument,
        "Work done": _work(test),
        "Visual": "Pass" if test.look_passed else "Fail",
        "Result": "Pass" if test.passed else "Fail",
        "Remarks": test.remarks or None,
    }
    for taken in test.readings:
        word = {"right": "OK", "wrong": "Wrong"}.get(taken.word)
        row[_reading_head(taken, item)] = word or plain(taken)
    return row


def _tables(site: Site, items: list[SampleItem], _premises: object, _today: date) -> list[Table]:
    tests = sorted(
        ((test.day, item.number, item, test) for item in items for test in item.tests), key=lambda each: each[:2]
    )
    return [
        table_of("Items", (_item_row(site, item) for item in items), ITEM_HEADS),
        table_of("Tests", (_test_row(item, test) for _, _, item, test in tests), _test_heads()),
    ]


def _typed(text: str) -> Cell:
    """What is a number becomes one, as in a spreadsheet program; what isn't stays text."""
    return text if any(letter.isalpha() for letter in text) else Decimal(text)


STYLE: Final = Style(
    letter="A",
    headings=Headings(
        tag="Tag no.",
        kind="Kind",
        description="Description",
        environment="Item class",
        day="Test date",
        trip=lambda outlet: _trip_head(outlet, 0, FULL),
        earth="Earth (Ω)",
    ),
    tag=_tag,
    day=lambda day: day,
    impossible_day=lambda year: f"31/4/{year}",
    trip_time=_typed,
    tables=_tables,
)
