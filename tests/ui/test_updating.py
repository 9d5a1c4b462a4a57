"""A register of an earlier version, in the window: asked for, copied, brought up to date and opened; or left alone."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from register.store.kept_copies import copies_in
from tests.desk import Desk
from tests.later import later
from tests.ui.keys import Keys, keys
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


def test_it_is_copied_brought_up_to_date_and_opened(keys: Keys, earlier: Path) -> None:
    keys.start(earlier)
    keys.waits(lambda: keys.opening.program is not None)
    keys.settle()
    assert [each.partition("\n")[0] for each in keys.messages.asked] == ["Bring the register up to date"]
    (copy,) = copies_in(earlier.with_name(f"Copies of {earlier.stem}"), earlier.stem)
    assert keys.messages.told[-1] == f"{earlier.name} is up to date. As it was before, it is kept as {copy.path.name}."


def test_whoever_leaves_it_finds_it_as_it_was(keys: Keys, earlier: Path) -> None:
    before = earlier.read_bytes()
    keys.messages.agrees = False
    keys.start(earlier)
    assert keys.opening.program is None
    assert keys.opening.first is not None
    assert "made by an earlier version" in keys.says(keys.opening.first)
    assert earlier.read_bytes() == before


def test_what_stands_in_the_way_is_said(keys: Keys, earlier: Path) -> None:
    earlier.with_name(f"Copies of {earlier.stem}").write_text("in the way", encoding="utf-8")
    keys.start(earlier)
    keys.waits(lambda: "could not be copied" in keys.says(keys.opening.first))
    assert keys.opening.program is None


def test_the_copy_of_it_as_it_was_is_put_back_and_brought_up_to_date_again(keys: Keys, earlier: Path) -> None:
    keys.start(earlier)
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
