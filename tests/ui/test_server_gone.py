"""A server that stops while somebody saves in the window: he is told, what he typed stays, one click saves it once.

And what becomes of the password that he typed: nothing of what is written or said holds it.
"""

import logging
import traceback
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from time import monotonic

import pytest
import sqlalchemy as sa
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QPushButton

from register.store.address import Place
from register.store.engine import Register
from register.store.opening import open_place
from tests.desk import Desk
from tests.servers import Server, running
from tests.ui.keys import CTRL, Keys, keys
from ui import at_server
from ui.register_page.item_dialog import ItemDialog

__all__ = ["keys"]

SECONDS = 10
SAID = "can't be reached, or the connection to it broke; nothing of this change was kept"
SECRET = "tern-7-slipway-9"  # noqa: S105 - of this test alone


@pytest.fixture
def away() -> Iterator[Server]:
    """A server of the test's own with a register of one item, in which kim works."""
    with running() as server:
        server.run("CREATE DATABASE own TEMPLATE template0")
        server.build("own").close()
        server.run("CREATE ROLE kim LOGIN IN ROLE retest_contractor")
        server.run("INSERT INTO access VALUES ('kim', 'contractor', NULL, gen_random_uuid())", "own")
        with closing(open_place(server.address("own", "kim"))) as register:
            Desk(register).site()
            Desk(register).item("A-1")
        yield server


def opened(keys: Keys, server: Server, password: str | None = None) -> None:
    keys.start()
    keys.opening._enter(replace(server.address("own", "kim"), password=password))
    keys.qtbot.waitUntil(lambda: keys.opening.program is not None)
    keys.settle()


def item_dialog(keys: Keys) -> ItemDialog:
    keys.key(Qt.Key.Key_2, CTRL)
    keys.reach("Items")
    keys.key(Qt.Key.Key_Home)
    keys.waits(lambda: keys.program.frame.deeds.possible("item.edit"))
    keys.key(Qt.Key.Key_F2)
    keys.waits(lambda: QApplication.activeModalWidget() is not None)
    dialog = keys.dialog
    assert isinstance(dialog, ItemDialog)
    return dialog


def save(dialog: ItemDialog) -> None:
    (done,) = [each for each in dialog.findChildren(QPushButton) if each.property("kind") == "primary"]
    done.click()


def stop_at(keys: Keys, server: Server, statement: str) -> None:
    """Stop the server as a failing machine would, before the program's next statement that begins so."""
    stopped: list[str] = []

    def stop(_connection: object, _cursor: object, said: str, *_rest: object) -> None:
        if said.startswith(statement) and not stopped:
            stopped.append(said)
            server.stop()

    sa.event.listen(keys.program.jobs._register.engine, "before_cursor_execute", stop)


@pytest.mark.parametrize("statement", ["SELECT", "UPDATE item", "INSERT INTO event"])
def test_a_save_that_a_stopped_server_cut_off_is_told_kept_in_its_dialog_and_saved_once(
    keys: Keys, away: Server, statement: str
) -> None:
    opened(keys, away)
    dialog = item_dialog(keys)
    dialog.description.setText("Switch by the gate")
    stop_at(keys, away, statement)
    begun = monotonic()
    save(dialog)
    keys.qtbot.waitUntil(lambda: SAID in keys.says(dialog), timeout=SECONDS * 1_000)
    assert monotonic() - begun < SECONDS
    assert dialog.description.text() == "Switch by the gate"

    away.start()
    save(dialog)
    keys.settle()
    assert "changed" in keys.messages.told[-1]
    assert away.run("SELECT description, version FROM item", "own") == "Switch by the gate|2"
    assert away.run("SELECT count(*) FROM event WHERE name = 'item:change'", "own") == "1"

    keys.key(Qt.Key.Key_Z, CTRL)
    keys.waits(lambda: keys.messages.told[-1].startswith("Undone: item changed"))
    assert away.run("SELECT description, version FROM item", "own") == "Portable safety switch|3"


def test_a_password_is_in_no_file_no_log_no_word_and_no_fault_of_the_window(
    keys: Keys, away: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.DEBUG):
        opened(keys, away, SECRET)
        dialog = item_dialog(keys)
        away.stop()
        save(dialog)
        keys.qtbot.waitUntil(lambda: SAID in keys.says(dialog), timeout=SECONDS * 1_000)
        words = keys.says(dialog)
        dialog.reject()
        keys.settle()
        monkeypatch.setattr(at_server, "open_place", fail)
        with keys.qtbot.captureExceptions() as faults:
            keys.opening._at_server.enter(replace(away.address("own", "kim"), password=SECRET))
            keys.qtbot.waitUntil(lambda: bool(faults))
        away.start()
    told = "".join(traceback.format_exception(faults[0][1]))
    assert "a fault of ours" in told
    files = [path.read_bytes().decode(errors="replace") for path in tmp_path.rglob("*") if path.is_file()]
    assert any("memory" in path.name for path in tmp_path.iterdir())
    for said in (told, words, caplog.text, *map(str, keys.messages.failures), *keys.messages.told, *files):
        assert SECRET not in said


def fail(_place: Place) -> Register:
    raise RuntimeError("a fault of ours")
