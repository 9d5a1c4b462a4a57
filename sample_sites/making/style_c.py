"""Style C: a list to look at: title rows, blank rows between areas, abbreviations, ticks, a total, no readings."""

from datetime import date
from itertools import groupby
from typing import Final

from register.domain.words import Kind
from sample_sites.making.days import MONTHS
from sample_sites.making.items import SampleItem
from sample_sites.making.premises import Premises, Site
from sample_sites.making.style import Headings, Style, latest
from sample_sites.making.table import Cell, Row, Table, table_of

KINDS: Final = {
    Kind.PORTABLE_SAFETY_SWITCH: "PRCD {outlets} way",
    Kind.FIXED_SAFETY_SWITCH: "RCD fixed",
    Kind.APPLIANCE_CLASS_1: "App Cl I",
    Kind.APPLIANCE_CLASS_2: "App Cl II",
    Kind.CORD_SET: "IEC lead",
    Kind.EXTENSION_LEAD: "Ext lead {length}m",
    Kind.PORTABLE_OUTLET_DEVICE: "{outlets} way board",
    Kind.ISOLATING_TRANSFORMER: "Iso trans",
}
ENVIRONMENTS: Final = {
    "residential": "Resi", "flexed-or-hostile": "Hostile", "benign": "Office", "workshop": "Wshop",
    "cleaning": "Cleaning", "hire": "Hire", "construction": "Constr.",
}  # fmt: skip
STATES: Final = {
    "new": "new", "stored": "spare", "out of service": "OUT", "removed": "scrapped", "not found": "not found",
}  # fmt: skip
HEADS: Final = (
    "No.", "Where", "Tag", "What", "Type", "Env.", "Ways", "mA", "RCD type", "Wave", "Amp", "Ser. no.", "Last tested",
    "P/F", "By", "State", "Scrapped", "Comments",
)  # fmt: skip


def _day(day: date) -> str:
    return f"{day.day:02d}-{MONTHS[day.month - 1]}-{day.year % 100:02d}"


def _kind(item: SampleItem) -> str:
    length = item.thing.text.partition("lead ")[2].partition(" m")[0]
    words = KINDS[item.thing.kind].format(outlets=item.thing.outlets, length=length)
    built_in = item.thing.kind is Kind.PORTABLE_OUTLET_DEVICE and item.thing.switch
    return f"{words} + RCD" if built_in else words


def _item_cells(item: SampleItem) -> dict[str, Cell]:
    switch = item.switch
    cells: dict[str, Cell] = {
        "Where": item.area.name,
        "Tag": item.number,
        "What": item.thing.text,
        "Type": _kind(item),
        "Env.": ENVIRONMENTS[item.environment],
        "Ways": item.thing.outlets if item.thing.outlets > 1 else None,
        "Amp": int(item.thing.amps),
        "Ser. no.": item.serial or None,
        "State": STATES.get(item.state),
        "Scrapped": _day(item.removed_on) if item.removed_on else None,
    }
    if switch and switch.type:
        cells["mA"] = switch.rated_residual_ma
        cells["RCD type"] = switch.type.value
        cells["Wave"] = switch.waveform.value if switch.waveform else None
    return cells


def _cells(item: SampleItem, initials: dict[str, str]) -> dict[str, Cell]:
    test = latest(item)
    cells = _item_cells(item) | {"Comments": item.remarks or None}
    if test:
        cells["Last tested"] = _day(test.day)
        cells["P/F"] = ("✓" if item.number % 3 else "P") if test.passed else "F"
        cells["By"] = initials[test.tester]
        cells["Comments"] = "; ".join(filter(None, (test.remarks, item.remarks))) or None
    return cells


def _tables(site: Site, items: list[SampleItem], premises: Premises, today: date) -> list[Table]:
    initials = {tester["name"]: tester["initials"] for tester in premises.testers}
    records = [_cells(item, initials) | {"No.": place} for place, item in enumerate(items, start=1)]
    table = table_of("List", records, HEADS)
    where = table.column("Where")
    spaced: list[Row] = []
    for _, rows in groupby(table.rows, key=lambda row: row[where]):
        spaced += [*rows, [None] * len(table.head)]
    table.rows = spaced[:-1]
    failed = sum(not test.passed for item in items if (test := latest(item)))
    table.above = [
        [f"{premises.firm['name']} - equipment list"],
        ["Site:", site.code, None, site.name],
        ["Address:", f"{site.address}, {site.suburb}"],
        ["Printed:", _day(today)],
        [],
    ]
    table.below = [
        [],
        [None, "Total items", len(items)],
        [None, "Failed at last test", failed],
        [None, "✓ or P = passed, F = failed, OUT = do not use"],
    ]
    return [table]


STYLE: Final = Style(
    letter="C",
    headings=Headings(tag="Tag", kind="Type", description="What", environment="Env.", day="Last tested"),
    tag=lambda number: number,
    day=_day,
    impossible_day=lambda year: f"31-Apr-{year % 100:02d}",
    trip_time=lambda text: text,
    tables=_tables,
)
