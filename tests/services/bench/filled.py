"""An item laid on the bench, and its worksheet filled in."""

from dataclasses import replace
from decimal import Decimal

from register.domain.look import look_points
from register.domain.records import Place
from register.domain.words import Check
from register.services.bench.on_bench import BenchItem, scan
from register.services.bench.worksheet import Worksheet
from tests.desk import Desk

TEXTS = {
    Check.TRIP_TIME: "24",
    Check.TRIP_CURRENT: "22",
    Check.EARTH_RESISTANCE: "0.2",
    Check.POLARITY: "r",
    Check.INSULATION_RESISTANCE: ">100",
}


def on_the_bench(desk: Desk, tag: str = "RR-1") -> BenchItem:
    with desk.read() as connection:
        found = scan(connection, tag, desk.today).item
    assert found is not None
    return found


def filled(sheet: Worksheet, but: dict[Place, str] | None = None) -> Worksheet:
    """Return the worksheet with everything seen and measured to be right, but for some cells."""
    texts = {cell.place: TEXTS.get(cell.place.check, "") for cell in sheet.cells()}
    texts |= {place: "n" for place in texts if place.multiple == Decimal("0.5")}
    look = {point.id: True for point in look_points(sheet.item)}
    return replace(sheet, typed=texts | (but or {}), look=look)
