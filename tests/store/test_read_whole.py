"""When a copy was last read whole, as it is noted beside the copies; whatever becomes of the note does no harm."""

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from register.store.copies import make_copy
from register.store.kept_copies import KeptCopy
from register.store.read_whole import THE_REGISTER, ReadWhole, is_good, last_read, note, notes_in
from tests.desk import Desk
from tests.registers import stick

__all__ = ["stick"]

AT = datetime(2026, 11, 20, 18, tzinfo=UTC)
SPOILT = ReadWhole(AT + timedelta(days=7), ("a page of it is damaged",))


@pytest.fixture
def copy(desk: Desk, tmp_path: Path) -> KeptCopy:
    """A copy that was just made."""
    desk.site()
    made = KeptCopy(make_copy(desk.register, tmp_path, AT).path, AT)
    os.utime(made.path, (AT.timestamp(), AT.timestamp()))
    return made


def test_a_copy_was_read_when_it_was_made_and_whenever_that_is_noted(copy: KeptCopy) -> None:
    folder = copy.path.parent
    assert last_read(copy, notes_in(folder, "own")) == AT
    note(folder, "own", copy.path.name, ReadWhole(AT + timedelta(days=7)))
    assert last_read(copy, notes_in(folder, "own")) == AT + timedelta(days=7)
    assert is_good(copy, notes_in(folder, "own"))


def test_one_that_was_found_spoilt_is_good_again_only_as_another_file(copy: KeptCopy) -> None:
    folder = copy.path.parent
    note(folder, "own", copy.path.name, SPOILT)
    assert not is_good(copy, notes_in(folder, "own"))
    later = (SPOILT.at + timedelta(hours=1)).timestamp()
    os.utime(copy.path, (later, later))
    assert is_good(copy, notes_in(folder, "own"))


def test_what_is_noted_of_files_that_are_gone_is_forgotten(copy: KeptCopy) -> None:
    folder = copy.path.parent
    note(folder, "own", copy.path.name, SPOILT)
    copy.path.unlink()
    note(folder, "own", THE_REGISTER, ReadWhole(AT))
    assert set(notes_in(folder, "own")) == {THE_REGISTER}


NO_NOTES = (
    "", "{", "[]", '{"own.register": 3}', '{"own.register": {"at": "yesterday", "faults": [], "more": 0}}',
    '{"own.register": {"at": "2026-11-20T18:00:00", "faults": [], "more": 0}}', "[" * 100_000, "\x00" * 2_000_000,
)  # fmt: skip


@pytest.mark.parametrize("text", NO_NOTES, ids=range(len(NO_NOTES)))
def test_rubbish_in_the_note_is_no_note(tmp_path: Path, text: str) -> None:
    (tmp_path / "own-read-whole.json").write_text(text, encoding="utf-8")
    assert notes_in(tmp_path, "own") == {}
    note(tmp_path, "own", THE_REGISTER, ReadWhole(AT))
    assert notes_in(tmp_path, "own") == {THE_REGISTER: ReadWhole(AT)}


def test_where_nothing_can_be_written_nothing_is_noted_and_nothing_left(stick: Path) -> None:
    (stick / "rest").write_bytes(bytes(1 << 20))
    note(stick, "own", THE_REGISTER, SPOILT)
    assert [each.name for each in stick.iterdir()] == ["rest"]
    note(stick / "gone", "own", THE_REGISTER, SPOILT)
