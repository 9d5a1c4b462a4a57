"""How a judged record is kept, and read back: readings with the limits they were held against, frozen for good."""

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache
from typing import Any, Final
from uuid import UUID, uuid5

import orjson
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


_Limit = tuple[str, str | None, str | None, str]
"""The words of a limit, its least and its most, and where it stands."""


@lru_cache(maxsize=4_096)
def _limit_key(limit: _Limit) -> str:
    """Return the id of a limit."""
    return str(uuid5(_LIMITS, json.dumps(limit, ensure_ascii=False)))


def _limit(finding: Finding) -> _Limit:
    return finding.limit, _plain(finding.least), _plain(finding.most), finding.source


def _plain(value: Decimal | None) -> str | None:
    return None if value is None else f"{value:f}"


ReadingFacts = tuple[str, int | None, int | None, str | None, str | None, str, str, str]
"""What tells one reading from another: its place as given, and its value as written."""


@dataclass(frozen=True, slots=True)
class Measured:
    """What of a judged record follows from what was seen and measured alone, as it is kept.

    `readings` are rows in the order of `READING_COLUMNS` without the record's id, `limits` the limits they and the look
    were held against by id, `facts` as JSON what tells these readings from others.
    """

    duties: tuple[str, ...]
    readings: tuple[tuple[Any, ...], ...]
    facts: bytes
    missing: tuple[dict[str, Any], ...]
    look_limit: str | None
    limits: Mapping[str, tuple[Any, ...]]


def measured(
    record: TestRecord, item: DomainItem, judgement: Judgement, facts: Sequence[ReadingFacts] = ()
) -> Measured:
    """Return what a record that was judged measured, as it is kept; `facts` of its readings where they are known."""
    facts = facts or [*map(reading_facts, record.readings)]
    held = [(finding, _limit(finding)) for finding in judgement.findings]
    return Measured(
        duties=tuple(duty._value_ for duty in record.duties),
        readings=tuple(_reading_rows(record, facts, item, held)),
        facts=orjson.dumps(sorted([str(fact) for fact in each] for each in facts)),
        missing=tuple(place_row(each) for each in judgement.missing),
        look_limit=next((_limit_key(limit) for each, limit in held if each.place.check is Check.LOOK), None),
        limits={_limit_key(limit): limit for _finding, limit in held},
    )


def _reading_rows(
    record: TestRecord, facts: Sequence[ReadingFacts], item: DomainItem, held: Iterable[tuple[Finding, _Limit]]
) -> Iterator[tuple[Any, ...]]:
    """Yield the readings as rows without the record's id, each with its finding and the id of its limit."""
    found: dict[tuple[str | int | None, ...], tuple[str | None, str | None, str]] = {
        _facts(each.place, each.measure):
            (each.result._value_, _limit_key(limit), "" if each.result is Result.PASS else each.why)
        for each, limit in held
        if each.measure is not None
    }  # fmt: skip
    for number, (reading, given) in enumerate(zip(record.readings, facts, strict=True), start=1):
        check, _outlet, half_cycle, multiple, _current, *value = given
        place = place_of(reading, item)
        row = (check, place.outlet, half_cycle, multiple, word_of(place.test_current), *value)
        yield (number, *row, *found.get(row, (None, None, "")))


def keep_limits(connection: Connection, all_measured: Iterable[Measured]) -> None:
    """Keep the limits that what was measured was held against, where they are not kept yet."""
    known = set(connection.execute(sa.select(HeldLimit.id)).scalars())
    limits = {key: parts for each in all_measured for key, parts in each.limits.items()}
    fresh = [(key, *parts) for key, parts in limits.items() if key not in known]
    insert_rows(connection, HeldLimit, ("id", "words", "least", "most", "source"), fresh)


def reading_facts(reading: DomainReading) -> ReadingFacts:
    """Return what tells a reading from others."""
    return _facts(reading, reading.measure)


def _facts(place: Place | DomainReading, measure: Measure) -> ReadingFacts:
    value = (measure.plain, measure.unit._value_, measure.bound._value_)  # a large sheet asks a hundred thousand times
    return *_place_facts(place), *value


def _place_facts(place: Place | DomainReading) -> tuple[str, int | None, int | None, str | None, str | None]:
    check, current = place.check._value_, word_of(place.test_current)
    return check, place.outlet, place.half_cycle, _plain(place.multiple), current


def word_of(word: StrEnum | None) -> str | None:
    """Return a word as it is kept; None where nothing is said."""
    return None if word is None else word._value_


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
