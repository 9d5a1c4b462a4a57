"""Rows as plain JSON values and back: what leaves a register and comes into one is read column by column."""

import base64
import re
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, Final

import sqlalchemy as sa

from register.store.tables import Table
from register.store.types import Day, Flag, Instant, Key, Structure, instant_text

LONGEST: Final = 20_000
MOST_BYTES: Final = 1_000_000
"""So many bytes a picture has at most."""

_KEY: Final = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
_LARGEST: Final = 2**31


def table_of(model: type[Table]) -> sa.Table:
    """Return the table of a class of rows."""
    assert isinstance(model.__table__, sa.Table)
    return model.__table__


def plain(table: sa.Table, row: Mapping[str, Any]) -> dict[str, Any]:
    """Return a row's values as JSON holds them: days and moments in ISO 8601, bytes in base64."""
    return {name: _plain(table.c[name].type, value) for name, value in row.items()}


def _plain(kind: Any, value: Any) -> Any:  # noqa: ANN401 - columns of many kinds
    if value is None:
        return None
    if isinstance(kind, Instant):
        return instant_text(value)
    if isinstance(kind, sa.LargeBinary):
        return base64.b64encode(value).decode()
    return value.isoformat() if isinstance(kind, Day) else value


def values(table: sa.Table, said: Mapping[str, Any]) -> dict[str, Any]:
    """Return the values that JSON says of a row. ValueError, naming the column, where one can't stand there."""
    found: dict[str, Any] = {}
    for name, value in said.items():
        if name not in table.c:
            raise ValueError(f"{table.name} has no “{name[:40]}”")
        column = table.c[name]
        if value is None:
            if not column.nullable:
                raise ValueError(f"{table.name} has no “{name}” where one must stand")
            found[name] = None
            continue
        try:
            found[name] = _value(column.type, value)
        except (TypeError, ValueError):
            raise ValueError(f"{table.name} has a “{name}” that can't be one") from None
    return found


def _value(kind: Any, value: Any) -> Any:  # noqa: ANN401 - columns of many kinds
    if isinstance(kind, Structure):
        return value
    if isinstance(kind, Flag):
        return _of(value, bool)
    if isinstance(kind, sa.Integer):
        number = _of(value, int)
        if isinstance(number, bool) or not -_LARGEST < number < _LARGEST:
            raise ValueError(number)
        return number
    text: str = _of(value, str)
    return _bytes(text) if isinstance(kind, sa.LargeBinary) else _text(kind, text)


def _text(kind: Any, text: str) -> Any:  # noqa: ANN401 - columns of many kinds
    if len(text) > LONGEST or "\0" in text:
        raise ValueError(text[:40])
    if isinstance(kind, Day):
        return date.fromisoformat(text)
    if isinstance(kind, Instant):
        moment = datetime.fromisoformat(text)
        instant_text(moment)
        return moment
    if isinstance(kind, Key) and not _KEY.fullmatch(text):
        raise ValueError(text[:40])
    return text


def _bytes(text: str) -> bytes:
    if len(text) > MOST_BYTES * 4 // 3 + 4:
        raise ValueError(text[:40])
    return base64.b64decode(text, validate=True)


def _of(value: Any, kind: type) -> Any:  # noqa: ANN401 - whatever JSON holds
    if not isinstance(value, kind):
        raise TypeError(type(value).__name__)
    return value
