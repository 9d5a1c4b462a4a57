"""What was found on one item over the years: each record with its worst reading, each quantity as it moved."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.measures import SYMBOL, Measure
from register.domain.places import times_words
from register.domain.words import Bound, Check, Result, TestCurrent, Unit
from register.services.amended import CORRECTION_COLUMNS, corrected_words
from register.store.amended import Correction
from register.store.bulk import chunks
from register.store.tables import HeldLimit, Reading, Record

_WORST: Final = {
    Check.TRIP_TIME: ("slowest", "Slowest trip time"),
    Check.TRIP_CURRENT: ("highest", "Highest trip current"),
    Check.EARTH_RESISTANCE: ("earth", "Highest earth resistance"),
    Check.INSULATION_RESISTANCE: ("insulation", "Lowest insulation resistance"),
    Check.LEAKAGE_CURRENT: ("leakage", "Highest leakage current"),
}
"""How the worst of several readings is called in a list and over a chart, the most telling quantity first."""


@dataclass(frozen=True, slots=True)
class CardRecord:
    """One record: its verdict and why, who tested, and the reading that used most of its limit, in words.

    `corrected` says who corrected it, when and why; it counts no more. Empty where it counts. `warnings` are
    sentences that were kept with it, such as of a calibration that had run out.
    """

    id: str
    tested_on: date
    verdict: Result
    why: str
    tester: str
    worst: str
    as_found: bool
    corrected: str = ""
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Point:
    """The worst reading of one record. `value` is None where the switch did not trip; `words` say it with its unit.

    `limit` is what it was held against: the most it may be, of insulation the least.
    """

    on: date
    value: Decimal | None
    words: str
    result: Result | None
    limit: Decimal | None


@dataclass(frozen=True, slots=True)
class History:
    """One quantity of an item over time, oldest first. `readings` counts those of the latest record."""

    title: str
    short: str
    unit: str
    points: tuple[Point, ...]
    readings: int
    low_is_worse: bool


def past_readings(connection: Connection, item_id: str) -> tuple[tuple[CardRecord, ...], tuple[History, ...]]:
    """Return an item's records, the newest first, and how each measured quantity moved."""
    rows = connection.execute(
        sa.select(
            Record.id,
            Record.tested_on,
            Record.verdict,
            Record.why,
            Record.tester,
            Record.as_found,
            Record.warnings,
            *CORRECTION_COLUMNS,
        )
        .outerjoin(Correction, Correction.record_id == Record.id)
        .where(Record.item_id == item_id)
        .order_by(Record.tested_on.desc(), sa.nulls_last(Record.tested_at.desc()), Record.id.desc())
    ).all()
    readings = _readings(connection, [row.id for row in rows])
    records = tuple(
        CardRecord(
            id=row.id,
            tested_on=row.tested_on,
            verdict=Result(row.verdict),
            why=row.why,
            tester=row.tester,
            worst=_worst_words(readings[row.id]),
            as_found=row.as_found,
            corrected=corrected_words(row),
            warnings=tuple(row.warnings),
        )
        for row in rows
    )
    counting = [row for row in reversed(rows) if row.corrected_by is None]
    return records, _histories([(row.tested_on, readings[row.id]) for row in counting])


def _readings(connection: Connection, record_ids: Sequence[str]) -> dict[str, list[Row[Any]]]:
    """Return the readings of each record that have a quantity to follow, with their limits; a.c. ones alone."""
    found: dict[str, list[Row[Any]]] = defaultdict(list)
    statement = (
        sa.select(Reading.__table__, HeldLimit.least, HeldLimit.most)
        .outerjoin(HeldLimit, HeldLimit.id == Reading.limit_id)
        .where(Reading.test_current.is_(None) | (Reading.test_current == TestCurrent.AC.value))
    )
    for some in chunks(record_ids, 500):
        for row in connection.execute(statement.where(Reading.record_id.in_(some)).order_by(Reading.number)):
            if row.quantity in _WORST and row.bound != Bound.NO_READING.value and not _must_hold(row):
                found[row.record_id].append(row)
    return found


def _must_hold(row: Row[Any]) -> bool:
    """Whether the switch was to hold at this current, so that its time says nothing."""
    return row.quantity == Check.TRIP_TIME and row.multiple is not None and Decimal(row.multiple) < 1


def _badness(row: Row[Any]) -> Decimal:
    """Return a number that is higher the worse a reading is, among readings of one quantity."""
    if not row.value:
        return Decimal("Infinity")
    value = Decimal(row.value)
    return -value if row.quantity == Check.INSULATION_RESISTANCE else value


def _words(row: Row[Any]) -> str:
    value = Decimal(row.value) if row.value else None
    return str(Measure(value, Unit(row.unit), Bound(row.bound)))


def _worst_words(rows: Iterable[Row[Any]]) -> str:
    """Return the worst reading of a record: of the quantity that failed, else of the most telling one."""
    present = sorted(rows, key=lambda row: (row.result != Result.FAIL, list(_WORST).index(Check(row.quantity))))
    if not present:
        return ""
    first = present[0]
    rivals = [row for row in present if row.quantity == first.quantity and (row.result == first.result)]
    return f"{_WORST[Check(first.quantity)][0]} {_words(max(rivals, key=_badness))}"


def _histories(past: Iterable[tuple[date, list[Row[Any]]]]) -> tuple[History, ...]:
    """Return one history for each quantity and multiple; only a limit's edge that can be reached is kept."""
    points: dict[tuple[int, Decimal], list[Point]] = defaultdict(list)
    counts: dict[tuple[int, Decimal], int] = {}
    checks = list(_WORST)
    for on, rows in past:
        by_quantity: dict[tuple[int, Decimal], list[Row[Any]]] = defaultdict(list)
        for row in rows:
            by_quantity[checks.index(Check(row.quantity)), Decimal(row.multiple or 0)].append(row)
        for key, mine in by_quantity.items():
            points[key].append(_point(on, max(mine, key=_badness)))
            counts[key] = len(mine)
    return tuple(_history(checks[key[0]], key[1], points[key], counts[key]) for key in sorted(points))


def _point(on: date, row: Row[Any]) -> Point:
    edge = row.least if row.quantity == Check.INSULATION_RESISTANCE else row.most
    return Point(
        on, Decimal(row.value) if row.value else None, _words(row), None if row.result is None else Result(row.result),
        None if edge is None else Decimal(edge),
    )  # fmt: skip


def _history(check: Check, multiple: Decimal, points: list[Point], readings: int) -> History:
    short, title = _WORST[check]
    named = f" at {times_words(multiple)}" if multiple else ""
    unit = {
        Check.TRIP_TIME: Unit.MILLISECOND, Check.EARTH_RESISTANCE: Unit.OHM,
        Check.INSULATION_RESISTANCE: Unit.MEGOHM,
    }.get(check, Unit.MILLIAMPERE)  # fmt: skip
    chosen = times_words(multiple) if multiple else short.replace("highest", "trip current").capitalize()
    return History(
        title=f"{title}{named}",
        short=chosen,
        unit=SYMBOL[unit],
        points=tuple(points),
        readings=readings,
        low_is_worse=check is Check.INSULATION_RESISTANCE,
    )
