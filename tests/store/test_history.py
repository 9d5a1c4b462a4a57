"""What was recorded stays as it was recorded, and a change from outside is found at its place."""

import hashlib
import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy.engine import Connection

from register.errors import Unavailable
from register.store import audit, chain, integrity
from register.store.audit import Entry, Name
from register.store.chain import FIRST
from register.store.engine import Register
from register.store.seals import Seal
from register.store.tables import Event
from tests.registers import ACTOR, TODAY, changing

SUBJECT = "0190a6c2-7f0e-7c3a-9d51-3b6f0c2d8e14"
KINDS = ("event", "record", "record_duty", "reading", "held_limit")
ROWS = {
    "event": "(1, 'x', '2026', 'me', 'a:b', 'x', '{}', 'x')",
    "held_limit": "('l', 'at most 300 ms', NULL, '300', 'Table 5')",
    "record": (
        "('r', 'i', '2026-11-20', NULL, '', '', NULL, NULL, 'pass', '', 0, '', '', '', NULL, '[]', '',"
        " '[]', 'c', '2026')"
    ),
    "record_duty": "('r', 'operating-time', 'i', 'pass', '2026-11-20', NULL, 0)",
    "reading": "('r', 1, 'trip-time', 1, 0, '1', 'ac', '28.4', 'ms', '=', 'pass', 'l', '')",
}
COLUMNS = {
    "record": (
        "item_id, tested_on, tested_at, tester, instrument, set_up, look, verdict, why, as_found, rulebook,"
        " rulebook_version, environment, look_limit_id, missing, remarks, warnings, content, recorded_at"
    ),
}


@pytest.fixture
def raw(path: Path) -> Iterator[sqlite3.Connection]:
    """The file as any program with SQLite could write to it, without references checked."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA recursive_triggers=ON")
        yield connection


def one_row(raw: sqlite3.Connection, table: str) -> None:
    columns = f"(id, {COLUMNS[table]})" if table in COLUMNS else ""
    raw.execute(f"INSERT INTO {table} {columns} VALUES {ROWS[table]}")


@pytest.mark.parametrize("table", KINDS)
@pytest.mark.parametrize("deed", ["UPDATE {0} SET {1} = {1}", "DELETE FROM {0}", "INSERT OR REPLACE INTO {0} {2}"])
def test_what_is_recorded_can_only_be_added_to(raw: sqlite3.Connection, table: str, deed: str) -> None:
    one_row(raw, table)
    before = raw.execute(f"SELECT * FROM {table}").fetchall()
    column = raw.execute(f"PRAGMA table_info({table})").fetchone()[1]
    again = f"SELECT * FROM {table}"
    with pytest.raises(sqlite3.IntegrityError, match=r"only ever added to|added in order"):
        raw.execute(deed.format(table, column, again))
    assert raw.execute(f"SELECT * FROM {table}").fetchall() == before


@pytest.mark.parametrize("seq", [1, 3, 5, 0, -1])
def test_an_event_out_of_order_is_refused(register: Register, raw: sqlite3.Connection, seq: int) -> None:
    written(register, 3)
    with pytest.raises(sqlite3.IntegrityError, match="added in order"):
        raw.execute(f"INSERT INTO event VALUES ({seq}, 'x', '2026', 'me', 'a:b', 'x', '{{}}', 'x')")


def written(register: Register, count: int) -> None:
    """Write some events, each in a transaction of its own."""
    for number in range(count):
        with changing(register) as change:
            audit.log(change, Name.SITE_CHANGE, SUBJECT, number=number, name=f"Zoë {number}")


def broken(register: Register) -> int | None:
    with register.read() as connection:
        return chain.broken_at(connection)


def test_an_event_says_what_happened_when_and_by_whom(register: Register) -> None:
    with changing(register) as change:
        audit.log(change, Name.ITEM_ADD, SUBJECT, tag="7", on=date(2026, 3, 4), rated=Decimal("10.0"), none=None)
    with register.read() as connection:
        (row,) = connection.execute(sa.select(Event.__table__))
    assert (row.seq, row.at, row.actor, row.name, row.subject) == (
        1, "2026-11-20T12:00:00.000000Z", ACTOR, "item:add", SUBJECT,
    )  # fmt: skip
    assert row.data == '{"none":null,"on":"2026-03-04","rated":"10.0","tag":"7"}'


def test_the_chain_is_what_anybody_can_work_out_with_a_hash_and_json(register: Register) -> None:
    written(register, 4)
    with register.read() as connection:
        previous = beginning(connection)
        for row in connection.execute(sa.select(Event.__table__).order_by(Event.seq)):
            parts = [str(row.seq), row.id, row.at, row.actor, row.name, row.subject, row.data]
            content = json.dumps(parts, ensure_ascii=False, separators=(",", ":")).encode()
            previous = hashlib.sha256(b"\x01" + bytes.fromhex(previous) + content).hexdigest()
            assert row.hash == previous
        assert chain.head(connection) == chain.Head(4, previous)


def test_a_register_without_events_has_a_whole_chain(register: Register) -> None:
    with register.read() as connection:
        assert chain.head(connection) == chain.Head(0, beginning(connection))
    assert broken(register) is None


def beginning(connection: Connection) -> str:
    """Return what the first event follows on: on a server the seal of its team, in a file nothing."""
    before = sa.select(Seal.hash).where(Seal.seq == 0).order_by(Seal.part.desc()).limit(1)
    return connection.execute(before).scalar() or FIRST


def test_many_events_at_once_and_one_by_one_make_one_chain(register: Register) -> None:
    with changing(register) as change:
        audit.log_all(change, [Entry(Name.TAG_ADD, SUBJECT, {"n": n}) for n in range(5)])
        audit.log_all(change, [])
        audit.log(change, Name.TAG_ADD, SUBJECT)
    written(register, 2)
    with register.read() as connection:
        assert chain.head(connection).count == 8
    assert broken(register) is None


@pytest.mark.parametrize(
    ("seq", "change"),
    [
        (1, "data = replace(data, '0', '1')"),
        (3, "data = replace(data, 'Zoë', 'Zoe')"),
        (3, "actor = 'Somebody'"),
        (3, "at = '2025-11-20T12:00:00.000000Z'"),
        (3, "name = 'site:add'"),
        (3, "subject = 'x'"),
        (3, "id = 'x'"),
        (3, "hash = replace(hash, substr(hash, 1, 1), 'x')"),
        (5, "hash = 'not even a hash'"),
        (5, "data = '{}'"),
        (2, "data = CAST(x'7bff7d' AS TEXT)"),
        (4, "actor = CAST(substr(CAST(actor AS BLOB), 1, 2) || x'ff' AS TEXT)"),
    ],
)
def test_one_changed_event_is_found_at_its_place(
    register: Register, raw: sqlite3.Connection, seq: int, change: str
) -> None:
    written(register, 5)
    raw.execute("DROP TRIGGER event_no_update")
    raw.execute(f"UPDATE event SET {change} WHERE seq = ?", (seq,))
    assert broken(register) == seq
    with register.read() as connection:
        assert list(integrity.faults(connection)) == [
            f"The history was changed from outside at event {seq}: it does not follow from the one before it."
        ]


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(data=st.data())
def test_any_changed_byte_of_an_event_is_found_at_its_place(register: Register, path: Path, data: Any) -> None:  # noqa: ANN401
    if broken(register) is None and count(register) == 0:
        written(register, 6)
    seq = data.draw(st.integers(1, 6))
    column = data.draw(st.sampled_from(["id", "at", "actor", "name", "subject", "data", "hash"]))
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        raw.execute("DROP TRIGGER IF EXISTS event_no_update")
        (was,) = raw.execute(f"SELECT CAST({column} AS BLOB) FROM event WHERE seq = ?", (seq,)).fetchone()
        place = data.draw(st.integers(0, len(was) - 1))
        byte = data.draw(st.integers(0, 255).filter(lambda each: each != was[place]))
        now = was[:place] + bytes([byte]) + was[place + 1 :]
        statement = f"UPDATE event SET {column} = CAST(? AS TEXT) WHERE seq = ?"
        raw.execute(statement, (now, seq))
        try:
            assert broken(register) == seq
        finally:
            raw.execute(statement, (was, seq))
    assert broken(register) is None


def count(register: Register) -> int:
    with register.read() as connection:
        return chain.head(connection).count


@pytest.mark.parametrize(("taken", "seq"), [("seq = 1", 1), ("seq = 3", 3), ("seq IN (2, 3)", 2)])
def test_an_event_taken_out_is_found_at_its_place(
    register: Register, raw: sqlite3.Connection, taken: str, seq: int
) -> None:
    written(register, 5)
    raw.execute("DROP TRIGGER event_no_delete")
    raw.execute(f"DELETE FROM event WHERE {taken}")
    assert broken(register) == seq


def test_two_events_in_each_others_place_are_found(register: Register, raw: sqlite3.Connection) -> None:
    written(register, 5)
    raw.execute("DROP TRIGGER event_no_update")
    for before, after in ((2, 99), (4, 2), (99, 4)):
        raw.execute("UPDATE event SET seq = ? WHERE seq = ?", (after, before))
    assert broken(register) == 2


def test_a_tail_cut_off_shows_against_the_head_of_an_earlier_report(
    register: Register, raw: sqlite3.Connection
) -> None:
    written(register, 5)
    with register.read() as connection:
        reported = chain.head(connection)
    raw.execute("DROP TRIGGER event_no_delete")
    raw.execute("DELETE FROM event WHERE seq > 3")
    assert broken(register) is None
    with register.read() as connection:
        assert chain.head(connection).count < reported.count


def test_an_event_without_a_zone_is_refused(register: Register) -> None:
    moment = datetime(2026, 11, 20, 12)  # noqa: DTZ001 - the case
    with pytest.raises(TypeError, match="without zone"), register.change(actor=ACTOR, at=moment, today=TODAY) as change:
        audit.log(change, Name.SITE_CHANGE, SUBJECT)
    assert count(register) == 0


@pytest.mark.parametrize(
    ("deed", "fault"),
    [
        (
            "INSERT INTO area (id, version, site_id, name) VALUES ('a', 1, 'nowhere', 'Shed')",
            "A row of area points to a row of site that does not exist.",
        ),
        (
            "INSERT INTO tag (id, item_id, owner_id, number) VALUES ('t', 'i', 'o', 'BW-1')",
            "A row of tag points to a row of item that does not exist.",
        ),
    ],
)
def test_a_reference_to_nothing_is_found(register: Register, raw: sqlite3.Connection, deed: str, fault: str) -> None:
    raw.execute(deed)
    with register.read() as connection:
        assert fault in list(integrity.faults(connection))


def test_a_whole_file_has_no_damage_and_no_faults(register: Register) -> None:
    written(register, 3)
    with register.read() as connection:
        assert integrity.damage(connection) == []
        assert list(integrity.faults(connection)) == []


def test_an_index_that_lacks_a_row_is_damage(register: Register, raw: sqlite3.Connection) -> None:
    written(register, 3)
    raw.execute("PRAGMA writable_schema=ON")
    raw.execute("CREATE TABLE twin (seq INTEGER, subject TEXT)")
    raw.execute("CREATE INDEX ix_twin ON twin (subject)")
    raw.execute(
        "UPDATE sqlite_schema SET rootpage = (SELECT rootpage FROM sqlite_schema WHERE name = 'ix_twin')"
        " WHERE name = 'ix_event_subject'"
    )
    raw.close()
    with register.read() as connection:
        found = integrity.damage(connection)
    assert found
    assert all(each.startswith("The file is damaged: ") and each.endswith(".") for each in found)


def test_an_overwritten_page_is_said_to_be_damage(register: Register, path: Path) -> None:
    written(register, 40)
    content = bytearray(path.read_bytes())
    page = content.rindex(b'"number":39') // 4096 * 4096
    content[page : page + 16] = bytes(16)
    path.write_bytes(content)
    with pytest.raises(Unavailable, match=r"own\.register is damaged"), register.read() as connection:
        integrity.damage(connection)
