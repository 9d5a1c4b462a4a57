"""A register of an earlier version, in the window: asked for, copied, brought up to date and opened; or left alone."""

import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from register.services import upgrading
from register.store.kept_copies import copies_in
from tests.desk import Desk
from tests.later import later
from tests.ui.keys import Keys, keys
from ui.asking.bring_up import STEPS, BringUpDialog
from ui.asking.put_back import PutBackDialog

__all__ = ["keys", "later"]

LATER = (
    "def upgrade():\n    op.create_table('ladder', sa.Column('id', sa.Text(), primary_key=True), sqlite_strict=True)\n"
)


@pytest.fixture
def earlier(desk: Desk, path: Path, later: Callable[[str], Path]) -> Path:
    """A register that this version of the program has outgrown."""
    desk.register.close()
    later(LATER)
    return path


def asked(keys: Keys, path: Path) -> BringUpDialog:
    """Open a register of an earlier version, and return what is asked."""
    keys.start(path)
    keys.waits(lambda: isinstance(QApplication.activeModalWidget(), BringUpDialog))
    shown = keys.dialog
    assert isinstance(shown, BringUpDialog)
    return shown


def test_it_says_what_will_happen_and_then_copies_it_brings_it_up_to_date_and_opens_it(
    keys: Keys, earlier: Path
) -> None:
    said = keys.says(asked(keys, earlier))
    assert "made by an earlier version of this program. Before you can work in it here" in said
    assert all(step in said for step in STEPS)
    assert "The earlier version opens the copy" in said
    keys.alt(Qt.Key.Key_B)
    keys.waits(lambda: keys.opening.program is not None)
    keys.settle()
    (copy,) = copies_in(earlier.with_name(f"Copies of {earlier.stem}"), earlier.stem)
    assert keys.messages.told[-1] == f"{earlier.name} is up to date. As it was before, it is kept as {copy.path.name}."


def test_whoever_leaves_it_finds_it_as_it_was(keys: Keys, earlier: Path) -> None:
    before = earlier.read_bytes()
    asked(keys, earlier)
    keys.key(Qt.Key.Key_Escape)
    assert keys.opening.program is None
    assert keys.opening.first is not None
    assert "made by an earlier version" in keys.says(keys.opening.first)
    assert earlier.read_bytes() == before


def test_it_can_be_cancelled_while_it_is_under_way_and_done_after_all(
    keys: Keys, earlier: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, go = threading.Event(), threading.Event()
    whole = upgrading._copy_of

    def held_up(*given: Any) -> Path:  # noqa: ANN401 - whatever it is given
        begun.set()
        go.wait()
        return whole(*given)

    monkeypatch.setattr(upgrading, "_copy_of", held_up)
    before, shown = earlier.read_bytes(), asked(keys, earlier)
    keys.alt(Qt.Key.Key_B)
    keys.waits(lambda: begun.is_set() and "Under way…" in keys.says(shown) and shown.at_work)
    keys.key(Qt.Key.Key_Escape)
    go.set()
    keys.waits(lambda: "The work was stopped; nothing of it was kept" in keys.says(shown))
    assert earlier.read_bytes() == before
    assert "Under way" not in keys.says(shown)
    keys.alt(Qt.Key.Key_B)
    keys.waits(lambda: keys.opening.program is not None)


def test_what_stands_in_the_way_is_said_and_can_be_tried_again(keys: Keys, earlier: Path) -> None:
    in_the_way = earlier.with_name(f"Copies of {earlier.stem}")
    in_the_way.write_text("in the way", encoding="utf-8")
    shown = asked(keys, earlier)
    keys.alt(Qt.Key.Key_B)
    keys.waits(lambda: "could not be copied" in keys.says(shown))
    assert keys.opening.program is None
    in_the_way.unlink()
    keys.alt(Qt.Key.Key_B)
    keys.waits(lambda: keys.opening.program is not None)


def test_the_copy_of_it_as_it_was_is_put_back_and_brought_up_to_date_again(keys: Keys, earlier: Path) -> None:
    asked(keys, earlier)
    keys.alt(Qt.Key.Key_B)
    keys.waits(lambda: keys.opening.program is not None)
    before = keys.program
    before.frame.deeds.do("register.put-back")
    keys.waits(lambda: isinstance(QApplication.activeModalWidget(), PutBackDialog))
    assert "made by an earlier version of the program; it is brought up to date as it is put back" in keys.says(
        keys.dialog
    )
    keys.alt(Qt.Key.Key_P)
    keys.waits(lambda: keys.opening.program is not None and keys.opening.program is not before)
    keys.settle()
    assert " is in its place and was brought up to date. What was there is kept as " in keys.messages.told[-1]
