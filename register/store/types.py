"""Column types that mean the same on every database: keys, days, instants, flags and structured text.

On SQLite all of them are TEXT or INTEGER, the only kinds a STRICT table takes besides REAL and BLOB.
"""

import os
import time
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from functools import lru_cache
from typing import Any, Final

import orjson
import sqlalchemy as sa
from sqlalchemy.engine import Dialect
from sqlalchemy.engine.processors import int_to_boolean, str_to_date
from sqlalchemy.types import TypeDecorator, TypeEngine

SQLITE: Final = "sqlite"


_RANDOM: Final = 10
"""So many bytes of a key come from the system's source of randomness."""


def new_key() -> str:
    """Return a new UUIDv7 (RFC 9562) as text: the time in milliseconds first, so that keys sort by age."""
    return _key_of(_moment(), os.urandom(_RANDOM).hex())


def new_keys() -> Iterator[str]:
    """Yield new keys without end, for many rows at once: the system is asked for time and randomness now and then."""
    digits = 2 * _RANDOM
    while True:
        moment, random = _moment(), os.urandom(256 * _RANDOM).hex()
        yield from (_key_of(moment, random[start : start + digits]) for start in range(0, len(random), digits))


_VARIANT: Final = {digit: "89ab"[number % 4] for number, digit in enumerate("0123456789abcdef")}
"""The digit that says of which variant a key is, by any digit."""


def _moment() -> str:
    milliseconds = f"{time.time_ns() // 1_000_000:012x}"
    return f"{milliseconds[:8]}-{milliseconds[8:]}"


def _key_of(moment: str, random: str) -> str:
    return f"{moment}-7{random[:3]}-{_VARIANT[random[3]]}{random[4:7]}-{random[7:19]}"


NO_KEY: Final = "00000000-0000-0000-0000-000000000000"
"""What stands for an empty key where keys are no text: no row has it."""


class Key(TypeDecorator[str]):
    """A UUID, as text in Python."""

    impl = sa.Text
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        if dialect.name == SQLITE:
            return dialect.type_descriptor(sa.Text())
        return dialect.type_descriptor(sa.Uuid(as_uuid=False))

    def bind_processor(self, dialect: Dialect) -> Callable[[str | None], str | None] | None:
        return None if dialect.name == SQLITE else _some_key


def _some_key(value: str | None) -> str | None:
    return NO_KEY if value == "" else value


class Day(TypeDecorator[date]):
    """A calendar day without zone."""

    impl = sa.Date
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        return dialect.type_descriptor(sa.Text() if dialect.name == SQLITE else sa.Date())

    def bind_processor(self, dialect: Dialect) -> Callable[[date | None], Any]:
        return _day_text if dialect.name == SQLITE else _day

    def result_processor(self, dialect: Dialect, coltype: object) -> Callable[[Any], date | None] | None:  # noqa: ARG002
        return str_to_date if dialect.name == SQLITE else None  # compiled: a list reads thousands


def _day(value: date | None) -> date | None:
    if isinstance(value, datetime):
        raise TypeError("a day, not an instant, is stored here")
    return value


@lru_cache(maxsize=16_384)
def _day_text(value: date | None) -> str | None:
    day = _day(value)
    return None if day is None else day.isoformat()


class Instant(TypeDecorator[datetime]):
    """A moment with its zone, kept in UTC. Naive values are refused."""

    impl = sa.DateTime
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        return dialect.type_descriptor(sa.Text() if dialect.name == SQLITE else sa.DateTime(timezone=True))

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> Any:  # noqa: ANN401 - the driver's own
        if value is None:
            return None
        return instant_text(value) if dialect.name == SQLITE else _in_utc(value)

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:  # noqa: ANN401 - the driver's own
        return datetime.fromisoformat(value) if value is not None and dialect.name == SQLITE else value


def instant_text(moment: datetime) -> str:
    """Return a moment as it stands in the register: UTC, to the microsecond, ending in Z. Naive ones are refused."""
    return _utc_text(_in_utc(moment))


@lru_cache(maxsize=64)
def _utc_text(moment: datetime) -> str:  # in UTC: of an hour that a clock shows twice, both would be the same here
    return moment.strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def _in_utc(moment: datetime) -> datetime:
    if moment.tzinfo is None:
        raise TypeError("an instant without zone is not stored")
    return moment.astimezone(UTC)


class Flag(TypeDecorator[bool]):
    """Yes or no."""

    impl = sa.Boolean
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        return dialect.type_descriptor(sa.Integer() if dialect.name == SQLITE else sa.Boolean())

    def bind_processor(self, dialect: Dialect) -> None:  # noqa: ARG002 - base's own
        return None  # every driver knows yes and no; SQLite's writes 1 and 0

    def result_processor(self, dialect: Dialect, coltype: object) -> Callable[[Any], bool | None] | None:  # noqa: ARG002
        return int_to_boolean if dialect.name == SQLITE else None


class Structure(TypeDecorator[Any]):
    """Lists and dictionaries of text, kept as JSON text so that they read back exactly as written."""

    impl = sa.Text
    cache_ok = True

    def bind_processor(self, dialect: Dialect) -> Callable[[Any], str | None]:  # noqa: ARG002 - base's own
        return _structure_text

    def result_processor(self, dialect: Dialect, coltype: object) -> Callable[[str | None], Any]:  # noqa: ARG002
        return _structure


def _structure_text(value: Any) -> str | None:  # noqa: ANN401 - lists and dictionaries
    return None if value is None else orjson.dumps(value).decode()


def _structure(value: str | None) -> Any:  # noqa: ANN401 - lists and dictionaries
    return None if value is None else orjson.loads(value)
