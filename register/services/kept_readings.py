"""How a judged record is kept, and read back: readings with the limits they were held against, frozen for good."""

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final
from uuid import UUID, uuid5

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.findings import look_held_against
from register.domain.items import Item as DomainItem
from register.domain.measures import Measure
from register.domain.places import place_heading, place_of
from register.domain.records import Finding, Judgement, Place, TestRecord
from register.domain.records import Reading as DomainReading
from register.domain.words import Bound, Check, Result, TestCurrent, Unit
from register.store.bulk import chunks, insert_rows, rows_of
from register.store.tables import HeldLimit, Reading, Record

READING_COLUMNS: Final = (
    "record_id", "number", "quantity", "outlet", "half_cycle", "multiple", "test_current", "value", "unit", "bound",
    "result", "limit_id", "why",
)  # fmt: skip

_LIMITS: Final = UUID("4f0c1c1e-7d5a-5c57-9d0e-2f6f1f0f9a11")
"""The name space of limits' ids: the same limit has the same id in every register."""


def limit_key(finding: Finding) -> str:
    """Return the id of the limit that a finding was held against."""
    return _limit_key(_limit(finding))


@lru_cache(maxsize=4_096)
def _limit_key(parts: tuple[str, str | None, str | None, str]) -> str:
    return str(uuid5(_LIMITS, json.dumps(parts, ensure_ascii=False)))


def _limit(finding: Finding) -> tuple[str, str | None, str | None, str]:
    return finding.limit, _plain(finding.least), _plain(finding.most), finding.source


def _plain(value: Decimal | None) -> str | None:
    return None if value is None else f"{value:f}"


def keep_limits(connection: Connection, judgements: Iterable[Judgement]) -> None:
    """Keep the limits of these judgements that are not kept yet."""
    known = set(connection.execute(sa.select(HeldLimit.id)).scalars())
    fresh: dict[str, tuple[Any, ...]] = {}
    distinct = {_limit(finding): finding for judgement in judgements for finding in judgement.findings}
    for parts, finding in distinct.items():
        key = limit_key(finding)
        if key not in known:
            fresh[key] = (key, *parts)
    insert_rows(connection, HeldLimit, ("id", "words", "least", "most", "source"), fresh.values())


def look_limit(judgement: Judgement) -> str | None:
    """Return the id of what the look was held against; None where nobody looked."""
    return next((limit_key(each) for each in judgement.findings if each.place.check is Check.LOOK), None)


def reading_rows(
    record_id: str, record: TestRecord, item: DomainItem, judgement: Judgement
) -> Iterable[tuple[Any, ...]]:
    """Yield the readings of a record as rows in the order of `READING_COLUMNS`."""
    found = {(finding.place, finding.measure): finding for finding in judgement.findings}
    for number, reading in enumerate(record.readings, start=1):
        place = place_of(reading, item)
        finding = found.get((place, reading.measure))
        held: tuple[str | None, str | None, str] = (None, None, "")
        if finding is not None:
            held = (finding.result.value, limit_key(finding), "" if finding.result is Result.PASS else finding.why)
        yield (record_id, number, *_place_facts(place), *_measure_facts(reading.measure), *held)


def reading_facts(reading: DomainReading) -> tuple[Any, ...]:
    """Return what tells one reading from another: its place as given, and its value."""
    return (*_place_facts(reading), *_measure_facts(reading.measure))


def _place_facts(place: Place | DomainReading) -> tuple[Any, ...]:
    return (
        place.check._value_, place.outlet, place.half_cycle, _plain(place.multiple),
        None if place.test_current is None else place.test_current._value_,
    )  # fmt: skip


def _measure_facts(measure: Measure) -> tuple[str, str, str]:
    return measure.plain, measure.unit._value_, measure.bound._value_  # a large sheet asks a hundred thousand times


def place_row(place: Place) -> dict[str, Any]:
    """Return a place as a dictionary; what does not apply is left out."""
    names = ("check", "outlet", "half_cycle", "multiple", "test_current")
    return {name: value for name, value in zip(names, _place_facts(place), strict=True) if value is not None}


def findings_of(connection: Connection, record_ids: Collection[str]) -> dict[str, list[Finding]]:
    """Return the findings of each record, the look first, then the readings that had a limit in their order."""
    found: dict[str, list[Finding]] = defaultdict(list)
    limits = {row.id: row for row in connection.execute(sa.select(HeldLimit.__table__))}
    for some in chunks(record_ids, 500):
        looks = sa.select(Record.id, Record.look, Record.look_limit_id).where(
            Record.id.in_(some), Record.look_limit_id.is_not(None)
        )
        for key, look, limit in connection.execute(looks):
            assert look is not None
            found[key].append(look_held_against(limits[limit].source, Result(look)))
        readings = sa.select(*_FOUND_COLUMNS).where(Reading.record_id.in_(some), Reading.limit_id.is_not(None))
        for record, limit, result, why, place, measured in _found(connection, readings):
            found[record].append(_finding(limits[limit], _place(*place), _measure(*measured), Result(result), why))
    return found


def readings_of(connection: Connection, record_id: str) -> tuple[DomainReading, ...]:
    """Return what was measured in one record, in its order."""
    readings = _found(connection, sa.select(*_FOUND_COLUMNS).where(Reading.record_id == record_id))
    found = ((_place(*place), _measure(*measured)) for *_, place, measured in readings)
    return tuple(
        DomainReading(at.check, measure, at.outlet, at.half_cycle, at.multiple, at.test_current)
        for at, measure in found
    )


_FOUND_COLUMNS: Final = (
    Reading.record_id, Reading.limit_id, Reading.result, Reading.why, Reading.quantity, Reading.outlet,
    Reading.half_cycle, Reading.multiple, Reading.test_current, Reading.value, Reading.unit, Reading.bound,
)  # fmt: skip


def _found(connection: Connection, readings: sa.Select[*tuple[Any, ...]]) -> Iterator[tuple[Any, ...]]:
    """Yield readings in their order: record, limit, result, reason, then what tells the place, and the measure."""
    for row in rows_of(connection, readings.order_by(Reading.record_id, Reading.number)):
        yield (*row[:4], row[4:9], row[9:])


def first_failed(connection: Connection, record_ids: sa.Select[Any]) -> dict[str, str]:
    """Return of each of these records the first reading that failed, with the limit it was held against, in words."""
    statement: sa.Select[*tuple[Any, ...]] = (
        sa.select(Reading.record_id, Reading.value, Reading.unit, Reading.bound, HeldLimit.words)
        .join(HeldLimit, HeldLimit.id == Reading.limit_id)
        .where(Reading.record_id.in_(record_ids), Reading.result == Result.FAIL.value)
        .order_by(Reading.record_id, Reading.number.desc())
    )
    rows = connection.execute(statement)
    return {row.record_id: f"{_measure(row.value, row.unit, row.bound)}, {row.words}" for row in rows}


def _finding(limit: Row[Any], place: Place, measure: Measure, result: Result, why: str) -> Finding:
    words = why or f"{place_heading(place)}: {measure}; limit: {limit.words} ({limit.source})."
    return Finding(
        place, measure, limit.words, result, limit.source, words,
        None if limit.least is None else Decimal(limit.least), None if limit.most is None else Decimal(limit.most),
    )  # fmt: skip


# The same places and measures come again and again.


@lru_cache(maxsize=4_096)
def _place(
    quantity: str, outlet: int | None, half_cycle: int | None, multiple: str | None, current: str | None
) -> Place:
    return Place(
        Check(quantity), outlet, half_cycle,
        None if multiple is None else Decimal(multiple), None if current is None else TestCurrent(current),
    )  # fmt: skip


@lru_cache(maxsize=4_096)
def _measure(value: str, unit: str, bound: str) -> Measure:
    if Unit(unit) is Unit.NONE:
        return Measure(None, Unit.NONE, Bound(bound), word=value)
    return Measure(Decimal(value) if value else None, Unit(unit), Bound(bound))
