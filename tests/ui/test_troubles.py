"""What can befall the register while it is open: each deed ends in a sentence, what was typed stays, and a way on."""

import shutil
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager, suppress
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from register.store import engine
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.keys import CTRL, Keys
from ui.register_page.item_dialog import ItemDialog

Trouble = Callable[[Path], AbstractContextManager[None]]


@pytest.fixture
def on_stick(desk: Desk, path: Path, stick: Path) -> Path:
    """The register on a drive of its own."""
    desk.register.close()
    return Path(shutil.copy(path, stick / "own.register"))


@pytest.fixture
def keys(
    qtbot: QtBot, qapp: QApplication, tmp_path: Path, messages: RecordedMessages, monkeypatch: pytest.MonkeyPatch,
    on_stick: Path,
) -> Iterator[Keys]:  # fmt: skip
    """The program on that register; it lets go of the drive before the drive is taken away."""
    monkeypatch.setitem(engine.SETTINGS, "busy_timeout", 1)
    made = Keys(qtbot, qapp, tmp_path / "memory.toml", messages)
    made.start(on_stick)
    yield made
    made.settle()
    made.opening.close()
    QApplication.processEvents()


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Let another program be in the middle of a change."""
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        yield


@contextmanager
def damaged(path: Path) -> Iterator[None]:
    """Let the file be overwritten, but for its first page."""
    whole = path.read_bytes()
    with path.open("r+b") as file:
        file.seek(4096)
        file.write(b"\xff" * (len(whole) - 4096))
    yield
    path.write_bytes(whole)


@contextmanager
def moved_away(path: Path) -> Iterator[None]:
    elsewhere = path.rename(path.with_name("elsewhere"))
    yield
    elsewhere.rename(path)


@contextmanager
def only_readable(path: Path) -> Iterator[None]:
    """Let the drive be writable no more, as the system does when it finds faults on it."""
    subprocess.run(["mount", "--bind", path.parent, path.parent], check=True)
    subprocess.run(["mount", "-o", "remount,bind,ro", path.parent], check=True)
    yield
    subprocess.run(["umount", "--lazy", path.parent], check=True)  # whoever reads there just now may finish


@contextmanager
def full(path: Path) -> Iterator[None]:
    """Let nothing more go onto the drive."""
    filler = path.with_name("filler")
    with filler.open("wb", buffering=0) as file, suppress(OSError):
        while True:
            file.write(b"x" * 4096)
    yield
    filler.unlink()


@contextmanager
def pulled_out(path: Path) -> Iterator[None]:
    """Let the drive be gone, and plugged in again later."""
    kept = path.read_bytes()
    subprocess.run(["umount", "-l", path.parent], check=True)
    yield
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", path.parent], check=True)
    path.write_bytes(kept)


def save(dialog: ItemDialog) -> None:
    (done,) = [each for each in dialog.findChildren(QPushButton) if each.property("kind") == "primary"]
    done.click()


@pytest.mark.parametrize(
    ("trouble", "said"),
    [
        (locked, "is in use by another program. Close that one, or try again in a moment."),
        (damaged, "is damaged; nothing was changed."),
        (moved_away, "can't be opened. Check that the folder exists"),
        (only_readable, "can't be written: it, or the medium it is on, is read-only."),
        (full, "is full; nothing of this change was kept. Free 1.0 MB there and do it again."),
        (pulled_out, "can't be opened. Check that the folder exists"),
    ],
)
def test_a_deed_that_fails_is_said_where_it_was_asked_what_was_typed_stays_and_it_works_once_all_is_well(
    keys: Keys, on_stick: Path, trouble: Trouble, said: str
) -> None:
    keys.key(Qt.Key.Key_2, CTRL)
    keys.reach("Items")
    keys.key(Qt.Key.Key_Home)
    keys.waits(lambda: keys.program.frame.deeds.possible("item.edit"))
    keys.key(Qt.Key.Key_F2)
    keys.waits(lambda: QApplication.activeModalWidget() is not None)
    dialog = keys.dialog
    assert isinstance(dialog, ItemDialog)
    dialog.description.setText("Switch by the gate")
    with trouble(on_stick):
        save(dialog)
        keys.settle()
        assert said in keys.says(dialog)
        assert dialog.isVisible()
        assert dialog.description.text() == "Switch by the gate"
    save(dialog)
    keys.settle()
    assert "changed" in keys.messages.told[-1]
    assert keys.messages.failures == []
