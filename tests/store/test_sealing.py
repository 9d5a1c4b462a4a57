"""What every row holds is sealed into the history: whatever is changed from outside, its row is found."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from register.domain.words import Kind, WithdrawalReason
from register.services.places import owner_named
from register.services.sealed import WORDS, sealed_faults
from register.store import chain
from register.store.engine import Register, open_register
from register.store.sealing import How, differing, seal_all, sealed_tables
from register.store.tables import Owner
from register.store.types import new_key
from tests.desk import INSPECTION, SOUND, Desk

FILLED = (
    "owner", "site", "area", "item", "tag", "exposure", "tester", "held_limit", "record", "record_duty", "reading",
    "withdrawal",
)  # fmt: skip


@pytest.fixture
def yard(path: Path) -> Iterator[Desk]:
    with closing(open_register(path)) as register:
        desk = Desk(register)
        desk.site()
        desk.item("L1", Kind.EXTENSION_LEAD)
        desk.test("L1", duties=(INSPECTION,), readings=SOUND)
        desk.item("W1", Kind.EXTENSION_LEAD)
        desk.withdraw("W1", WithdrawalReason.DAMAGED)
        yield desk


@pytest.fixture
def raw(path: Path, yard: Desk) -> Iterator[sqlite3.Connection]:  # noqa: ARG001 - it is filled first
    """The file as any program with SQLite could write to it, its guards taken away."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
            connection.execute(f'DROP TRIGGER "{name}"')
        yield connection


def faults(register: Register) -> list[str]:
    with register.read() as connection:
        return list(sealed_faults(connection))


def test_what_the_program_wrote_is_what_the_history_says(yard: Desk) -> None:
    assert faults(yard.register) == []


def test_every_sealed_table_has_a_word() -> None:
    assert {*sealed_tables()} == {*WORDS}


def turned(value: Any) -> Any:  # noqa: ANN401 - whatever a column holds
    """Return a value with its last bit turned."""
    if isinstance(value, int):
        return value ^ 1
    return value[:-1] + chr(ord(value[-1]) ^ 1) if value else "1"


@pytest.mark.parametrize("name", FILLED)
def test_whatever_column_was_changed_its_row_is_found(yard: Desk, raw: sqlite3.Connection, name: str) -> None:
    table = sealed_tables()[name]
    keys = [table.columns[place] for place in table.key]
    same = " AND ".join(f'"{key}" = ?' for key in keys)
    for column in (each for each in table.columns if each not in keys):
        value, *key = raw.execute(f'SELECT "{column}", {", ".join(keys)} FROM {name}').fetchone()
        write = f'UPDATE {name} SET "{column}" = ? WHERE {same}'
        raw.execute(write, (turned(value), *key))
        with yard.read() as connection:
            (found,) = differing(connection)
        assert (found.table, found.how, list(found.key.values())) == (name, How.CHANGED, [str(each) for each in key])
        raw.execute(write, (value, *key))
    assert faults(yard.register) == []


@pytest.mark.parametrize(
    ("deed", "said"),
    [
        (
            "UPDATE site SET address = 'Elsewhere'",
            "YARD, the site: not as the history says; it was changed from outside.",
        ),
        ("UPDATE reading SET value = value || '0' WHERE number = 1 ", "L1, a reading of a record: not as"),
        ("UPDATE record SET tester = 'Somebody'", "L1, a test record: not as the history says"),
        ("UPDATE record SET tester = CAST(x'ff41' AS TEXT)", "L1, a test record: not as the history says"),
        ("DELETE FROM reading WHERE number = 1", "L1, a reading of a record: gone, though the history tells of it"),
        ("DELETE FROM tester", "tester: gone, though the history tells of it; it was taken out from outside."),
        (
            "INSERT INTO tester (id, version, name, licence) VALUES ('t', 1, 'Nobody', '')",
            "Nobody, the tester: kept, though the history does not tell of it; it was put in from outside.",
        ),
    ],
)
def test_a_row_that_differs_is_named(yard: Desk, raw: sqlite3.Connection, deed: str, said: str) -> None:
    raw.execute(deed)
    found = faults(yard.register)
    assert found
    assert all(said in each for each in found)


@pytest.mark.parametrize("deed", ["rows = x'00'", "hash = replace(hash, 'a', 'b')", "part = 7", "seq = seq + 100"])
def test_a_changed_seal_breaks_the_chain(yard: Desk, raw: sqlite3.Connection, deed: str) -> None:
    raw.execute(f"UPDATE seal SET {deed} WHERE seq = (SELECT min(seq) FROM seal)")
    with yard.read() as connection:
        assert chain.broken_at(connection) is not None


def test_a_last_change_that_was_cut_off_with_its_seal_is_found_in_its_rows(yard: Desk, raw: sqlite3.Connection) -> None:
    raw.execute("DELETE FROM seal WHERE seq = (SELECT max(seq) FROM seal)")
    assert any("W1" in each for each in faults(yard.register))


def test_what_was_turned_back_within_a_change_is_not_sealed(yard: Desk) -> None:
    with yard.change() as change:
        save = change.session.begin_nested()
        change.session.execute(sa.text("UPDATE site SET address = 'Elsewhere'"))
        save.rollback()
    assert faults(yard.register) == []


def test_what_is_written_after_something_was_turned_back_is_sealed(yard: Desk) -> None:
    with yard.change() as change:
        first, second = owner_named(change, "First"), owner_named(change, "Second")
    with yard.change() as change:
        save = change.session.begin_nested()
        change.session.execute(sa.update(Owner).where(Owner.id == first).values(contact="Turned back"))
        save.rollback()
        change.session.execute(sa.update(Owner).where(Owner.id == second).values(contact="Jo"))
    assert faults(yard.register) == []


def test_rows_put_in_before_something_was_turned_back_and_after_it_are_sealed(yard: Desk) -> None:
    with yard.change() as change:
        owner_named(change, "First")
        save = change.session.begin_nested()
        owner_named(change, "Turned back")
        save.rollback()
        owner_named(change, "Second")
    assert faults(yard.register) == []


def test_rows_put_in_taken_out_and_put_in_again_within_a_change_are_sealed(yard: Desk) -> None:
    with yard.change() as change:
        first, second = owner_named(change, "First"), owner_named(change, "Second")
        change.session.flush()
        change.session.execute(sa.delete(Owner).where(Owner.id == second))
        change.session.execute(sa.update(Owner).where(Owner.id == first).values(contact="Jo"))
        change.session.execute(sa.insert(Owner).values(id=new_key(), version=1, name="Third", contact=""))
    assert faults(yard.register) == []


def test_rows_can_be_sealed_as_they_stand(yard: Desk, raw: sqlite3.Connection) -> None:
    raw.execute("UPDATE site SET address = 'Elsewhere'")
    with yard.change() as change:
        seal_all(change.session.connection())
    assert faults(yard.register) == []
    with yard.read() as connection:
        assert chain.broken_at(connection) is None
