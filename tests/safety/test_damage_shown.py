"""A register that was damaged is opened in the window: the newest good copy is offered, and what that would lose."""

import shutil
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from random import Random
from time import monotonic

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from register.errors import Damaged
from register.services.copying import copy_now, folder_beside
from register.store.engine import open_register
from tests.desk import QUICK, SOUND, TODAY, Desk
from tests.safety.test_damage import FEW, MANY, cut, damage_that_meets_something, flip, zero
from tests.ui.conftest import RecordedMessages
from ui.asking.put_back import PutBackDialog
from ui.opening import Opening

NOW = datetime(2026, 11, 24, 9, tzinfo=UTC)
SHARE = 8
"""In the short run so much less than where no window is opened."""


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory, empty_file: Path) -> Path:
    """A register in which work was done, with a copy of it as it is."""
    path = tmp_path_factory.mktemp("good") / "own.register"
    shutil.copy(empty_file, path)
    with closing(open_register(path)) as register:
        desk = Desk(register)
        desk.site()
        for number in range(30):
            desk.item(f"S-{number:03}")
            desk.test(f"S-{number:03}", readings=[*SOUND, *QUICK])
        copy_now(register, NOW)
    return path


class Windows:
    """Opens one window after the other on registers that are damaged, and says how long each takes to say so."""

    def __init__(self, app: QApplication, qtbot: QtBot, good: Path, folder: Path) -> None:
        self._app, self._qtbot, self._good, self._folder = app, qtbot, good, folder
        self.longest = 0.0

    def offers(self, data: bytes) -> None:
        """Require that a window on a register of these bytes offers its copy, and take the offer."""
        shutil.rmtree(self._folder, ignore_errors=True)
        shutil.copytree(self._good.parent, self._folder)
        path = self._folder / self._good.name
        path.write_bytes(data)
        messages, began = RecordedMessages(), monotonic()
        opening = Opening(self._app, TODAY, lambda: NOW, remembered=self._folder / "memory.toml", messages=messages)
        opening.start(path)
        self._qtbot.waitUntil(lambda: self._dialog() is not None, timeout=60_000)
        self.longest = max(self.longest, monotonic() - began)
        dialog = self._dialog()
        assert dialog is not None
        assert dialog.done_button.text().startswith("Put back the copy of 24 Nov 2026, ")
        dialog.done_button.click()
        self._qtbot.waitUntil(lambda: any("is in its place" in said for said in messages.told), timeout=60_000)
        (aside,) = self._folder.glob("own-set-aside-*.register")
        assert aside.read_bytes() == data
        assert [each for each in messages.failures if not isinstance(each, Damaged)] == []
        opening.close()

    def _dialog(self) -> PutBackDialog | None:
        found = self._app.activeModalWidget()
        return found if isinstance(found, PutBackDialog) else None


@pytest.fixture
def windows(qapp: QApplication, qtbot: QtBot, good: Path, tmp_path: Path) -> Windows:
    """Windows on damaged registers."""
    assert folder_beside(good).is_dir()
    return Windows(qapp, qtbot, good, tmp_path / "opened")


def opened(windows: Windows, good: Path, folder: Path, damage: Callable[[bytearray, Random], None], many: int) -> None:
    """Open so many registers that were damaged in one way."""
    seeds = count()
    for _time in range(many):
        windows.offers(damage_that_meets_something(good, folder, damage, seeds))


@pytest.mark.parametrize("damage", [flip, zero, cut], ids=lambda each: each.__name__)
def test_the_copy_is_offered_and_put_back_by_one_click(
    windows: Windows, good: Path, tmp_path: Path, damage: Callable[[bytearray, Random], None]
) -> None:
    opened(windows, good, tmp_path, damage, FEW[damage.__name__] // SHARE)


@pytest.mark.long
@pytest.mark.timeout(0)
def test_of_four_hundred_damaged_registers_each_is_put_back(
    windows: Windows, good: Path, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    for damage in (flip, zero, cut):
        opened(windows, good, tmp_path, damage, MANY[damage.__name__])
        record_property(damage.__name__, MANY[damage.__name__])
    record_property("seconds until the offer, at most", round(windows.longest, 1))
