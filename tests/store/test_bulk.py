"""Many rows at once are kept, changed and read back as one by one, and nothing is left behind where it fails."""

import gc
from datetime import date

import pytest
import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.store.bulk import (
    CHUNK,
    chunks,
    delete_rows,
    insert_rows,
    many_values,
    rows_of,
    update_rows,
    without_indexes,
)
from register.store.engine import Change, Register
from register.store.tables import Duty, Item, Setting, Withdrawal
from tests.desk import Desk
from tests.registers import changing

NAMES = ("name", "value")


def kept(connection: Connection) -> dict[str, object]:
    return {row.name: row.value for row in connection.execute(sa.select(Setting.name, Setting.value))}


@pytest.mark.parametrize("count", [0, 1, CHUNK - 1, CHUNK, CHUNK + 1, 2 * CHUNK + 3])
def test_rows_are_inserted_changed_and_deleted_by_the_thousand(register: Register, count: int) -> None:
    with changing(register) as change:
        connection = change.session.connection()
        assert insert_rows(connection, Setting, NAMES, ((f"n{n}", {"n": n}) for n in range(count))) == count
        assert kept(connection) == {f"n{n}": {"n": n} for n in range(count)}
        assert update_rows(connection, Setting, ("name",), ("value",), ((n, f"n{n}") for n in range(count))) == count
        assert kept(connection) == {f"n{n}": n for n in range(count)}
        assert delete_rows(connection, Setting, ("name",), ((f"n{n}",) for n in range(0, count, 2))) == (count + 1) // 2
        assert kept(connection) == {f"n{n}": n for n in range(1, count, 2)}


def test_values_are_those_of_the_columns_types_both_ways(desk: Desk) -> None:
    desk.site()
    key = desk.item("P1")
    day = date(2026, 2, 28)
    rows = [
        (key, "formal-visual", site_of(desk), True, False, "P6M", day, None, False),
        (key, "user-check", site_of(desk), False, True, "P1M", None, day, True),
    ]
    columns = tuple(column.key for column in Duty.__table__.c)
    with desk.change() as change:
        connection = change.session.connection()
        insert_rows(connection, Duty, columns, rows)
        statement = sa.select(*Duty.__table__.c).where(Duty.duty.in_(["formal-visual", "user-check"]))
        assert sorted(rows_of(connection, statement)) == sorted(rows)
        assert sorted(map(tuple, connection.execute(statement))) == sorted(rows)


def site_of(desk: Desk) -> str:
    with desk.read() as connection:
        return connection.execute(sa.select(Item.site_id)).scalars().first()


def test_an_answer_without_rows_reads_as_none(register: Register) -> None:
    with register.read() as connection:
        assert list(rows_of(connection, sa.select(Setting.name, Setting.value))) == []


@pytest.mark.parametrize(("count", "size", "sizes"), [(0, 3, []), (3, 3, [3]), (7, 3, [3, 3, 1])])
def test_chunks_hold_every_value_once(count: int, size: int, sizes: list[int]) -> None:
    found = list(chunks(range(count), size))
    assert [len(chunk) for chunk in found] == sizes
    assert [each for chunk in found for each in chunk] == list(range(count))


def indexes(register: Register) -> set[tuple[str, str]]:
    with register.read() as connection:
        rows = connection.exec_driver_sql(
            "SELECT name, sql FROM sqlite_schema WHERE type = 'index' AND sql IS NOT NULL"
        )
        return {(row.name, row.sql) for row in rows}


def test_indexes_taken_away_for_a_while_are_made_anew_as_they_were(register: Register) -> None:
    before = indexes(register)
    with changing(register) as change:
        connection = change.session.connection()
        with without_indexes(connection, Duty.due, Item.next_due):
            names = set(connection.exec_driver_sql("SELECT name FROM sqlite_schema WHERE type = 'index'").scalars())
            gone = {name for name, _sql in before} - names
        assert gone == {name for name, sql in before if "next_due" in sql or ('"due"' in sql or "due," in sql)}
    assert indexes(register) == before


def fail_without_indexes(change: Change) -> None:
    with without_indexes(change.session.connection(), Withdrawal.item_id):
        raise RuntimeError("the power went")


def test_indexes_are_still_there_where_the_change_fails_without_them(register: Register) -> None:
    before = indexes(register)
    with pytest.raises(RuntimeError, match="the power went"), changing(register) as change:
        fail_without_indexes(change)
    assert indexes(register) == before


@pytest.mark.parametrize("enabled", [True, False])
def test_garbage_is_collected_again_afterwards_if_it_was_before(*, enabled: bool) -> None:
    was = gc.isenabled()
    try:
        (gc.enable if enabled else gc.disable)()
        with many_values():
            assert not gc.isenabled()
            with many_values():
                assert not gc.isenabled()
            assert not gc.isenabled()
        assert gc.isenabled() is enabled
    finally:
        (gc.enable if was else gc.disable)()
