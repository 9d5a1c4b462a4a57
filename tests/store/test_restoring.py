"""A good copy in the place of a damaged register: what was there is kept, and the copy is read before all else."""

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

import pytest

from register.errors import Refused, Unavailable
from register.store import chain
from register.store.copies import make_copy
from register.store.engine import open_register
from register.store.kept_copies import KeptCopy, copies_in
from register.store.restoring import looked_at, newest_good, restore
from tests.desk import Desk

AT = datetime(2026, 11, 20, 18, 5, 9, tzinfo=UTC)
LATER = AT + timedelta(days=1)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder for copies."""
    made = tmp_path / "copies"
    made.mkdir()
    return made


@pytest.fixture
def copy(path: Path, desk: Desk, folder: Path) -> KeptCopy:
    """A copy of a register with a site and its items, after which an item more was entered."""
    desk.site()
    for number in range(40):
        desk.item(f"S-{number}")
    made = make_copy(desk.register, folder, AT)
    desk.item("AFTER")
    desk.register.close()
    assert path.exists()
    return KeptCopy(made.path, AT)


def head(path: Path) -> chain.Head:
    with closing(open_register(path)) as register, register.read() as connection:
        return chain.head(connection)


def beside(path: Path) -> list[str]:
    return sorted(each.name for each in path.parent.iterdir() if each.is_file())


def test_the_copy_is_in_its_place_and_what_was_there_is_kept(path: Path, copy: KeptCopy) -> None:
    before = path.read_bytes()
    done = restore(path, copy, LATER, _nothing)
    assert head(path) == head(copy.path)
    assert done.events == head(copy.path).count
    assert done.lost == 1
    assert done.kept_aside is not None
    assert done.kept_aside.name == "own-set-aside-2026-11-21-180509Z.register"
    assert done.kept_aside.read_bytes() == before
    assert beside(path) == [done.kept_aside.name, "own.register"]


def test_twice_in_a_second_keeps_both_aside(path: Path, copy: KeptCopy) -> None:
    first, second = restore(path, copy, LATER, _nothing), restore(path, copy, LATER, _nothing)
    assert first.kept_aside != second.kept_aside
    assert second.lost == 0


@pytest.mark.parametrize("ending", ["-journal", "-wal"])
def test_what_lies_beside_the_old_file_does_not_spoil_the_new_one(path: Path, copy: KeptCopy, ending: str) -> None:
    with closing(sqlite3.connect(path)) as other:
        other.execute("PRAGMA cache_size=1")
        other.execute("BEGIN IMMEDIATE")
        other.execute("UPDATE item SET remarks = hex(randomblob(2000))")
        journal = path.with_name("own.register-journal").read_bytes()
    path.with_name(f"own.register{ending}").write_bytes(journal)
    done = restore(path, copy, LATER, _nothing)
    assert head(path) == head(copy.path)
    assert done.kept_aside is not None
    assert f"{done.kept_aside.name}{ending}" in beside(path)
    assert f"own.register{ending}" not in beside(path)


def flip(content: bytearray, rng: Random) -> None:
    place = rng.randrange(len(content))
    content[place] ^= 1 << rng.randrange(8)


def zero(content: bytearray, rng: Random) -> None:
    start = rng.randrange(1, len(content) // 4096) * 4096
    content[start : start + 4096] = bytes(4096)


def cut(content: bytearray, rng: Random) -> None:
    del content[rng.randrange(1, len(content)) :]


@pytest.mark.parametrize("damage", [flip, zero, cut], ids=lambda each: each.__name__)
def test_whatever_became_of_the_register_the_copy_is_put_back(
    path: Path, copy: KeptCopy, damage: Callable[[bytearray, Random], None]
) -> None:
    whole = path.read_bytes()
    for seed in range(8):
        content = bytearray(whole)
        damage(content, Random(seed))  # noqa: S311 - damage that can be made again
        path.write_bytes(content)
        done = restore(path, copy, LATER, _nothing)
        assert head(path) == head(copy.path)
        assert done.kept_aside is not None
        assert done.kept_aside.read_bytes() == bytes(content)
        assert done.lost in {1, None}


def test_a_register_that_is_gone_is_put_back(path: Path, copy: KeptCopy) -> None:
    path.unlink()
    done = restore(path, copy, LATER, _nothing)
    assert (done.kept_aside, done.lost) == (None, None)
    assert head(path) == head(copy.path)


def test_a_copy_that_was_cut_short_is_not_used_and_the_next_older_one_is(
    path: Path, copy: KeptCopy, folder: Path
) -> None:
    newer = folder / "own-2026-11-21-090000Z.register"
    shutil.copy(path, newer)
    whole = newer.read_bytes()
    for part in range(1, 20):
        newer.write_bytes(whole[: len(whole) * part // 20])
        found = newest_good(copies_in(folder, "own"))
        assert found is not None
        assert found.copy.path == copy.path
        (fault,) = [each.fault for each in looked_at([KeptCopy(newer, LATER)])]
        assert fault
    before = path.read_bytes()
    with pytest.raises((Refused, Unavailable)):
        restore(path, KeptCopy(newer, LATER), LATER, _nothing)
    assert path.read_bytes() == before
    assert beside(path) == ["own.register"]


def test_a_copy_whose_history_was_changed_is_not_used(path: Path, copy: KeptCopy) -> None:
    with closing(sqlite3.connect(copy.path)) as other:
        other.execute("DROP TRIGGER IF EXISTS event_no_update")
        other.execute("UPDATE event SET actor = 'nobody' WHERE seq = 3")
        other.commit()
    with pytest.raises(Unavailable, match="The history was changed from outside at event 3"):
        restore(path, copy, LATER, _nothing)


def test_there_may_be_no_good_copy(tmp_path: Path) -> None:
    assert newest_good(copies_in(tmp_path, "own")) is None


def test_a_copy_of_another_history_does_not_say_what_was_lost(path: Path, copy: KeptCopy) -> None:
    with closing(sqlite3.connect(path)) as other:
        for (name,) in other.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
            other.execute(f'DROP TRIGGER "{name}"')
        other.execute("UPDATE event SET hash = 'other' ")
        other.execute("UPDATE seal SET hash = 'other' ")
        other.commit()
    assert restore(path, copy, LATER, _nothing).lost is None


def _nothing(_connection: object, _found: str) -> None:
    """Tell nothing: the copy is of today's layout."""
