"""One window per register file, and a lock that ends with the program however it ends."""

import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from register.store.lock import InUse, hold
from tests.registers import stick

__all__ = ["stick"]

NOW = datetime(2026, 11, 24, 8, 15, tzinfo=UTC)


ANOTHER = """
import sys, time
from datetime import UTC, datetime
from pathlib import Path
from register.store.lock import hold
held = hold(Path(sys.argv[1]), "Robin", datetime(2026, 11, 24, 8, 15, tzinfo=UTC))
print("held", flush=True)
sys.stdin.read()
held.release()
"""


def another_program(path: Path) -> subprocess.Popen[str]:
    """Start another program that has the register open."""
    made = subprocess.Popen(
        [sys.executable, "-c", ANOTHER, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert made.stdout is not None
    assert made.stdout.readline() == "held\n"
    return made


def test_a_second_program_is_told_who_has_the_register_since_when(path: Path) -> None:
    other = another_program(path)
    try:
        with pytest.raises(InUse, match=r"own\.register is open already, by Robin on .+\. Close it there") as told:
            hold(path, "me", NOW)
        assert told.value.holder is not None
        assert (told.value.holder.process, told.value.holder.since) == (other.pid, NOW)
    finally:
        other.communicate()
    hold(path, "me", NOW).release()
    assert not path.with_name("own.register.open.json").exists()


def test_a_program_that_was_killed_holds_nothing(path: Path) -> None:
    other = another_program(path)
    other.kill()
    other.communicate()
    held = hold(path, "me", NOW)
    assert held.cut_off
    with pytest.raises(InUse) as told:
        hold(path, "me again", NOW)
    assert told.value.holder is not None
    assert told.value.holder.user == "me"
    held.release()
    held.release()
    again = hold(path, "me", NOW)
    assert not again.cut_off, "it was let go of as it should be"
    again.release()


def test_a_holder_that_did_not_say_who_it_is_is_told_without_a_name(path: Path) -> None:
    held = hold(path, "me", NOW)
    for said in ("", "{}", "[]", '{"host": 1, "user": "x", "process": "y", "since": ""}'):
        path.with_name("own.register.open.json").write_text(said, encoding="utf-8")
        with pytest.raises(InUse, match="in another window"):
            hold(path, "somebody", NOW)
    held.release()


def test_a_register_is_let_go_of_on_a_drive_that_is_written_no_more(stick: Path) -> None:
    held = hold(stick / "own.register", "Asha Pell", NOW)
    subprocess.run(["mount", "--bind", stick, stick], check=True)
    subprocess.run(["mount", "-o", "remount,bind,ro", stick], check=True)
    try:
        held.release()
    finally:
        subprocess.run(["umount", stick], check=True)
    hold(stick / "own.register", "Kim Orr", NOW).release()


def test_a_folder_that_is_not_there_is_not_made(tmp_path: Path) -> None:
    hold(tmp_path / "none" / "own.register", "me", NOW).release()
    assert not (tmp_path / "none").exists()
