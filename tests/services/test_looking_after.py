"""The register and its newest copies are read whole once a week: damage is found, and a spoilt copy is made anew."""

import os
from collections.abc import Iterator
from contextlib import nullcontext
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from register.errors import Damaged, Unavailable
from register.services.copying import copy_if_changed, copy_now, folder_beside, safety
from register.services.looking_after import is_due, last_check, look_after
from register.services.settings import set_setting
from register.stopping import Stopped
from register.store.kept_copies import copies_in
from register.store.read_whole import ReadWhole
from tests.desk import Desk

NOW = datetime(2026, 11, 24, 8, 15, tzinfo=UTC)
WEEK = timedelta(days=7, minutes=1)


@pytest.fixture
def copied(desk: Desk, path: Path) -> Path:
    """The newest copy of a register in which work was done; there is an older one."""
    desk.site()
    desk.item("S-1")
    for days in (1, 0):
        (made,) = copy_now(desk.register, NOW - timedelta(days=days)).copies
        os.utime(made.path, ((NOW - timedelta(days=days)).timestamp(),) * 2)
    assert len(copies_in(folder_beside(path), path.stem)) == 2
    return made.path


def due(desk: Desk, now: datetime) -> bool:
    with desk.read() as connection:
        return is_due(connection, now)


def spoil(copy: Path) -> None:
    """Turn over bits of a copy without changing its length, as a disk may."""
    whole, times = bytearray(copy.read_bytes()), copy.stat()
    for place in range(40_960, 45_056):
        whole[place] ^= 0x55
    copy.write_bytes(whole)
    os.utime(copy, (times.st_atime, times.st_mtime))


@pytest.mark.usefixtures("copied")
def test_it_is_due_until_it_was_done_and_again_after_a_week(desk: Desk) -> None:
    assert due(desk, NOW)
    done = look_after(desk.register, NOW)
    assert (done.found.faults, done.spoilt, done.made) == ((), (), None)
    assert not due(desk, NOW + timedelta(days=6))
    assert due(desk, NOW + WEEK)
    with desk.read() as connection:
        assert last_check(connection) == done.found


def test_a_copy_that_lies_unread_for_a_week_makes_it_due_though_the_register_was_checked(
    desk: Desk, copied: Path
) -> None:
    look_after(desk.register, NOW + WEEK)
    with desk.read() as connection:
        found = safety(connection, NOW + WEEK)
    assert found is not None
    assert [(copy.path, read) for copy, read in found.read] == [(copied, NOW + WEEK)]


def test_a_spoilt_copy_is_named_counts_no_more_and_is_made_anew(desk: Desk, copied: Path, path: Path) -> None:
    spoil(copied)
    with desk.read() as connection:
        before = safety(connection, NOW)
    assert before is not None
    assert before.newest is not None
    assert before.newest.path == copied
    later = NOW + timedelta(hours=1)

    done = look_after(desk.register, later)

    assert [each.copy.path for each in done.spoilt] == [copied]
    assert done.made is not None
    (fresh,) = done.made.copies
    with desk.read() as connection:
        after = safety(connection, later)
    assert after is not None
    assert after.newest is not None
    assert after.newest.path == fresh.path
    assert after.spoilt == ""
    fresh.path.unlink()
    with desk.read() as connection:
        without = safety(connection, later)
    assert without is not None
    assert without.spoilt == f"{copied.name} was found damaged, so it is no copy any more. "
    assert without.newest is not None
    assert without.newest.path not in {copied, fresh.path}
    assert copied in {each.path for each in copies_in(folder_beside(path), path.stem)}
    assert copy_if_changed(desk.register, later + timedelta(hours=1)) is not None


def test_a_copy_that_was_not_read_to_its_end_is_as_good_as_before(
    desk: Desk, copied: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(_connection: object) -> Iterator[str]:
        raise Stopped

    def away(_connection: object) -> Iterator[str]:
        raise Unavailable("The drive reported an error.")

    for what, raised in ((stopped, True), (away, False)):
        monkeypatch.setattr("register.store.whole.integrity.faults", what)
        monkeypatch.setattr("register.services.looking_after._found", lambda _register, now: ReadWhole(now))
        with pytest.raises(Stopped) if raised else nullcontext():
            assert look_after(desk.register, NOW).spoilt == ()
        with desk.read() as connection:
            found = safety(connection, NOW)
        assert found is not None
        assert found.newest is not None
        assert found.newest.path == copied


@pytest.mark.usefixtures("copied")
def test_what_is_wrong_in_the_register_is_noted_and_no_copy_is_made_of_it(desk: Desk, path: Path) -> None:
    data = bytearray(path.read_bytes())
    place = data.index(b"Owner of YARD")
    data[place] ^= 1
    path.write_bytes(data)
    done = look_after(desk.register, NOW)
    assert done.made is None
    assert done.found.faults != ()
    with desk.read() as connection:
        assert last_check(connection) == done.found


@pytest.mark.usefixtures("copied")
def test_pages_that_make_no_sense_are_an_answer_too(desk: Desk, path: Path) -> None:
    whole = path.read_bytes()
    page = whole.index(b"S-1") // 4_096 * 4_096
    path.write_bytes(whole[:page] + b"\xff" * 4_096 + whole[page + 4_096 :])
    try:
        faults = look_after(desk.register, NOW).found.faults
    finally:
        path.write_bytes(whole)
    assert any("damaged" in each for each in faults)


@pytest.mark.usefixtures("copied")
def test_a_file_that_can_not_be_read_at_all_is_said_to_be_damaged(desk: Desk, path: Path) -> None:
    whole = path.read_bytes()
    path.write_bytes(whole[:8_192] + b"\xff" * (len(whole) - 8_192))
    try:
        with pytest.raises(Damaged):
            look_after(desk.register, NOW)
    finally:
        path.write_bytes(whole)


def test_the_sample_is_left_alone(desk: Desk) -> None:
    with desk.change() as change:
        set_setting(change, "sample", value=True)
    assert not due(desk, NOW)
