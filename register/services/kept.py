"""Findings and places as they are kept with a record, and back: they freeze the limits it was judged by."""

from decimal import Decimal
from typing import Any

from register.domain.measures import Measure
from register.domain.records import Finding, Place, Reading
from register.domain.words import Bound, Check, Result, TestCurrent, Unit


def place_row(place: Place) -> dict[str, Any]:
    """Return a place as it is kept; what does not apply is left out."""
    row: dict[str, Any] = {"check": place.check.value}
    if place.outlet is not None:
        row["outlet"] = place.outlet
    if place.half_cycle is not None:
        row["half_cycle"] = place.half_cycle
    if place.multiple is not None:
        row["multiple"] = f"{place.multiple:f}"
    if place.test_current is not None:
        row["test_current"] = place.test_current.value
    return row


def place_of(row: dict[str, Any]) -> Place:
    """Return a place from its kept form."""
    return Place(
        Check(row["check"]),
        row.get("outlet"),
        row.get("half_cycle"),
        None if row.get("multiple") is None else Decimal(row["multiple"]),
        None if row.get("test_current") is None else TestCurrent(row["test_current"]),
    )


def finding_row(finding: Finding) -> dict[str, Any]:
    """Return a finding as it is kept."""
    row = place_row(finding.place)
    if finding.measure is not None:
        row |= measure_row(finding.measure)
    return row | {"limit": finding.limit, "result": finding.result.value, "source": finding.source, "why": finding.why}


def finding_of(row: dict[str, Any]) -> Finding:
    """Return a finding from its kept form."""
    measure = measure_of(row) if "bound" in row else None
    return Finding(place_of(row), measure, row["limit"], Result(row["result"]), row["source"], row["why"])


def measure_row(measure: Measure) -> dict[str, str]:
    """Return a measure as it is kept: exact text, unit and bound."""
    return {"value": measure.plain, "unit": measure.unit.value, "bound": measure.bound.value}


def measure_of(row: dict[str, Any]) -> Measure:
    """Return a measure from its kept form."""
    unit, bound, text = Unit(row["unit"]), Bound(row["bound"]), row["value"]
    if unit is Unit.NONE:
        return Measure(None, unit, bound, word=text)
    return Measure(Decimal(text) if text else None, unit, bound)


READING_COLUMNS = (
    "record_id", "number", "quantity", "outlet", "half_cycle", "multiple", "test_current", "value", "unit", "bound",
)  # fmt: skip


def reading_row(record_id: str, number: int, reading: Reading) -> tuple[Any, ...]:
    """Return a reading as a row of its table, in the order of `READING_COLUMNS`."""
    measure = reading.measure
    return (
        record_id, number, reading.check.value, reading.outlet, reading.half_cycle,
        None if reading.multiple is None else f"{reading.multiple:f}",
        None if reading.test_current is None else reading.test_current.value,
        measure.plain, measure.unit.value, measure.bound.value,
    )  # fmt: skip
