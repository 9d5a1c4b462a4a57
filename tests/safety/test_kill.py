"""The program is killed at any moment of its work: every test it said was saved is there, and the register is whole."""

import subprocess
import sys
from contextlib import closing
from pathlib import Path
from random import Random
from time import sleep

import pytest
import sqlalchemy as sa

from register.services.check import check
from register.store.engine import open_register
from register.store.tables import Record
from tests.desk import Desk

AT_WORK = """
import sys
from datetime import time, timedelta
from pathlib import Path
from register.store.engine import open_register
from tests.desk import QUICK, SOUND, Desk

desk = Desk(open_register(Path(sys.argv[1])))
start = int(sys.argv[2])
print("ready", flush=True)
for number in range(start, start + 100_000):
    day, minute = desk.today - timedelta(days=number // 1_440), number % 1_440
    at = time(minute // 60, minute % 60)
    done = desk.test(f"S-{number % 12:03}", day, readings=[*SOUND, *QUICK], at=at)
    print(done.id, flush=True)
"""

KILLS = 5


@pytest.fixture
def stocked(path: Path) -> Path:
    """The file of a register with a few safety switches."""
    with closing(open_register(path)) as register:
        desk = Desk(register)
        desk.site()
        for number in range(12):
            desk.item(f"S-{number:03}")
    return path


def work_and_kill(path: Path, start: int, pause: float) -> list[str]:
    """Let another program record tests until it is killed; return the ids that it said were saved."""
    program = subprocess.Popen(
        [sys.executable, "-c", AT_WORK, str(path), str(start)], stdout=subprocess.PIPE, text=True
    )
    assert program.stdout is not None
    assert program.stdout.readline() == "ready\n"
    sleep(pause)
    program.kill()
    said = program.communicate()[0].splitlines(keepends=True)
    return [line.strip() for line in said if line.endswith("\n")]


def saved(path: Path) -> set[str]:
    with closing(open_register(path)) as register, register.read() as connection:
        assert check(connection).faults == ()
        return set(connection.execute(sa.select(Record.id)).scalars())


def kill_again_and_again(path: Path, kills: int, commits: int) -> None:
    rng = Random(20261124)  # noqa: S311 - kills that can be made again
    told: set[str] = set()
    done = 0
    while done < kills or len(told) < commits:
        told |= set(work_and_kill(path, 1_000 * done, rng.uniform(0.06, 1.2)))
        done += 1
        if done % 10 == 0 or done == kills:
            assert told <= saved(path)
    assert told <= saved(path)
    assert len(told) >= commits


def test_nothing_that_was_said_to_be_saved_is_lost(stocked: Path) -> None:
    kill_again_and_again(stocked, KILLS, 20)


@pytest.mark.long
@pytest.mark.timeout(0)
def test_three_hundred_kills(stocked: Path) -> None:
    kill_again_and_again(stocked, 300, 20_000)
