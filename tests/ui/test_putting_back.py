"""A damaged register: the first window names the newest good copy and what is lost, and puts it back by one key."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from register.services.copying import copy_now
from register.services.putting_back import known_copies
from register.services.settings import set_setting
from tests.desk import Desk
from tests.ui.keys import Keys, keys
from ui.asking.put_back import PutBackDialog, copy_time

__all__ = ["keys"]

EVENING = datetime(2026, 11, 23, 18, 5, tzinfo=UTC)


@pytest.fixture
def copied(desk: Desk, path: Path) -> Path:
    """A register that was copied twice, and changed since."""
    copy_now(desk.register, EVENING - timedelta(days=3))
    copy_now(desk.register, EVENING)
    with desk.change() as change:
        set_setting(change, "firm", "Harn & Tolliver")
    desk.register.close()
    return path


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-1000])


def overwrite(path: Path) -> None:
    path.write_bytes(b"A letter to the owner." * 500)


def empty(path: Path) -> None:
    path.write_bytes(b"")


def dialog(keys: Keys) -> PutBackDialog:
    keys.waits(lambda: isinstance(QApplication.activeModalWidget(), PutBackDialog))
    shown = keys.dialog
    assert isinstance(shown, PutBackDialog)
    return shown


AGAIN = "What was entered after this copy would have to be entered again."


@pytest.mark.parametrize("spoil", [cut, overwrite, empty, Path.unlink])
def test_the_newest_good_copy_is_offered_and_put_back_by_one_key(
    keys: Keys, copied: Path, spoil: Callable[[Path], None]
) -> None:
    spoil(copied)
    spoilt = copied.read_bytes() if copied.exists() else None
    keys.start(copied)
    shown = dialog(keys)
    newest = known_copies(copied)[0]
    assert shown.done_button.text().startswith(f"Put back the copy of {copy_time(newest)}")
    assert AGAIN in keys.says(shown)
    keys.alt(Qt.Key.Key_P)
    keys.waits(lambda: keys.opening.program is not None)
    keys.settle()
    assert keys.opening.first is None
    assert keys.messages.told[-1].startswith(f"The copy of {copy_time(newest)} is in its place.")
    assert "4 items at 1 site" in keys.program.frame.status._about.text()
    aside = list(copied.parent.glob("own-set-aside-*.register"))
    assert [each.read_bytes() for each in aside] == ([spoilt] if spoilt is not None else [])


def test_a_copy_that_is_damaged_too_is_passed_over(keys: Keys, copied: Path) -> None:
    newest, older = known_copies(copied)
    cut(newest.path)
    cut(copied)
    keys.start(copied)
    assert copy_time(older) in dialog(keys).done_button.text()
    keys.key(Qt.Key.Key_Escape)
    assert keys.opening.first is not None
    assert keys.opening.first.isVisible()


def test_without_a_good_copy_the_first_window_says_what_is_wrong(keys: Keys, copied: Path) -> None:
    for each in known_copies(copied):
        cut(each.path)
    cut(copied)
    keys.start(copied)
    keys.opening._putting_back.close()
    keys.settle()
    assert QApplication.activeModalWidget() is None
    assert keys.opening.first is not None
    assert "is damaged" in keys.says(keys.opening.first)


def test_an_older_state_is_put_back_while_the_register_is_open_and_the_present_one_is_kept(
    keys: Keys, copied: Path, desk: Desk
) -> None:
    keys.start(copied)
    keys.program.frame.deeds.do("register.put-back")
    shown = dialog(keys)
    assert "1 change was made after this copy, and would have to be made again." in keys.says(shown)
    before = keys.program
    keys.alt(Qt.Key.Key_P)
    keys.waits(lambda: keys.opening.program is not None and keys.opening.program is not before)
    keys.settle()
    assert len(list(copied.parent.glob("own-set-aside-*.register"))) == 1
    assert desk.events()[-1] == "register:restore"
    assert keys.program.frame.isVisible()
    assert keys.opening.first is None


def test_where_there_is_no_copy_yet_that_is_said(keys: Keys, path: Path, desk: Desk) -> None:
    desk.register.close()
    keys.start(path)
    keys.program.frame.deeds.do("register.put-back")
    keys.waits(lambda: bool(keys.messages.told))
    assert keys.messages.told == ["There is no good copy of own.register to put back yet."]
