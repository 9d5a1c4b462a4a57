"""Field work as JSON, and back: every row, column and word is checked before anything of it is used."""

import json
from collections.abc import Mapping
from datetime import datetime
from enum import StrEnum
from typing import Any, Final

from register.domain.words import (
    Bound,
    Check,
    Condition,
    Duty,
    Kind,
    Result,
    SetUp,
    TestCurrent,
    Unit,
    WithdrawalReason,
)
from register.errors import Refused
from register.services.packs.identity import FieldPack
from register.services.packs.packing import KEPT_WHOLE
from register.services.packs.work import ADDED, EVENT_COLUMNS, NOT_COMPARED, TAKEN, CellChange, FieldWork
from register.services.photos import is_picture
from register.store.audit import Name
from register.store.photos import Photo
from register.store.rows import LONGEST, table_of, values
from register.store.tables import Event

MOST_ROWS: Final = 500_000

_TABLES: Final = {each.__tablename__: table_of(each) for each in ADDED}
_CHANGING: Final = {each.__tablename__: table_of(each) for each in KEPT_WHOLE}
_WORDS: Final[dict[tuple[str, str], type[StrEnum]]] = {
    ("item", "kind"): Kind, ("item", "condition"): Condition, ("record", "look"): Result,
    ("record", "verdict"): Result, ("record", "set_up"): SetUp, ("record_duty", "duty"): Duty,
    ("record_duty", "verdict"): Result, ("reading", "quantity"): Check, ("reading", "bound"): Bound,
    ("reading", "unit"): Unit, ("reading", "result"): Result, ("reading", "test_current"): TestCurrent,
    ("mark", "duty"): Duty, ("withdrawal", "reason"): WithdrawalReason,
}  # fmt: skip


def work_json(work: FieldWork) -> dict[str, Any]:
    """Return field work as JSON holds it; which pack it is of stands in the manifest."""
    return {
        "added": work.added,
        "changed": [
            {"kind": each.kind, "key": each.key, "before": each.before, "after": each.after} for each in work.changed
        ],
        "events": work.events,
        "left": work.left,
    }


def work_from(text: bytes, pack: FieldPack, name: str) -> FieldWork:
    """Return the field work that JSON describes. Refused, with what is wrong, where it is not as it must be."""
    try:
        said = json.loads(text)
        added = {kind: [_row(kind, row) for row in _list(said["added"][kind])] for kind in _TABLES}
        changed = [_change(each) for each in _list(said["changed"])]
        events = [_event(each) for each in _list(said["events"])]
        left = {str(Name(key)): int(count) for key, count in said["left"].items()}
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as wrong:
        why = str(wrong)[:120].replace("\n", " ")
        raise Refused(f"“{name}” is not as field work must be ({why}), so nothing of it was merged.") from None
    return FieldWork(pack, added, changed, events, left)


def _list(said: Any) -> list[Any]:  # noqa: ANN401 - whatever JSON holds
    if not isinstance(said, list) or len(said) > MOST_ROWS:
        raise ValueError("a list is missing or too long")
    return said


def _row(kind: str, said: Any) -> dict[str, Any]:  # noqa: ANN401 - whatever JSON holds
    table = _TABLES[kind]
    row = _object(said)
    if set(row) != set(table.c.keys()):
        raise ValueError(f"a row of {kind} lacks a column or has one too many")
    values(table, row)
    _check_words(kind, row)
    if kind == Photo.__tablename__:
        _check_picture(row)
    return row


def _check_picture(row: Mapping[str, Any]) -> None:
    """Refuse bytes that are not the picture which the row says they are, and nothing else."""
    if not is_picture(values(_TABLES[Photo.__tablename__], row)):
        raise ValueError("a photo is not the picture that it says it is")


def _change(said: Any) -> CellChange:  # noqa: ANN401 - whatever JSON holds
    change = CellChange(**_object(said))
    allowed = set(_CHANGING[change.kind].c.keys()) - NOT_COMPARED[change.kind]
    for side in (change.before, change.after):
        if set(_object(side)) != set(change.after) or not set(side) <= allowed:
            raise ValueError(f"a change of {change.kind} speaks of what never changes")
        values(_CHANGING[change.kind], side)
    values(_CHANGING[change.kind], {"id": change.key})
    _check_words(change.kind, change.after)
    return change


def _event(said: Any) -> dict[str, Any]:  # noqa: ANN401 - whatever JSON holds
    event = _object(said)
    if set(event) != set(EVENT_COLUMNS):
        raise ValueError("an event lacks a part or has one too many")
    values(table_of(Event), event)
    if Name(event["name"]) not in TAKEN:
        raise ValueError(f"{event['name']} does not come back from the field")
    if datetime.fromisoformat(event["at"]).tzinfo is None or len(event["data"]) > LONGEST:
        raise ValueError("an event has no moment or too much to say")
    _object(json.loads(event["data"]))
    return event


def _object(said: Any) -> dict[str, Any]:  # noqa: ANN401 - whatever JSON holds
    if not isinstance(said, Mapping):
        raise TypeError("an object is missing")
    return dict(said)


def _check_words(kind: str, row: Mapping[str, Any]) -> None:
    """Refuse a word that is none of the trade's."""
    for name, value in row.items():
        words = _WORDS.get((kind, name))
        if words is not None and value is not None:
            words(value)
