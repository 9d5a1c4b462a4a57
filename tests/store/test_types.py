"""What a register keeps reads back as it was, and what can't be kept is refused by its type."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta, timezone
from itertools import islice
from typing import Any
from uuid import UUID

import pytest
import sqlalchemy as sa
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.engine import Connection

from register.store.engine import Register
from register.store.tables import Table
from register.store.types import Day, Flag, Instant, Key, Structure, instant_text, new_key, new_keys
from tests.registers import changing

MELBOURNE = timezone(timedelta(hours=11))
KEPT = sa.Table(
    "kept", sa.MetaData(),
    sa.Column("n", sa.Integer, primary_key=True), sa.Column("key", Key), sa.Column("day", Day),
    sa.Column("at", Instant), sa.Column("flag", Flag), sa.Column("parts", Structure),
    sqlite_strict=True,
)  # fmt: skip


@pytest.fixture
def connection(register: Register) -> Iterator[Connection]:
    with changing(register, keep=False) as change:
        connection = change.session.connection()
        KEPT.create(connection)
        yield connection


def kept(connection: Connection, **values: object) -> tuple[Any, Any]:
    """Keep one value; return it as it reads back and as it stands in the file."""
    (name,) = values
    connection.execute(KEPT.insert().values(**values))
    raw = connection.exec_driver_sql(f'SELECT "{name}" FROM kept').scalar()
    return connection.execute(sa.select(KEPT.c[name])).scalar(), raw


@pytest.mark.parametrize(
    ("name", "value", "raw"),
    [
        ("day", date(2026, 2, 28), "2026-02-28"),
        ("day", date(1990, 1, 1), "1990-01-01"),
        ("at", datetime(2026, 11, 20, 10, 0, tzinfo=UTC), "2026-11-20T10:00:00.000000Z"),
        ("at", datetime(2026, 11, 20, 10, 0, 0, 7, MELBOURNE), "2026-11-19T23:00:00.000007Z"),
        ("flag", True, 1),
        ("flag", False, 0),
        ("parts", {"multiples": ["0.5", "1"], "half": False}, '{"multiples":["0.5","1"],"half":false}'),
        ("parts", "Zoë s yard", '"Zoë s yard"'),
        ("parts", [], "[]"),
        ("key", "0190a6c2-7f0e-7c3a-9d51-3b6f0c2d8e14", "0190a6c2-7f0e-7c3a-9d51-3b6f0c2d8e14"),
        *((name, None, None) for name in ("key", "day", "at", "flag", "parts")),
    ],
)
def test_a_value_reads_back_as_it_was_kept(connection: Connection, name: str, value: object, raw: object) -> None:
    assert kept(connection, **{name: value}) == (value, raw)


def test_two_zones_that_show_the_same_clock_stay_two_moments(connection: Connection) -> None:
    ten = datetime(2026, 11, 20, 10, 0, tzinfo=UTC)
    connection.execute(KEPT.insert(), [{"at": ten}, {"at": ten.replace(tzinfo=MELBOURNE)}])
    first, second = connection.execute(sa.select(KEPT.c.at).order_by(KEPT.c.n)).scalars()
    assert first - second == timedelta(hours=11)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("at", datetime(2026, 11, 20, 10, 0)),  # noqa: DTZ001 - the case
        ("day", datetime(2026, 11, 20, tzinfo=UTC)),
    ],
)
def test_a_moment_without_zone_and_a_moment_for_a_day_are_refused(
    connection: Connection, name: str, value: object
) -> None:
    with pytest.raises(sa.exc.StatementError, match=r"without zone|not an instant"):
        kept(connection, **{name: value})
    assert connection.execute(sa.select(sa.func.count()).select_from(KEPT)).scalar() == 0


def test_the_text_of_a_moment_needs_a_zone() -> None:
    with pytest.raises(TypeError, match="without zone"):
        instant_text(datetime(2026, 11, 20, 10, 0))  # noqa: DTZ001 - the case


@pytest.mark.parametrize(
    ("name", "value"), [("flag", "'perhaps'"), ("n", "1.5"), ("n", "'one'"), ("day", "x'00ff'"), ("flag", "0.5")]
)
def test_a_strict_table_refuses_what_is_not_of_the_columns_kind(connection: Connection, name: str, value: str) -> None:
    with pytest.raises(sa.exc.IntegrityError, match=r"cannot store|datatype mismatch"):
        connection.exec_driver_sql(f"INSERT INTO kept ({name}) VALUES ({value})")


def test_every_table_of_a_register_is_strict(register: Register) -> None:
    with register.read() as connection:
        strict = {
            row.name: row.strict
            for row in connection.exec_driver_sql("PRAGMA table_list")
            if row.name in Table.metadata.tables
        }
    assert set(strict) == set(Table.metadata.tables)
    assert all(strict.values())


@pytest.mark.parametrize("many", [new_keys(), iter(new_key, None)], ids=["together", "one by one"])
def test_keys_are_uuids_of_version_7_and_all_different(many: Iterator[str]) -> None:
    keys = [UUID(key) for key in islice(many, 1000)]
    assert {key.version for key in keys} == {7}
    assert {key.variant for key in keys} == {"specified in RFC 4122"}
    assert len(set(keys)) == len(keys)


@given(st.lists(st.integers(0, 2**48 - 1), min_size=2, max_size=20, unique=True))
def test_keys_sort_by_the_millisecond_they_were_made_in(milliseconds: list[int]) -> None:
    with pytest.MonkeyPatch.context() as patch:
        keys = []
        for each in sorted(milliseconds):
            patch.setattr("time.time_ns", lambda each=each: each * 1_000_000)
            keys.append(new_key())
    assert keys == sorted(keys)
    assert [UUID(key).int >> 80 for key in keys] == sorted(milliseconds)
