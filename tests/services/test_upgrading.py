"""A register of an earlier layout is brought up to date with nothing lost, or left as it was, byte for byte."""

import hashlib
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa

from register.domain.words import Kind
from register.errors import Earlier, Refused, Unavailable
from register.services.check import check
from register.services.upgrading import Upgraded, upgrade
from register.store import chain, drive, upgrading
from register.store.engine import Register, create_register, open_known, open_register, open_to_work_or_look
from register.store.kept_copies import copies_in
from register.store.lock import InUse, hold
from tests.desk import TODAY, Desk
from tests.later import FOUND, GOOD, LATER, MORE, later
from tests.registers import ACTOR
from tests.released.kept import answers, grow, kept, kept_answers

__all__ = ["later"]

NOW = datetime(2026, 11, 24, 9, tzinfo=UTC)
WRONG = {
    "the column remarks of item": 'with op.batch_alter_table("item") as item: item.drop_column("remarks")',
    "what is kept in site": "op.execute(\"UPDATE site SET name = 'Depot'\")",
    "the number of rows of tag, 3, but 2,": "op.execute(\"DELETE FROM tag WHERE number = 'A-1'\")",
    "the table mark": 'op.drop_table("mark")',
    "the trigger record_no_delete": 'with op.batch_alter_table("record", recreate="always"): pass',
    "what rows point to": "op.execute(\"UPDATE tag SET item_id = 'nobody'\")",
}  # fmt: skip
DECLARED = 'REWRITTEN = {"tag": frozenset({"item_id"})}\n'
KILLED = """
import os, sys
import sqlalchemy as sa
from datetime import UTC, datetime, date
from pathlib import Path
from register.store import upgrade as layouts, upgrading
from register.services.upgrading import upgrade

layouts._SCRIPTS, layouts.HEAD, layouts.EARLIER = Path(sys.argv[2]), "9001", frozenset({sys.argv[3]})
begun = upgrading.bring_up_to_date
def until_killed(register, copy, tell, step):
    left = int(sys.argv[4])
    def count(*_statement):
        nonlocal left
        left -= 1
        if left == 0:
            os.kill(os.getpid(), 9)
    sa.event.listen(register.engine, "after_cursor_execute", count)
    begun(register, copy, tell, step)
upgrading.bring_up_to_date = until_killed
upgrade(Path(sys.argv[1]), actor="Asha Pell", at=datetime(2026, 11, 24, 9, tzinfo=UTC), today=date(2026, 11, 24))
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A register of today's layout, which will be an earlier one."""
    path = tmp_path / "yard.register"
    with closing(create_register(path)) as register:
        desk = Desk(register)
        desk.site()
        for number in range(1, 4):
            desk.item(f"A-{number}", Kind.APPLIANCE_CLASS_1, remarks=f"Shelf {number}")
        desk.withdraw("A-3")
    return path


@pytest.fixture
def released(tmp_path: Path) -> Path:
    """A register with something in every table, as the version before made it."""
    return kept(FOUND, "office", tmp_path)


def digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def upgraded(path: Path) -> Upgraded:
    return upgrade(path, actor="Asha Pell", at=NOW, today=TODAY)


def rows(path: Path, statement: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(statement).fetchall()


def test_an_earlier_layout_is_brought_up_to_date_with_a_copy_of_it_as_it_was(
    file: Path, later: Callable[[str], Path]
) -> None:
    kept = "SELECT id, tag_number, description, state FROM item ORDER BY id"
    below = "SELECT item_id, number FROM tag UNION ALL SELECT item_id, reason FROM withdrawal ORDER BY 1, 2"
    before, children, events = rows(file, kept), rows(file, below), rows(file, "SELECT * FROM event ORDER BY seq")
    later(GOOD)
    with pytest.raises(Earlier, match=r"made by an earlier version .* Bring it up to date first"):
        open_register(file)
    with pytest.raises(Earlier):
        open_to_work_or_look(file)

    done = upgraded(file)

    assert (done.found, done.layout) == (FOUND, "9001")
    assert (rows(file, kept), rows(file, below)) == (before, children)
    assert rows(file, "SELECT DISTINCT made_up FROM item") == [("",)]
    assert rows(file, "SELECT * FROM event ORDER BY seq")[: len(events)] == events
    assert rows(file, "SELECT name, actor FROM event ORDER BY seq DESC LIMIT 1") == [("register:upgrade", "Asha Pell")]
    assert rows(done.copy, "SELECT version_num FROM alembic_version") == [(FOUND,)]
    assert "before-upgrade" in done.copy.name
    open_register(file).close()
    again = digest(file)
    assert (upgraded(file).found, upgraded(file).copy, digest(file)) == ("9001", None, again)


def content(path: Path, without: tuple[str, ...] = ()) -> dict[str, list[str]]:
    """Return what each table of a file holds in the columns that there are today: every row as text."""
    names = rows(
        path, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'item\\_search%' ESCAPE '\\'"
    )
    return {str(name): held(path, str(name)) for (name,) in names if name not in {"alembic_version", *without}}


def held(path: Path, table: str) -> list[str]:
    names = [str(row[1]) for row in rows(path, f"PRAGMA table_info({table})")]
    listed = ", ".join(f'"{name}"' for name in names if name != "made_up")
    return sorted(map(repr, rows(path, f'SELECT {listed} FROM "{table}"')))


def test_a_released_register_holds_and_says_the_same_afterwards(released: Path, later: Callable[[str], Path]) -> None:
    added = ("event", "seal", "ladder")
    before, history = content(released, added), content(released)["event"]
    later(MORE)
    done = upgraded(released)
    assert content(released, added) == before
    assert set(history) < set(content(released)["event"])
    assert content(done.copy or released)["event"] == history
    first, *then = kept_answers(FOUND, "office").splitlines()
    with closing(open_register(released)) as register, register.read() as connection:
        assert answers(connection).splitlines()[1:] == then
        assert chain.passed(connection, chain.Head(int(first.split()[0]), first.split()[-1]))
        assert check(connection).faults == ()


def test_whoever_has_the_file_may_bring_it_up_to_date_although_he_is_not_in_the_team(
    released: Path, later: Callable[[str], Path]
) -> None:
    later(MORE)
    assert upgrade(released, actor="Nobody", at=NOW, today=TODAY).layout == LATER
    assert rows(released, "SELECT name, actor FROM event ORDER BY seq DESC LIMIT 1") == [("register:upgrade", "Nobody")]


def test_an_older_program_looks_at_what_it_understands_and_says_of_the_rest_that_it_is_newer(
    released: Path, later: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    lost = Path(shutil.copy(released, tmp_path / "lost.register"))
    for path, script in ((released, MORE), (lost, GOOD)):
        later(script)
        monkeypatch.setattr(upgrading, "READER", 2)
        upgraded(path)
    monkeypatch.undo()
    before = digest(released), digest(lost)
    for path in (released, lost):
        with pytest.raises(Refused, match="written by a newer version of this program; it was left as it is"):
            open_register(path)
    with closing(open_to_work_or_look(released)) as register, register.read() as connection:
        assert answers(connection).splitlines()[1:] == kept_answers(FOUND, "office").splitlines()[1:]
        assert register.only_looking.startswith(f"{released.name} was made by a newer version")
    with pytest.raises(Refused, match=r"newer version .* whose way of keeping things this one can't read"):
        open_to_work_or_look(lost)
    assert (digest(released), digest(lost)) == before


@pytest.mark.parametrize("what", WRONG)
def test_what_would_be_lost_stops_it_and_leaves_every_byte(file: Path, later: Callable[[str], Path], what: str) -> None:
    later(f"{DECLARED if 'point' in what else ''}\ndef upgrade():\n    {WRONG[what]}\n")
    before = digest(file)
    with pytest.raises(Unavailable, match=what):
        upgraded(file)
    assert digest(file) == before
    assert len(copies_in(file.with_name("Copies of yard"), "yard")) == 1


def failing_at(number: int) -> Callable[..., None]:
    left = number

    def fail(*_statement: object) -> None:
        nonlocal left
        left -= 1
        if left == 0:
            raise OSError("pulled out")

    return fail


def survives(path: Path, number: int, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Whether an upgrade is done before its statement of a number, at which it fails."""

    def opened(path: Path) -> tuple[Register, str]:
        register, found = open_known(path)
        sa.event.listen(register.engine, "before_cursor_execute", failing_at(number))
        return register, found

    monkeypatch.setattr("register.services.upgrading.open_known", opened)
    try:
        upgrade(path, actor=ACTOR, at=NOW, today=TODAY)
    except (OSError, Unavailable):
        return False
    return True


def test_a_failure_at_every_ninth_statement_leaves_every_byte_and_one_copy(
    file: Path, later: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    later(GOOD)
    before, failures = digest(file), 0
    while not survives(file, 1 + failures * 9, monkeypatch):
        failures += 1
        assert digest(file) == before
    assert failures > 12
    assert len(copies_in(file.with_name("Copies of yard"), "yard")) == 1
    open_register(file).close()


@pytest.mark.long
@pytest.mark.timeout(0)
def test_a_released_register_with_ten_thousand_events_survives_a_failure_at_every_statement(
    released: Path, later: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch,
    record_property: Callable[[str, object], None],
) -> None:  # fmt: skip
    grow(released)
    items, events = rows(released, "SELECT (SELECT count(*) FROM item), (SELECT count(*) FROM event)")[0]
    later(GOOD)
    before, failures = digest(released), 0
    while not survives(released, 1 + failures, monkeypatch):
        failures += 1
        assert digest(released) == before
    for name, number in (("items", items), ("events", events), ("failures", failures)):
        record_property(name, number)
    assert (items > 1_000, events > 10_000, failures > 200) == (True, True, True)


KILLED_AT = (*(1, 15, 40, 80, 120), *(pytest.param(at, marks=pytest.mark.long) for at in range(6, 126, 6)))
"""At which statements of an upgrade the program is killed: five, and in the long run twenty others."""


@pytest.mark.parametrize("statement", KILLED_AT)
def test_a_program_killed_in_the_middle_leaves_what_was(
    file: Path, later: Callable[[str], Path], statement: int
) -> None:
    before = rows(file, "SELECT * FROM item ORDER BY id")
    scripts = later(GOOD)
    arguments = [str(file), str(scripts), FOUND, str(statement)]
    done = subprocess.run([sys.executable, "-c", KILLED, *arguments], check=False, cwd=os.getcwd())  # noqa: PTH109
    assert done.returncode == -9
    register, found = open_known(file)
    with closing(register):
        assert found == FOUND
        assert rows(file, "SELECT * FROM item ORDER BY id") == before
    assert upgraded(file).layout == "9001"


def test_without_room_for_a_copy_nothing_is_begun(file: Path, later: Callable[[str], Path]) -> None:
    file.with_name("Copies of yard").write_text("in the way", encoding="utf-8")
    later(GOOD)
    before = digest(file)
    with pytest.raises(Unavailable, match="could not be copied"):
        upgraded(file)
    assert digest(file) == before


def test_a_register_that_a_window_has_open_is_left_to_it(file: Path, later: Callable[[str], Path]) -> None:
    later(GOOD)
    held = hold(file, "Jo Brandt", NOW)
    try:
        with pytest.raises(InUse):
            upgraded(file)
    finally:
        held.release()


def test_an_incomplete_copy_of_an_earlier_attempt_is_not_relied_on(file: Path, later: Callable[[str], Path]) -> None:
    later("def upgrade():\n    raise RuntimeError('half-way')\n")
    with pytest.raises(RuntimeError):
        upgraded(file)
    (copy,) = copies_in(file.with_name("Copies of yard"), "yard")
    with closing(sqlite3.connect(copy.path)) as spoilt, spoilt:
        spoilt.execute("PRAGMA foreign_keys=0")
        spoilt.execute("DELETE FROM tag")
    later(GOOD)
    with pytest.raises(Unavailable, match="the copy of tag"):
        upgraded(file)


def test_after_three_attempts_that_failed_the_copy_is_there_still_and_is_the_only_one(
    file: Path, later: Callable[[str], Path]
) -> None:
    later("def upgrade():\n    raise RuntimeError('half-way')\n")
    before, folder = digest(file), file.with_name("Copies of yard")
    made = []
    for day in range(3):
        with pytest.raises(RuntimeError, match="half-way"):
            upgrade(file, actor="Asha Pell", at=NOW + timedelta(days=day), today=TODAY)
        made.append([(each.path, digest(each.path)) for each in copies_in(folder, "yard")])
    assert len(made[0]) == 1
    assert made[1:] == made[:1] * 2
    assert digest(file) == before
    assert content(made[0][0][0]) == content(file)


@pytest.fixture(autouse=True)
def _nothing_is_left_open(file: Path) -> Iterator[None]:
    yield
    with closing(sqlite3.connect(file, timeout=0)) as other:
        other.execute("BEGIN EXCLUSIVE")


def test_on_a_network_drive_it_is_left_as_it_is(
    file: Path, later: Callable[[str], Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    later(GOOD)
    (tmp_path / "mountinfo").write_text("30 22 0:40 / / rw,relatime - nfs4 server:/office rw\n")
    monkeypatch.setattr(drive, "MOUNTS", tmp_path / "mountinfo")
    before = digest(file)
    with pytest.raises(Refused, match="lies on a network drive, so it was not brought up to date"):
        upgraded(file)
    assert digest(file) == before
    assert not list(file.parent.glob("*.open*"))
