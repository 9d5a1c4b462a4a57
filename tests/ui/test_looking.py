"""A register that can only be looked at: the reason stands below the bar, what changes it is barred, all else works."""

import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton

from register.errors import Refused
from register.store.engine import NEWER, open_register, open_to_work_or_look
from register.store.lock import hold
from tests.desk import Desk
from tests.registers import changing
from tests.ui.conftest import CLOCK
from tests.ui.keys import CTRL, Keys, keys
from ui.actions import ACTIONS
from ui.asking.in_use import InUseDialog
from ui.pages import MAKERS
from ui.sheets.owner_book import OwnerBookDialog

__all__ = ["keys"]

HARMLESS = {
    "go.horizon", "go.register", "go.week", "go.withdrawn", "go.firm", "find", "register.new", "register.open",
    "register.server", "register.demo", "year.ahead", "week.vans",
    "register.put-back", "register.check", "sheet.owner", "due.list", "pack.open", "item.search", "item.tag",
    "item.copy", "item.columns", "withdrawn.notice", "view.light", "view.dark", "view.system", "help.page",
    "help.keys", "quit", "week.plan", "week.undo", "week.earlier", "week.later", "week.sheets", "week.calendar",
    "week.gpx", "week.geojson", "work.cancel", "register.share", "register.report",
}  # fmt: skip
"""What changes nothing in the register that is open; anything new is thought about once."""


def make_newer(path: Path) -> None:
    """Let a later program have been at work, whose layout has one column more."""
    with closing(sqlite3.connect(path)) as file, file:
        file.execute("UPDATE alembic_version SET version_num = '0907'")
        file.execute("ALTER TABLE item ADD COLUMN weight TEXT")


@contextmanager
def only_readable(folder: Path) -> Iterator[None]:
    subprocess.run(["mount", "-o", "remount,ro", folder], check=True)
    yield
    subprocess.run(["mount", "-o", "remount,rw", folder], check=True)


def banner(keys: Keys) -> str:
    shown = keys.program.frame.banner
    return shown.words.text() if shown.isVisible() else ""


def nothing_writes(keys: Keys) -> None:
    """Go to every page and see that nothing there changes the register, by action, button or otherwise."""
    frame = keys.program.frame
    for maker in MAKERS:
        if maker.key != "bench":
            frame.go(maker.key)
            keys.settle()
            can = [each.id for each in ACTIONS if each.writes and frame.deeds.possible(each.id)]
            assert can == [], maker.key
    barred = [each for each in frame.findChildren(QPushButton) if each.toolTip() == keys.program.jobs.only_looking]
    assert len(barred) > 10
    assert not any(each.isEnabled() for each in barred)
    assert not frame._bar.tabs["bench"].isEnabled()
    failed: list[Exception] = []
    keys.program.jobs.change(lambda _change: None, lambda _done: None, failed=failed.append)
    keys.settle()
    assert [str(each) for each in failed] == [keys.program.jobs.only_looking]


def writes_a_workbook(keys: Keys, book: Path) -> None:
    keys.messages.files = [book]
    keys.key(Qt.Key.Key_E, CTRL)
    assert isinstance(keys.dialog, OwnerBookDialog)
    keys.waits(lambda: keys.dialog._preview is not None)  # type: ignore[attr-defined]
    keys.alt(Qt.Key.Key_S)
    keys.waits(book.exists)
    keys.settle()


def test_every_action_says_whether_it_writes() -> None:
    assert {each.id for each in ACTIONS if not each.writes} == HARMLESS


def test_a_register_of_a_newer_program_is_shown_and_exported_and_stays_as_it_is(
    keys: Keys, desk: Desk, path: Path, tmp_path: Path
) -> None:
    desk.register.close()
    make_newer(path)
    before = path.read_bytes()
    with pytest.raises(Refused, match="has the layout 0907"):
        open_register(path)
    keys.start(path)
    assert banner(keys) == f"To look at only: {NEWER.format(name='own.register')}"
    nothing_writes(keys)
    writes_a_workbook(keys, tmp_path / "book.xlsx")
    keys.opening.close()
    assert path.read_bytes() == before
    assert not list(tmp_path.glob("*.open*"))


def test_a_register_on_a_medium_that_can_only_be_read_is_shown(
    keys: Keys, desk: Desk, path: Path, stick: Path, tmp_path: Path
) -> None:
    desk.register.close()
    on_stick = stick / "own.register"
    on_stick.write_bytes(path.read_bytes())
    with only_readable(stick):
        keys.start(on_stick)
        assert "own.register can't be changed here" in banner(keys)
        nothing_writes(keys)
        writes_a_workbook(keys, tmp_path / "book.xlsx")
        keys.opening.close()
        assert keys.messages.failures == []


def test_of_a_register_that_another_window_has_it_is_said_who_has_it_and_it_can_be_looked_at(
    keys: Keys, desk: Desk, path: Path
) -> None:
    other = hold(path, "Robin", CLOCK.now())
    keys.start(path)
    dialog = keys.dialog
    assert isinstance(dialog, InUseDialog)
    assert "Robin has it open on " in keys.says(dialog)
    assert ", since 24 Nov 2026, " in keys.says(dialog)
    keys.alt(Qt.Key.Key_L)
    assert "Robin has it open" in banner(keys)
    nothing_writes(keys)
    other.release()
    keys.messages.files = [path]
    keys.key(Qt.Key.Key_O, CTRL)
    assert banner(keys) == ""
    assert keys.program.frame.deeds.possible("item.add") or keys.program.frame._bar.tabs["bench"].isEnabled()
    assert desk.faults() == ()


def test_another_can_be_chosen_instead_of_one_that_is_in_use(keys: Keys, path: Path, tmp_path: Path) -> None:
    mine = tmp_path / "mine.register"
    mine.write_bytes(path.read_bytes())
    other = hold(path, "Robin", CLOCK.now())
    keys.start(mine)
    keys.messages.files = [path, tmp_path / "none"]
    keys.key(Qt.Key.Key_O, CTRL)
    assert isinstance(keys.dialog, InUseDialog)
    keys.key(Qt.Key.Key_Escape)
    assert keys.messages.asked[-2:] == ["Open a register", "Open a register"]
    assert keys.program.jobs._register.name == "mine.register"
    other.release()


def test_a_window_lets_others_have_its_register_when_it_leaves_it(keys: Keys, path: Path) -> None:
    keys.start(path)
    keys.messages.files = [path]
    keys.key(Qt.Key.Key_O, CTRL)
    assert banner(keys) == ""
    keys.opening.close()
    hold(path, "Robin", CLOCK.now()).release()


def test_a_change_in_what_is_only_looked_at_is_refused_with_the_reason(path: Path) -> None:
    with closing(open_to_work_or_look(path, "It is Robin's.")) as looked_at:
        with looked_at.read() as connection:
            assert connection.exec_driver_sql("SELECT count(*) FROM item").scalar_one() == 0
        with pytest.raises(Refused, match=r"It is Robin's\."), changing(looked_at):
            pass
