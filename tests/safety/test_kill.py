"""The program is killed at any moment of its work: what it said was kept is there, whole, and so is the register."""

import os
import shutil
import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from random import Random
from time import monotonic, sleep

import pytest
import sqlalchemy as sa

from register.services.check import check
from register.store import chain, integrity
from register.store.engine import open_register
from register.store.tables import Item, Owner, Record
from tests.desk import Desk
from tests.safety.at_work import ROWS, SWITCHES

TOP = Path(__file__).parents[2]
KILLS, LONG_KILLS = 6, 300
COMMITS, LONG_COMMITS = 20, 20_000
ONE_REGISTER = 25
"""So many times a register is worked on and killed; then a fresh one takes its place, or checks would last longer."""

DEEDS, LONG_DEEDS = 20, 140
"""So many deeds are let pass at most before the kill."""

LONGEST = 0.05
"""So many seconds are let pass at most after them, in which one more is under way."""

SHEETS, LONG_SHEETS = (2, 200), (40, 2_000)
"""So many kills fall amid taking in or undoing large sheets, and so many rows these have."""


@pytest.fixture(scope="module")
def stocked(tmp_path_factory: pytest.TempPathFactory, empty_file: Path) -> Path:
    """The file of a register with a few safety switches."""
    path = Path(shutil.copy(empty_file, tmp_path_factory.mktemp("stocked") / "own.register"))
    with closing(open_register(path)) as register:
        desk = Desk(register)
        desk.site()
        for number in range(SWITCHES):
            desk.item(f"S-{number:03}")
    return path


Work = Callable[..., list[list[str]]]
"""Lets a program work on a register from a number on, for so many deeds and then seconds; returns all that it said."""


@pytest.fixture
def work_and_kill() -> Iterator[Work]:
    """A program whose workers can be killed."""
    call = [sys.executable, "-m", "tests.safety.at_work"]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True, "bufsize": 1}
    with subprocess.Popen(call, cwd=TOP, **pipes) as program:
        asked, said = program.stdin, program.stdout
        assert asked is not None
        assert said is not None

        def work(path: Path, start: int, halves: int, pause: float, rows: int = ROWS) -> list[list[str]]:
            asked.write(f"{path} {start} {rows}\n")
            word, process = said.readline().split()
            assert word == "ready"
            before = [said.readline().split() for _half in range(halves)]
            sleep(pause)
            os.kill(int(process), signal.SIGKILL)
            return [*before, *(line.split() for line in iter(said.readline, "dead\n"))]

        yield work
        asked.close()


def kill_again_and_again(
    work_and_kill: Work, stocked: Path, path: Path, *, kills: int, commits: int, deeds: int
) -> Counter[str]:
    """Work and kill until both numbers are reached, hold the register against what was said each time, and count."""
    rng = Random(20261124)  # noqa: S311 - kills that can be made again
    counted: Counter[str] = Counter()
    while counted["kills"] < kills or counted["done"] + counted["undone"] < commits:
        if counted["kills"] % ONE_REGISTER == 0:
            told: dict[str, str] = {}
            shutil.copy(stocked, path)
        said = work_and_kill(path, 1_000 * counted["kills"], 2 * rng.randrange(deeds), rng.uniform(0, LONGEST))
        told |= {name: word for word, name in said}
        counted += Counter(word for word, _name in said if word in {"done", "undone"})
        counted += Counter(kills=1, amid=path.with_name(f"{path.name}-journal").exists())
        hold_against(path, told, thoroughly=counted["kills"] % ONE_REGISTER in {0, KILLS})
    return counted


def hold_against(path: Path, told: dict[str, str], *, thoroughly: bool, rows: int = ROWS) -> None:
    """Require that the register is whole and holds all that was said to be kept, and nothing of what was undone."""
    with closing(open_register(path)) as register, register.read() as connection:
        assert integrity.damage(connection) == []
        assert chain.broken_at(connection) is None
        assert not thoroughly or check(connection).faults == ()
        kept = Counter(connection.execute(sa.union_all(sa.select(Record.id), sa.select(Owner.name))).scalars())
        leads = connection.execute(sa.select(Item.tag_number).where(Item.tag_number.startswith("L-"))).scalars()
        kept.update(tag[:-4] for tag in leads)
    for name, word in told.items():
        whole = rows if name.startswith("L-") else 1
        possible = {"doing": {0, whole}, "done": {whole}, "undoing": {0, whole}, "undone": {0}}[word]
        assert kept[name] in possible, (name, word)


def kill_amid_large_sheets(work_and_kill: Work, stocked: Path, path: Path, kills: int, rows: int) -> Counter[str]:
    """Kill a program amid what it does with large sheets, hold the register against what was said, and count.

    How long a sheet takes, to come in or to be undone, is measured first; the kills fall anywhere in that.
    """
    rng = Random(20261124)  # noqa: S311 - kills that can be made again
    counted: Counter[str] = Counter()
    took = longest(work_and_kill, stocked, path, rows)
    for number in range(kills):
        shutil.copy(stocked, path)
        said = work_and_kill(path, 1, rng.choice([1, 3]), rng.uniform(0, took), rows)  # amid coming in, or undoing
        counted[said[-1][0]] += 1
        counted["amid"] += path.with_name(f"{path.name}-journal").exists()
        hold_against(path, {name: word for word, name in said}, thoroughly=number % ONE_REGISTER == 0, rows=rows)
    return counted


def longest(work_and_kill: Work, stocked: Path, path: Path, rows: int) -> float:
    """Return how many seconds it takes, at a worker's first, until a large sheet is in and undone."""
    shutil.copy(stocked, path)
    began = monotonic()
    said = work_and_kill(path, 1, 4, 0, rows)
    assert [word for word, _name in said[:4]] == ["doing", "done", "undoing", "undone"]
    return (monotonic() - began) / 2


def test_a_large_sheet_is_whole_or_not_there_whenever_the_program_is_killed(
    work_and_kill: Work, stocked: Path, tmp_path: Path
) -> None:
    assert kill_amid_large_sheets(work_and_kill, stocked, tmp_path / "own.register", *SHEETS)


@pytest.mark.long
@pytest.mark.timeout(0)
def test_forty_kills_amid_sheets_of_two_thousand_rows(
    work_and_kill: Work, stocked: Path, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    counted = kill_amid_large_sheets(work_and_kill, stocked, tmp_path / "own.register", *LONG_SHEETS)
    assert {"doing", "undoing"} <= counted.keys()
    for name, number in counted.items():
        record_property(name, number)


def test_nothing_that_was_said_to_be_kept_is_lost(work_and_kill: Work, stocked: Path, tmp_path: Path) -> None:
    kill_again_and_again(work_and_kill, stocked, tmp_path / "own.register", kills=KILLS, commits=COMMITS, deeds=DEEDS)


@pytest.mark.long
@pytest.mark.timeout(0)
def test_three_hundred_kills(
    work_and_kill: Work, stocked: Path, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    path = tmp_path / "own.register"
    counted = kill_again_and_again(
        work_and_kill, stocked, path, kills=LONG_KILLS, commits=LONG_COMMITS, deeds=LONG_DEEDS
    )
    assert counted["amid"] > 0
    for name, number in counted.items():
        record_property(name, number)
