"""Every connection keeps what was acknowledged, and two writers queue."""

import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa

from register.errors import Damaged, Refused, Unavailable
from register.services.places import owner_named
from register.services.undo import Steps
from register.stopping import Stopped, stopped_by
from register.store import engine
from register.store.engine import Change, Register, create_register, open_register, open_to_work_or_look
from register.store.room import drive_of
from register.store.tables import Owner
from register.store.types import new_key
from tests.registers import changing

WANTED = {
    "journal_mode": "delete",
    "synchronous": 3,
    "foreign_keys": 1,
    "recursive_triggers": 1,
    "trusted_schema": 0,
    "mmap_size": 0,
    "cell_size_check": 1,
    "busy_timeout": 5000,
}
CUT_OFF = """
import os, sqlite3, sys
file = sqlite3.connect(sys.argv[1], isolation_level=None)
file.execute("PRAGMA cache_size=1")
file.execute("BEGIN IMMEDIATE")
file.executemany("INSERT INTO setting VALUES (?, ?)", ((str(n), '"' + "x" * 500 + '"') for n in range(3000)))
os.kill(os.getpid(), 9)
"""


def owners(register: Register) -> list[str]:
    with register.read() as connection:
        return list(connection.execute(sa.select(Owner.name).order_by(Owner.name)).scalars())


def begin_and_fail(change: Change) -> None:
    owner_named(change, "Ridge Joinery")
    raise RuntimeError("half-way")


def fill(change: Change, room: int) -> None:
    """Let the file grow by so many pages only, and write more than that."""
    connection = change.session.connection()
    pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
    connection.exec_driver_sql(f"PRAGMA max_page_count={pages + room}")
    for number in range(2000):
        owner_named(change, f"Owner {number}" + " of many yards" * 20)


def rename_while_another_does(change: Change, key: str) -> None:
    mine = change.session.get_one(Owner, key)
    change.session.connection().exec_driver_sql("UPDATE owner SET name = 'Ridge Boats', version = version + 1")
    mine.name = "Ridge Yards"


@pytest.mark.parametrize("way", ["read", "change"])
def test_every_setting_reads_back_as_the_register_needs_it(register: Register, way: str) -> None:
    with register.read() if way == "read" else changing(register) as given:
        connection = given if way == "read" else given.session.connection()
        found = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in WANTED}
    assert found == WANTED


@pytest.mark.parametrize(
    ("name", "value"), [("journal_mode", "engraved"), ("synchronous", 9), ("foreign_keys", 2), ("busy_timeout", -1)]
)
def test_a_connection_is_refused_where_a_setting_does_not_take(
    path: Path, monkeypatch: pytest.MonkeyPatch, name: str, value: object
) -> None:
    monkeypatch.setitem(engine.SETTINGS, name, value)
    with pytest.raises(Unavailable, match=rf"SQLite keeps {name} at \w+ where the register needs {value}"):
        open_register(path)


def test_a_reference_to_nothing_is_refused(register: Register) -> None:
    values = f"'{new_key()}', 1, '{new_key()}', 'Shed'"
    with pytest.raises(sa.exc.IntegrityError, match=r"(?i)foreign key"), changing(register) as change:
        change.session.connection().exec_driver_sql(f"INSERT INTO area (id, version, site_id, name) VALUES ({values})")


def test_a_change_that_raises_leaves_nothing(register: Register) -> None:
    with pytest.raises(RuntimeError, match="half-way"), changing(register) as change:
        begin_and_fail(change)
    assert owners(register) == []


def test_a_rehearsal_sees_its_own_change_and_leaves_nothing(register: Register) -> None:
    with changing(register, keep=False) as change:
        key = owner_named(change, "Ridge Joinery")
        assert owner_named(change, "Ridge Joinery") == key
    assert owners(register) == []


def test_a_kept_change_is_there_for_whoever_opens_the_file_next(register: Register, path: Path) -> None:
    with changing(register) as change:
        owner_named(change, "Ridge Joinery")
    with closing(sqlite3.connect(path)) as other:
        assert other.execute("SELECT name FROM owner").fetchall() == [("Ridge Joinery",)]
    assert [each.name for each in path.parent.iterdir()] == [path.name], "the file is whole by itself"


def test_a_reader_sees_one_state_and_a_writer_waits_for_it(register: Register, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(engine.SETTINGS, "busy_timeout", 1)
    with register.read() as connection:
        assert connection.execute(sa.select(sa.func.count()).select_from(Owner)).scalar() == 0
        with pytest.raises(Unavailable, match="in use"), changing(register) as change:
            owner_named(change, "Ridge Joinery")
        assert connection.execute(sa.select(sa.func.count()).select_from(Owner)).scalar() == 0
    with changing(register) as change:
        owner_named(change, "Ridge Joinery")
    assert owners(register) == ["Ridge Joinery"]


@pytest.mark.parametrize(("lock", "can_read"), [("BEGIN IMMEDIATE", True), ("BEGIN EXCLUSIVE", False)])
def test_a_register_that_another_program_writes_is_said_to_be_in_use(
    register: Register, path: Path, monkeypatch: pytest.MonkeyPatch, lock: str, *, can_read: bool
) -> None:
    monkeypatch.setitem(engine.SETTINGS, "busy_timeout", 1)
    sentence = "The register own.register is in use by another program. Close that one, or try again in a moment."
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute(lock)
        with pytest.raises(Unavailable) as told, changing(register) as change:
            owner_named(change, "Ridge Joinery")
        assert str(told.value) == sentence
        if can_read:
            assert owners(register) == []
        else:
            with pytest.raises(Unavailable, match="in use"):
                open_register(path)
    with changing(register) as change:
        owner_named(change, "Ridge Joinery")
    assert owners(register) == ["Ridge Joinery"]


def test_a_register_cut_off_in_the_middle_of_a_change_opens_as_it_was_before(register: Register, path: Path) -> None:
    with changing(register) as change:
        owner_named(change, "Ridge Joinery")
    before = path.read_bytes()
    subprocess.run([sys.executable, "-c", CUT_OFF, path], check=False)
    assert path.read_bytes() != before, "the change had begun to reach the file"
    with closing(open_register(path)) as opened:
        assert owners(opened) == ["Ridge Joinery"]
    assert path.read_bytes() == before


def test_one_that_can_only_be_read_is_told_to_be_taken_with_its_journal(register: Register, path: Path) -> None:
    with changing(register) as change:
        owner_named(change, "Ridge Joinery")
    subprocess.run([sys.executable, "-c", CUT_OFF, path], check=False)
    before = path.read_bytes()
    with pytest.raises(Unavailable, match=r"Copy it with the file own\.register-journal to a folder"):
        open_to_work_or_look(path, "Another window has it open.")
    assert path.read_bytes() == before
    with closing(open_register(path)) as opened:
        assert owners(opened) == ["Ridge Joinery"]


@pytest.mark.parametrize("room", range(0, 40, 4))
def test_a_full_drive_is_said_so_and_what_was_there_stays(register: Register, path: Path, room: int) -> None:
    with changing(register) as change:
        owner_named(change, "Ridge Joinery")
    with pytest.raises(Unavailable) as told, changing(register) as change:
        fill(change, room)
    assert str(told.value) == (
        f"The drive {drive_of(path)} that holds own.register is full; nothing of this change was kept. Free 1.0 MB"
        " there and do it again."
    )
    assert owners(register) == ["Ridge Joinery"]
    with changing(register) as change:
        owner_named(change, "Owner 0")
    assert owners(register) == ["Owner 0", "Ridge Joinery"]


def test_an_entry_that_somebody_else_changed_in_the_meantime_is_not_overwritten(register: Register) -> None:
    with changing(register) as change:
        key = owner_named(change, "Ridge Joinery")
    with pytest.raises(Refused, match="Somebody else changed this entry"), changing(register) as change:
        rename_while_another_does(change, key)
    assert owners(register) == ["Ridge Joinery"]


def test_what_no_sentence_is_known_for_is_raised_as_a_fault_of_the_program(register: Register) -> None:
    unknown = r"no such table|does not exist"
    with pytest.raises(sa.exc.DBAPIError, match=unknown), register.read() as connection:
        connection.exec_driver_sql("SELECT * FROM nowhere")


@pytest.mark.parametrize("writes", [False, True])
def test_what_can_not_be_understood_is_damage_where_the_file_is_not_what_the_program_wrote(
    register: Register, path: Path, *, writes: bool
) -> None:
    with changing(register) as change:
        owner_named(change, "Ridge Joinery")

    def ask() -> None:
        with changing(register) if writes else register.read():
            raise ValueError("no such kind")

    with pytest.raises(ValueError, match="no such kind"):
        ask()
    data = bytearray(path.read_bytes())
    data[data.rindex(b"Ridge Joinery")] ^= 1
    path.write_bytes(data)
    with pytest.raises(Damaged, match=r"^The register own\.register is damaged; nothing was changed\."):
        ask()


def test_work_that_is_told_to_stop_ends_at_its_next_step_and_leaves_nothing(register: Register) -> None:
    stop = threading.Event()
    with (
        pytest.raises(Stopped, match="The work was stopped; nothing of it was kept"),
        stopped_by(stop),
        changing(register) as change,
    ):
        stop_half_way(change, stop)
    assert owners(register) == []


def test_a_single_long_statement_ends_too_when_its_work_is_told_to_stop(register: Register) -> None:
    stop = threading.Event()
    with pytest.raises(Stopped), stopped_by(stop), register.read() as connection:
        count_for_ever(connection, stop)
    assert owners(register) == []


def count_for_ever(connection: sa.engine.Connection, stop: threading.Event) -> None:
    """Ask something that has no end; it sets `stop` itself when it is a thousand steps on its way."""

    def next_one(number: int) -> int:
        if number == 1_000:
            stop.set()
        return number + 1

    driver = connection.connection.driver_connection
    assert isinstance(driver, sqlite3.Connection)
    driver.create_function("next_one", 1, next_one)
    connection.exec_driver_sql(
        "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT next_one(i) FROM n) SELECT sum(i) FROM n"
    )


def stop_half_way(change: Change, stop: threading.Event) -> None:
    owner_named(change, "Ridge Joinery")
    stop.set()
    owner_named(change, "Ridge Boats")


def test_a_change_that_is_stopped_at_any_statement_leaves_the_file_free_for_the_next(tmp_path: Path) -> None:
    register = create_register(tmp_path / "own.register")
    register.watch(Steps())
    stopped: list[Unavailable] = []  # each holds the frames of its work, as an answer that waits for the window does
    statements, last = 0, 0

    def stop_at(*_statement: object) -> None:
        nonlocal statements
        statements += 1
        if statements == last:
            raise Unavailable("Stopped.")

    sa.event.listen(register.engine, "before_cursor_execute", stop_at)
    while len(stopped) == last:
        statements, last = 0, last + 1
        try:
            with changing(register) as change:
                owner_named(change, "Ridge Joinery")
        except Unavailable as why:
            stopped.append(why)
            with closing(sqlite3.connect(tmp_path / "own.register", timeout=0)) as other:
                other.execute("BEGIN EXCLUSIVE")
    sa.event.remove(register.engine, "before_cursor_execute", stop_at)
    assert len(stopped) > 20
    assert owners(register) == ["Ridge Joinery"]
    register.close()
