"""A real register in a file of its own for each test, copied from one that is made once."""

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import AbstractContextManager
from datetime import UTC, date, datetime, time
from pathlib import Path

import pytest

from register.store.engine import Change, Register, create_register, open_register

TODAY = date(2026, 11, 20)
ACTOR = "Kim Ferro"


def changing(register: Register, today: date = TODAY, *, keep: bool = True) -> AbstractContextManager[Change]:
    """Return a transaction made by the tester at noon of a day."""
    return register.change(actor=ACTOR, at=datetime.combine(today, time(12), UTC), today=today, keep=keep)


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty register, which no test changes."""
    path = tmp_path_factory.mktemp("made") / "empty.register"
    create_register(path).close()
    return path


@pytest.fixture
def path(empty_file: Path, tmp_path: Path) -> Path:
    """The file of an empty register of the test's own."""
    return shutil.copy(empty_file, tmp_path / "own.register")


@pytest.fixture
def register(path: Path) -> Iterator[Register]:
    """An empty register of the test's own, open."""
    opened = open_register(path)
    yield opened
    opened.close()


@pytest.fixture
def stick(tmp_path: Path) -> Iterator[Path]:
    """A drive of 1 MB of the test's own."""
    folder = tmp_path / "stick"
    folder.mkdir()
    if os.geteuid() != 0:
        pytest.skip("not run: needs root")
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", folder], check=False, capture_output=True)
    if made.returncode != 0:
        pytest.skip(f"not run: needs the right to mount ({made.stderr.decode().strip()})")
    yield folder
    subprocess.run(["umount", folder], check=True)
