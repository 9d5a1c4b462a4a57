"""The state that the history tells, from its first event to its last, is the state there is: row for row, both ways."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from register.cli.main import main
from register.store.engine import Register
from tests.desk import QUICK, SOUND, Desk
from tests.exchange.pack.crew import MADE, merged, pack_for, sent_back, unpacked
from tests.registers import register
from tests.safety.replayed import State, state_at_present, state_by_the_history
from tests.safety.work import morning

__all__ = ["register"]


def held_against_its_history(path: Path) -> State:
    """Require that a file holds what its history tells and nothing else; return that."""
    told, there = state_by_the_history(path), state_at_present(path)
    assert {each for each in told.keys() | there.keys() if told.get(each) != there.get(each)} == set()
    return there


def rows_of(state: State, table: str) -> int:
    return sum(name == table for name, _key in state)


@pytest.fixture(scope="module")
def worked_in(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A register in which sheets were taken in, tests recorded, items moved, and some of all that undone."""
    path = tmp_path_factory.mktemp("worked") / "own.register"
    morning(path, 25)
    return path


def test_after_sheets_tests_moves_and_undoing(worked_in: Path) -> None:
    state = held_against_its_history(worked_in)
    assert (rows_of(state, "item") > 60, rows_of(state, "record") > 60) == (True, True)


def test_after_field_work_was_merged(register: Register, tmp_path: Path) -> None:
    office = Desk(register, MADE)
    office.site()
    for tag in ("S-1", "S-2"):
        office.item(tag)
    laptop = unpacked(pack_for(register, tmp_path / "yard.fieldpack", "YARD"), tmp_path / "field.register")
    laptop.test("S-1", MADE, readings=[*SOUND, *QUICK])
    laptop.item("S-9")
    merged(register, sent_back(laptop, tmp_path / "yard.fieldwork"))
    for each in (laptop, office):
        state = held_against_its_history(each.register.path or tmp_path)
        assert (rows_of(state, "item"), rows_of(state, "record")) == (3, 1)


def test_on_the_whole_sample(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["demo", "--out", str(tmp_path), "--today", "2026-11-24"]) == 0
    capsys.readouterr()
    state = held_against_its_history(tmp_path / "demo.register")
    assert rows_of(state, "item") > 1_100
    assert rows_of(state, "reading") > 5_000


CHANGED = (
    "UPDATE site SET address = 'Somewhere else'",
    "UPDATE record SET why = why || ' '",
    "DELETE FROM tag WHERE rowid = (SELECT min(rowid) FROM tag)",
    "INSERT INTO tester (id, version, name, licence) VALUES ('x', 1, 'Nobody', '')",
)


@pytest.mark.parametrize("deed", CHANGED)
def test_what_was_done_from_outside_is_seen(worked_in: Path, tmp_path: Path, deed: str) -> None:
    path = Path(shutil.copy(worked_in, tmp_path / "own.register"))
    with closing(sqlite3.connect(path)) as file, file:
        for (name,) in file.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
            file.execute(f'DROP TRIGGER "{name}"')
        assert file.execute(deed).rowcount > 0
    assert state_by_the_history(path) != state_at_present(path)
