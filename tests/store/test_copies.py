"""A copy counts once it was opened and found whole and equal; what goes wrong leaves the older copies alone."""

import resource
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from register.errors import Unavailable
from register.services.check import check
from register.store import chain
from register.store.copies import make_copy
from register.store.engine import open_register
from tests.desk import Desk

AT = datetime(2026, 11, 20, 18, 5, 9, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder for copies."""
    made = tmp_path / "copies"
    made.mkdir()
    return made


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """A site with items."""
    desk.site()
    for number in range(40):
        desk.item(f"S-{number}")
    return desk


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


@contextmanager
def files_no_larger_than(size: int) -> Iterator[None]:
    """Let no file grow above a size, as on a drive that has no more room."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_copy_opens_as_the_same_register_under_a_name_with_its_time(yard: Desk, folder: Path) -> None:
    made = make_copy(yard.register, folder, AT)
    assert names(folder) == ["own-2026-11-20-180509Z.register"]
    with yard.read() as connection:
        assert chain.head(connection).hash == made.head
    copy = open_register(made.path)
    with copy.read() as connection:
        checked = check(connection)
    copy.close()
    assert (checked.faults, checked.head, checked.counts["items"]) == ((), made.head, 40)


def test_two_copies_of_one_moment_stand_side_by_side(yard: Desk, folder: Path) -> None:
    first = make_copy(yard.register, folder, AT)
    content = first.path.read_bytes()
    assert make_copy(yard.register, folder, AT).path.name == "own-2026-11-20-180509Z-2.register"
    assert first.path.read_bytes() == content


def test_a_full_drive_leaves_the_older_copies_and_no_half_copy(yard: Desk, folder: Path) -> None:
    first = make_copy(yard.register, folder, AT)
    content = first.path.read_bytes()
    with (
        files_no_larger_than(20_000),
        pytest.raises(Unavailable, match=r"so no copy was made\. Older copies were left as they are\."),
    ):
        make_copy(yard.register, folder, AT + timedelta(hours=1))
    assert names(folder) == [first.path.name]
    assert first.path.read_bytes() == content


def test_a_copy_is_made_after_one_that_was_cut_off(yard: Desk, folder: Path) -> None:
    (folder / "own-2026-11-20-180509Z.register.tmp").write_bytes(b"half of a copy")
    made = make_copy(yard.register, folder, AT)
    assert names(folder) == [made.path.name]


def test_a_folder_that_is_not_there_is_said(yard: Desk, folder: Path) -> None:
    with pytest.raises(Unavailable, match=r"is not there, so no copy was made\. Connect its drive or choose another\."):
        make_copy(yard.register, folder / "stick", AT)


def test_a_damaged_register_gives_no_copy(yard: Desk, path: Path, folder: Path) -> None:
    with path.open("r+b") as file:
        size = file.seek(0, 2)
        for place in range(8 * 4096, size, 4096):
            file.seek(place)
            file.write(b"\xff" * 200)
    with pytest.raises(Unavailable):
        make_copy(yard.register, folder, AT)
    assert names(folder) == []


def test_somebody_reading_does_not_keep_a_copy_from_being_made(yard: Desk, path: Path, folder: Path) -> None:
    with closing(sqlite3.connect(path)) as other:
        other.execute("BEGIN")
        other.execute("SELECT count(*) FROM item").fetchone()
        assert make_copy(yard.register, folder, AT).path.exists()
