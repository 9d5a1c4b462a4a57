"""Reports from another server that follows the register's own: table by table, or with the whole of its disk."""

import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

import pytest
from openpyxl import load_workbook

from register.store.access import Role
from register.store.rights import GROUPS
from tests.cli.conftest import Shell
from tests.servers import CHIEF, FOR_SPEED, Server, made_in, running

FOLLOWED: Final = (*FOR_SPEED[:2], "wal_level=logical", "max_wal_senders=8", "max_replication_slots=8")
KEY: Final = "01935c8e-7a00-7c4b-9f2e-5d1a4b6c8e2"


@pytest.fixture(scope="module")
def two() -> Iterator[tuple[Server, Server]]:
    """Two servers: a register is on the first, and the second can follow it."""
    with running(*FOLLOWED) as first, running(*FOLLOWED) as second:
        first.run("CREATE DATABASE own TEMPLATE template0")
        for server in (first, second):
            server.run("".join(f"CREATE ROLE {group};" for group in GROUPS.values()))
            server.run("CREATE ROLE ana LOGIN IN ROLE retest_contractor")
        yield first, second


def test_a_report_from_a_server_that_follows_tables_says_what_the_register_says(
    yard: Shell, two: tuple[Server, Server], tmp_path: Path, record: Callable[..., Path]
) -> None:
    first, second = two
    original = moved(yard, first)
    lay_out(first, second)
    first.run("CREATE PUBLICATION reports FOR ALL TABLES", "own")
    writers = f"{GROUPS[Role.CONTRACTOR]}, {GROUPS[Role.ASSISTANT]}"
    second.run(f"REVOKE INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public FROM {writers}", "own")
    way = f"host={first.folder} user={CHIEF} dbname=own"
    second.run(f"CREATE SUBSCRIPTION reports CONNECTION '{way}' PUBLICATION reports", "own")
    original.run("record", str(record()))
    copy = Shell(Path(), yard._capsys)
    copy.db = str(second.address("own", "ana"))  # type: ignore[assignment]
    followed(first, second)
    assert_the_same(original, copy, tmp_path)
    assert "may look at it and change nothing" in copy.refused("record", str(record(key=f"{KEY}1")))
    second.run("DROP SUBSCRIPTION reports", "own")


def test_a_report_from_a_server_that_follows_the_disk_says_so_too(
    yard: Shell, two: tuple[Server, Server], tmp_path: Path, record: Callable[..., Path]
) -> None:
    first, _second = two
    original = moved(yard, first)
    with following(first) as standby:
        original.run("record", str(record(key=f"{KEY}2")))
        copy = Shell(Path(), yard._capsys)
        copy.db = str(standby.address("own", "ana"))  # type: ignore[assignment]
        end = first.run("SELECT pg_current_wal_flush_lsn()")
        while standby.run(f"SELECT pg_last_wal_replay_lsn() >= '{end}'") != "t":
            pass
        assert_the_same(original, copy, tmp_path)
        assert "a copy of a register that can only be read" in copy.refused("record", str(record(key=f"{KEY}3")))


def moved(yard: Shell, server: Server) -> Shell:
    """Return the command line on the yard's register on a server, with Ana in the team; it is moved there once."""
    there = Shell(Path(), yard._capsys)
    there.db = str(server.address("own"))  # type: ignore[assignment]
    if not server.run("SELECT to_regclass('item')", "own"):
        yard.run("move", "--to", str(there.db))
        there.run("team", "ana", "--role", "contractor")
    there.db = str(server.address("own", "ana"))  # type: ignore[assignment]
    return there


def lay_out(first: Server, second: Server) -> None:
    """Make on the second server the tables, guards and rights of the first one's register, without a row."""
    ways = [["-h", server.folder, "-U", CHIEF] for server in (first, second)]
    layout = [first.programs / "pg_dump", *ways[0], "--schema-only", "--create", "own"]
    said = subprocess.run(layout, check=True, capture_output=True).stdout
    made = [second.programs / "psql", *ways[1], "-qX", "-v", "ON_ERROR_STOP=1", "postgres"]
    subprocess.run(made, input=said, check=True, capture_output=True)


def followed(first: Server, second: Server) -> None:
    """Wait until the second server has all that the first one has."""
    states = "SELECT count(*) FROM pg_subscription_rel WHERE srsubstate <> 'r'"
    while second.run(states, "own") != "0":
        pass
    end = first.run("SELECT pg_current_wal_flush_lsn()")
    behind = f"SELECT count(*) FROM pg_stat_replication WHERE replay_lsn < '{end}'"
    while first.run(behind) != "0":
        pass


@contextmanager
def following(first: Server) -> Iterator[Server]:
    """Give a server that was begun with the first one's disk and follows what is written to it."""
    with tempfile.TemporaryDirectory(prefix="retest-server-") as name:
        place = Path(name)
        shutil.chown(place, first.folder.owner(), first.folder.group())
        begin = [first.programs / "pg_basebackup", "-h", first.folder, "-U", CHIEF, "-D", place / "data"]
        command = [*first.as_itself(), *begin, "-R", "--no-sync", "-c", "fast"]
        subprocess.run(command, check=True, capture_output=True, cwd=place)
        standby = made_in(place, *FOLLOWED)
        standby.start()
        try:
            yield standby
        finally:
            standby.stop()


def assert_the_same(original: Shell, copy: Shell, folder: Path) -> None:
    """Hold what a copy says against what the register says."""
    for question in (("due", "--within", "400"), ("check",), ("why", "YD-0001")):
        assert copy.json(*question) == original.json(*question)
    books = []
    for number, shell in enumerate((copy, original)):  # the register itself notes afterwards that a book went out
        path = folder / f"book-{number}.xlsx"
        shell.run("export", "--site", "YARD", str(path))
        books.append([[list(row) for row in sheet.iter_rows(values_only=True)] for sheet in load_workbook(path)])
    assert books[0] == books[1]
