"""Copies that are made while two programs write: each is whole, and is the register as it was at one moment."""

import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import sleep

import pytest

from register.services.check import check
from register.store import chain
from register.store.chain import Head
from register.store.copies import Copy, make_copy
from register.store.engine import Register, open_register
from tests.desk import Desk

TOP = Path(__file__).parents[2]
COPIES, LONG_COPIES = 4, 100
AT = datetime(2026, 11, 20, 18, tzinfo=UTC)
WRITER = """
import sys
from datetime import timedelta
from pathlib import Path
from register.errors import Unavailable
from register.store.engine import open_register
from tests.desk import Desk

desk, who = Desk(open_register(Path(sys.argv[1]))), sys.argv[2]
print("ready", flush=True)
for number in range(100_000):
    try:
        desk.test(f"{who}-{number % 3}", desk.today - timedelta(days=number % 300), tester=f"{who} {number}")
    except Unavailable:
        continue  # the other one wrote for longer than this one waits
"""


@contextmanager
def two_writers(path: Path) -> Iterator[None]:
    """Let two programs work on a register until the block ends."""
    calls = [[sys.executable, "-c", WRITER, str(path), who] for who in ("A", "B")]
    programs = [subprocess.Popen(call, cwd=TOP, stdout=subprocess.PIPE, text=True) for call in calls]
    try:
        for each in programs:
            assert each.stdout is not None
            assert each.stdout.readline() == "ready\n"
        yield
        assert [each.poll() for each in programs] == [None, None], "a writer gave up"
    finally:
        for each in programs:
            each.kill()
            each.communicate()


def copy_once_written(register: Register, folder: Path, number: int) -> Copy:
    """Make a copy once something more was written; by then the writers are amid the next."""
    before = end_of(register)
    while end_of(register) == before:
        sleep(0.01)
    return make_copy(register, folder, AT + timedelta(minutes=number))


def end_of(register: Register) -> Head:
    with register.read() as connection:
        return chain.head(connection)


def copied(path: Path, folder: Path, copies: int) -> int:
    """Make so many copies while two programs write; return how many different states they are of."""
    folder.mkdir()
    with closing(open_register(path)) as register:
        desk = Desk(register)
        desk.site()
        for tag in ("A-0", "A-1", "A-2", "B-0", "B-1", "B-2"):
            desk.item(tag)
        with two_writers(path):
            made = [copy_once_written(register, folder, number) for number in range(copies)]
        ends = []
        for each in made:
            with closing(open_register(each.path)) as copy, copy.read() as connection:
                assert check(connection).faults == ()
                ends.append(chain.head(connection))
        with register.read() as connection:
            assert all(chain.passed(connection, end) for end in ends)
    return len(set(ends))


def test_a_copy_made_while_two_write_is_one_state_of_the_register(path: Path, tmp_path: Path) -> None:
    assert copied(path, tmp_path / "copies", COPIES) == COPIES


@pytest.mark.long
@pytest.mark.timeout(0)
def test_a_hundred_copies_made_while_two_write(
    path: Path, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    record_property("states", copied(path, tmp_path / "copies", LONG_COPIES))
