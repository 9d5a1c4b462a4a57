"""A record laid on the bench once more, as it was, so that what is wrong of it can be put right."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date, time
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row

from register.domain.look import look_points
from register.domain.measures import TRIPS
from register.domain.places import place_of
from register.domain.records import HALF_CYCLES, Place, Reading
from register.domain.words import Duty, Result, SetUp
from register.errors import Refused
from register.services.bench.on_bench import AT_250_V, WRONG_AT_THE_LOOK, BenchItem, Wrong, on_bench
from register.services.bench.worksheet import (
    INSULATION_V,
    Worksheet,
    cell_of,
    plain_place,
    shown_text,
    typed_measure,
)
from register.services.kept_readings import readings_of
from register.services.projection import REMOVED
from register.store.amended import Correction, stands
from register.store.tables import Item, Record, RecordDuty


def to_correct(connection: Connection, record_id: str, today: date) -> BenchItem:
    """Return the item of a record, with a worksheet that holds what was seen and measured then.

    Refused where the record was corrected or undone meanwhile, and where its item is gone for good.
    """
    row = connection.execute(
        sa.select(Record.__table__, Item.state, Item.tag_number)
        .join(Item, Item.id == Record.item_id)
        .where(Record.id == record_id, stands(Record.id))
    ).first()
    if row is None:
        raise Refused("That record counts no more: it was corrected or undone already. Look at the item's records.")
    if row.state == REMOVED:
        raise Refused(
            f"{row.tag_number} was removed for good, so its records are not made anew. Void this one if it is wrong."
        )
    item = on_bench(connection, row.item_id, today)
    duties = tuple(
        Duty(each)
        for each in connection.execute(sa.select(RecordDuty.duty).where(RecordDuty.record_id == record_id)).scalars()
    )
    return _with_sheet(item, row, duties, readings_of(connection, record_id))


def still_on_bench(connection: Connection, item: BenchItem, today: date) -> BenchItem:
    """Return what lies on the bench as the register holds it now. Refused where it was undone meanwhile."""
    if item.corrects is not None:
        return to_correct(connection, item.corrects.record_id, today)
    return on_bench(connection, item.id, today)


def how_they_stand(connection: Connection, record_ids: Collection[str]) -> dict[str, Result | None]:
    """Return of each record its verdict, None where it was corrected; one that was undone is not among them."""
    statement = (
        sa.select(Record.id, Record.verdict, Correction.id)
        .outerjoin(Correction, Correction.record_id == Record.id)
        .where(Record.id.in_(record_ids))
    )
    found: dict[str, Result | None] = {}
    for record_id, verdict, correction in connection.execute(statement):
        corrected: str | None = correction
        found[record_id] = None if corrected else Result(verdict)
    return found


def _with_sheet(item: BenchItem, row: Row[Any], duties: Collection[Duty], readings: Collection[Reading]) -> BenchItem:
    empty = item.worksheet()
    if duties:
        empty = replace(empty, duties=tuple(duty for duty in Duty if duty in duties))
    extra = _extra(empty, readings)
    typed, kept = _typed(replace(empty, extra=extra), readings)
    look, remarks = _look(empty, None if row.look is None else Result(row.look), row.remarks)
    usual, low = INSULATION_V
    volts, remarks = (low, " ".join(remarks.split(AT_250_V)).strip()) if AT_250_V in remarks else (usual, remarks)
    sheet = replace(
        empty, look=look, typed=typed, extra=extra, kept=kept, insulation_v=volts,
        set_up=SetUp(row.set_up) if row.set_up else empty.set_up,
    )  # fmt: skip
    wrong = Wrong(
        record_id=row.id,
        verdict=Result(row.verdict),
        tested_on=row.tested_on,
        tested_at=time.fromisoformat(row.tested_at) if row.tested_at else None,
        tester=row.tester,
        instrument=row.instrument,
        remarks=remarks,
        sheet=sheet,
    )
    return replace(item, corrects=wrong)


def _typed(sheet: Worksheet, readings: Collection[Reading]) -> tuple[dict[Place, str], tuple[Reading, ...]]:
    """Return the texts of the cells, and the readings for which there is none, which are never dropped."""
    cells = {cell.place for cell in sheet.cells()}
    typed: dict[Place, str] = {}
    kept: list[Reading] = []
    for each in readings:
        text = shown_text(each.check, str(each.measure))
        cell = cell_of(place_of(each, sheet.item), cells)
        if cell in cells and cell not in typed and _same(each, text):
            typed[cell] = text
        else:
            kept.append(each)
    return typed, tuple(kept)


def _extra(sheet: Worksheet, readings: Collection[Reading]) -> tuple[Place, ...]:
    """Return the places of readings that nothing asks for; of trips all outlets and half-cycles together, as a grid."""
    cells = {cell.place for cell in sheet.cells()}
    outlets = tuple(range(1, sheet.item.outlets + 1)) or (None,)
    found: list[Place] = []
    for each in readings:
        place = plain_place(place_of(each, sheet.item))
        if cell_of(place, cells) in cells:
            continue
        if each.check not in TRIPS:
            found.append(place)
            continue
        halves = (None,) if each.half_cycle is None else HALF_CYCLES
        found += [replace(place, outlet=outlet, half_cycle=half) for outlet in outlets for half in halves]
    return tuple(dict.fromkeys(found))


def _same(reading: Reading, text: str) -> bool:
    try:
        return typed_measure(reading.check, text) == reading.measure
    except Refused:
        return False


def _look(sheet: Worksheet, result: Result | None, remarks: str) -> tuple[dict[str, bool], str]:
    """Return what was seen of each point, as far as the record says it, and what else it remarks.

    A look that was wrong without a word of what was wrong is to be made again.
    """
    named, _, rest = remarks.removeprefix(WRONG_AT_THE_LOOK).partition(".")
    if not remarks.startswith(WRONG_AT_THE_LOOK):
        named, rest = "", remarks
    points = look_points(sheet.item)
    wrong = {point.id for point in points if point.title in named}
    known = result is Result.PASS or (result is Result.FAIL and wrong)
    return {point.id: point.id not in wrong for point in points} if known else {}, rest.strip()
