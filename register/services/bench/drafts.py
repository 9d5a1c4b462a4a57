"""Half-typed tests as plain data, so that they survive a crash; offered again unless they were saved meanwhile."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.items import Item
from register.domain.records import Place
from register.domain.words import Check, Duty, SetUp, TestCurrent
from register.errors import Refused
from register.services.bench.correction import to_correct
from register.services.bench.on_bench import BenchItem, on_bench
from register.services.bench.worksheet import INSULATION_V, Worksheet
from register.services.cases import lead_of, lead_row, switch_of, switch_row
from register.services.projection import REMOVED
from register.services.settings import setting
from register.store.tables import Item as ItemRow
from register.store.tables import Record

_MISTAKES = (ValueError, LookupError, ArithmeticError, TypeError, AttributeError)
"""What reading a draft raises that is none."""


@dataclass(frozen=True, slots=True)
class Draft:
    """One test that was begun, with its item as it is now."""

    item: BenchItem
    sheet: Worksheet


def draft_data(item: BenchItem, sheet: Worksheet) -> dict[str, Any]:
    """Return a begun test as plain data: texts, numbers and flags only."""
    plate = sheet.item
    current = plate.rated_current_a
    return {
        "item": item.id, "record": item.record_id, "tag": item.tag,
        "corrects": "" if item.corrects is None else item.corrects.record_id,
        "duties": [duty.value for duty in sheet.duties], "look": dict(sheet.look),
        "set_up": sheet.set_up.value if sheet.set_up else "", "insulation_v": sheet.insulation_v,
        "typed": [
            {
                "check": place.check.value, "outlet": place.outlet, "half_cycle": place.half_cycle,
                "multiple": None if place.multiple is None else f"{place.multiple:f}",
                "test_current": "" if place.test_current is None else place.test_current.value, "text": text,
            }
            for place, text in sheet.typed.items()
            if text
        ],
        "plate": {
            "outlets": plate.outlets, "rated_current_a": None if current is None else f"{current:f}",
            "switch": switch_row(plate.safety_switch), "lead": lead_row(plate.lead),
        },
    }  # fmt: skip


def drafts_kept(connection: Connection, every: Mapping[str, Any], today: date) -> tuple[str, list[Draft]]:
    """Return the key by which drafts know this register again, and those that were kept of it and still count.

    `every` holds what was kept of any register, by its key.
    """
    key = str(setting(connection, "register_id", ""))
    kept = every.get(key)
    drafts = [each for each in kept if isinstance(each, Mapping)] if isinstance(kept, list) else []
    return key, drafts_of(connection, drafts, today)


def drafts_of(connection: Connection, kept: Sequence[Mapping[str, Any]], today: date) -> list[Draft]:
    """Return those kept drafts whose item is still there and whose record was never saved; others are dropped."""
    return [draft for data in kept if (draft := _draft(connection, data, today)) is not None]


def _draft(connection: Connection, data: Mapping[str, Any], today: date) -> Draft | None:
    try:
        item_id, record_id = str(data["item"]), str(data["record"])
        state = connection.execute(sa.select(ItemRow.state).where(ItemRow.id == item_id)).scalar()
        saved = connection.execute(sa.select(Record.id).where(Record.id == record_id)).first()
        if state is None or state == REMOVED or saved is not None:
            return None
        wrong = str(data.get("corrects", ""))
        item = to_correct(connection, wrong, today) if wrong else on_bench(connection, item_id, today)
        return Draft(replace(item, record_id=record_id), _sheet(item, data))
    except (Refused, *_MISTAKES):
        return None


def _sheet(item: BenchItem, data: Mapping[str, Any]) -> Worksheet:
    """Return the worksheet that a draft's data describe, on the item as it is now."""
    empty = item.worksheet()
    return replace(
        empty,
        item=_plate(empty.item, data["plate"]),
        duties=tuple(Duty(duty) for duty in data["duties"]) or empty.duties,
        look={str(point): bool(right) for point, right in data["look"].items()},
        set_up=SetUp(data["set_up"]) if data["set_up"] else empty.set_up,
        insulation_v=INSULATION_V[INSULATION_V.index(data.get("insulation_v", empty.insulation_v))],
        typed={_place(cell): str(cell["text"]) for cell in data["typed"]},
    )


def _plate(item: Item, said: Mapping[str, Any]) -> Item:
    current = said["rated_current_a"]
    return replace(
        item,
        outlets=int(said["outlets"]),
        rated_current_a=None if current is None else Decimal(current),
        safety_switch=switch_of(json.dumps(said["switch"])),
        lead=lead_of(json.dumps(said["lead"])),
    )


def _place(cell: Mapping[str, Any]) -> Place:
    multiple, current = cell["multiple"], cell.get("test_current")
    return Place(
        Check(cell["check"]), cell["outlet"], cell["half_cycle"], None if multiple is None else Decimal(multiple),
        TestCurrent(current) if current else None,
    )  # fmt: skip
