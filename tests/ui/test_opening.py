"""Which register is open: the last one, another, a new one, the sample; and a way on where one can't be opened."""

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from register.errors import Refused, Unavailable
from register.services.settings import setting
from register.store import engine
from register.store.engine import open_register
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.keys import CTRL, Keys
from ui import sample
from ui.look import theme
from ui.settings import Remembered, recall, remember


@pytest.fixture
def memory(tmp_path: Path) -> Path:
    return tmp_path / "memory" / "memory.toml"


@pytest.fixture
def keys(qtbot: QtBot, qapp: QApplication, memory: Path, messages: RecordedMessages) -> Iterator[Keys]:
    made = Keys(qtbot, qapp, memory, messages)
    yield made
    made.settle()
    made.opening.close()
    QApplication.processEvents()


def first_window_says(keys: Keys) -> str:
    assert keys.opening.first is not None
    assert keys.opening.first.isVisible()
    return keys.says(keys.opening.first)


def test_the_register_of_last_time_is_opened_again(keys: Keys, memory: Path, desk: Desk, path: Path) -> None:
    remember(memory, Remembered(str(path)))
    keys.opening._memory = recall(memory)
    keys.start()
    assert keys.opening.first is None
    assert keys.program.frame.isVisible()
    assert "4 items at 1 site" in keys.program.frame.status._about.text()
    assert desk.faults() == ()


def not_a_register(path: Path) -> None:
    path.write_bytes(b"A letter to the owner." * 500)


def newer(path: Path) -> None:
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA user_version=99")
        file.execute("ALTER TABLE mark RENAME COLUMN told_by TO said_by")


def damaged(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: -engine.APPLICATION_ID % 1000 - 1000])


def empty(path: Path) -> None:
    path.write_bytes(b"")


def folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (Path.unlink, "There is no register at"),
        (not_a_register, "is not a register of this program"),
        (newer, "made by a newer version of this program, whose way of keeping things this one can't read"),
        (damaged, "is damaged"),
        (empty, "is an empty file"),
        (folder, "is a folder"),
    ],
)
def test_a_register_that_can_not_be_opened_is_said_so_in_the_first_window_which_offers_others(
    keys: Keys, path: Path, tmp_path: Path, empty_file: Path, spoil: Callable[[Path], None], said: str
) -> None:
    spoil(path)
    keys.start(path)
    assert said in first_window_says(keys)
    keys.messages.files = [shutil.copy(empty_file, tmp_path / "other.register")]
    keys.press("Open…")
    assert keys.opening.first is None
    assert keys.program.frame.isVisible()


def test_a_register_in_use_is_said_so_and_opens_when_it_is_free(
    keys: Keys, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(engine.SETTINGS, "busy_timeout", 1)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        keys.start(path)
        assert "is in use by another program" in first_window_says(keys)
    keys.messages.files = [path]
    keys.press("Open…")
    assert keys.program.frame.isVisible()


@pytest.mark.parametrize("spoil", [Path.unlink, not_a_register])
def test_a_register_moved_away_or_damaged_while_open_is_said_and_another_can_be_opened(
    keys: Keys, path: Path, tmp_path: Path, empty_file: Path, spoil: Callable[[Path], None]
) -> None:
    keys.start(path)
    spoil(path)
    keys.program.frame.go("withdrawn")
    keys.settle()
    assert keys.messages.failures
    assert all(isinstance(each, Refused | Unavailable) for each in keys.messages.failures), keys.messages.failures
    assert path.exists() is (spoil is not_a_register)
    keys.messages.files = [shutil.copy(empty_file, tmp_path / "other.register")]
    keys.key(Qt.Key.Key_O, CTRL)
    assert keys.program.desk.jobs._register.name == "other.register"


def test_opening_another_closes_the_first_and_remembers_it(
    keys: Keys, memory: Path, path: Path, tmp_path: Path, empty_file: Path
) -> None:
    keys.start(path)
    first = keys.program
    other = shutil.copy(empty_file, tmp_path / "other.register")
    keys.messages.files = [other]
    keys.key(Qt.Key.Key_O, CTRL)
    assert keys.program is not first
    assert first.jobs._closed
    assert Path(recall(memory).register) == other.resolve()
    assert [each for each in QApplication.topLevelWidgets() if each.isVisible()] == [keys.program.frame]


def test_one_that_can_not_be_opened_leaves_the_open_one_as_it_is(keys: Keys, path: Path, tmp_path: Path) -> None:
    keys.start(path)
    first = keys.program
    keys.messages.files = [tmp_path / "none.register"]
    keys.key(Qt.Key.Key_O, CTRL)
    assert keys.program is first
    assert "There is no register" in str(keys.messages.failures[-1])


def test_the_first_window_can_be_left_when_a_register_is_open(keys: Keys, path: Path) -> None:
    keys.start(path)
    keys.program.frame.deeds.do("register.new")
    keys.program.frame.deeds.do("register.new")
    first = keys.opening.first
    assert first is not None
    first.close()
    assert keys.opening.first is None
    assert keys.program.frame.isVisible()


def test_a_new_register_needs_the_firms_name_and_says_so_beside_the_field(keys: Keys, tmp_path: Path) -> None:
    keys.start()
    keys.press("New register")
    keys.press("Make the register")
    assert "Give the name of your firm." in first_window_says(keys)
    assert keys.name == "Your firm"
    keys.type("Harn & Tolliver")
    keys.reach("Where copies go")
    keys.messages.files = [tmp_path]
    keys.press("Choose the folder for copies")
    keys.messages.files = [tmp_path / "harn.v2"]
    keys.press("Make the register")
    with closing(open_register(tmp_path / "harn.v2.register")) as made, made.read() as connection:
        assert setting(connection, "firm", "") == "Harn & Tolliver"
        assert setting(connection, "copies_folder", "") == str(tmp_path)
        assert not setting(connection, "sample", default=False)


def test_a_new_register_never_replaces_a_file(keys: Keys, path: Path) -> None:
    before = path.read_bytes()
    keys.start()
    keys.press("New register")
    keys.type("Harn & Tolliver")
    keys.messages.files = [path]
    keys.press("Make the register")
    assert "exists already" in first_window_says(keys)
    assert path.read_bytes() == before


def test_the_sample_stands_in_a_file_of_its_own_and_is_marked_as_that(
    keys: Keys, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sample.QStandardPaths, "writableLocation", lambda _place: str(tmp_path / "data"))
    before = path.read_bytes()
    keys.start(path)
    keys.program.frame.deeds.do("register.demo")
    assert "about ten seconds" in keys.messages.told[-1]
    first = keys.program
    keys.qtbot.waitUntil(lambda: keys.opening.program is not first, timeout=120_000)
    keys.settle()
    assert keys.program.frame.windowTitle().endswith("(sample data)")
    assert keys.program.frame.status._about.text().startswith("Sample data.")
    assert path.read_bytes() == before
    file = Path(recall(keys.opening._file).register)
    assert (tmp_path / "data") in file.parents
    made = file.stat().st_mtime_ns
    keys.program.frame.deeds.do("register.demo")
    first = keys.program
    keys.qtbot.waitUntil(lambda: keys.opening.program is not first, timeout=120_000)
    assert file.stat().st_mtime_ns == made, "the day's sample is opened again, not made anew"


def open_sample(keys: Keys) -> Path:
    """Open the sample from the first window and return its file."""
    keys.press("Open the sample")
    keys.qtbot.waitUntil(lambda: keys.opening.program is not None, timeout=120_000)
    keys.settle()
    return Path(recall(keys.opening._file).register)


def test_the_sample_is_removed_wholly_and_made_anew_when_it_is_opened_again(
    keys: Keys, memory: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sample.QStandardPaths, "writableLocation", lambda _place: str(tmp_path / "data"))
    keys.start()
    path = open_sample(keys)
    copies = path.with_name(f"Copies of {path.stem}")
    copies.mkdir(exist_ok=True)
    shutil.copy(path, copies / path.name)
    keys.messages.agrees = False
    keys.program.frame.deeds.do("register.demo-remove")
    assert keys.messages.asked[-1].startswith("Remove the sample register\n")
    assert keys.program.frame.isVisible()
    assert path.exists()
    keys.messages.agrees = True
    keys.program.frame.deeds.do("register.demo-remove")
    assert keys.opening.program is None
    assert "The sample register is removed." in first_window_says(keys)
    assert list((tmp_path / "data").rglob("*")) == []
    assert recall(memory).register == ""
    assert open_sample(keys) == path
    assert path.is_file()
    assert not copies.exists()


def test_only_the_sample_can_be_removed(keys: Keys, path: Path) -> None:
    keys.start(path)
    assert keys.program.frame.deeds.possible("register.demo")
    assert not keys.program.frame.deeds.possible("register.demo-remove")


def test_closing_while_the_sample_is_made_stops_it(keys: Keys, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sample.QStandardPaths, "writableLocation", lambda _place: str(tmp_path / "data"))
    keys.start()
    keys.press("Open the sample")
    keys.opening.close()
    assert keys.opening.program is None
    assert not list((tmp_path / "data").rglob("made"))


def test_esc_cancels_the_sample_that_is_made_and_leaves_nothing_of_it(
    keys: Keys, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sample.QStandardPaths, "writableLocation", lambda _place: str(tmp_path / "data"))
    keys.start()
    keys.press("Open the sample")
    first = keys.opening.first
    assert first is not None
    assert first.cancel.isVisible()
    keys.qtbot.keyClick(first, Qt.Key.Key_Escape)
    keys.qtbot.waitUntil(lambda: "The work was stopped" in first_window_says(keys), timeout=20_000)
    assert not first.cancel.isVisible()
    assert not [each for each in (tmp_path / "data").rglob("*") if each.is_file()]
    keys.opening.close()


def test_colours_are_remembered_and_those_of_the_system_are_the_first(keys: Keys, memory: Path, path: Path) -> None:
    keys.start(path)
    before = theme.colours()
    keys.program.frame.deeds.do("view.dark")
    assert theme.colours() is theme.DARK
    assert recall(memory).colours == "dark"
    keys.program.frame.deeds.do("view.light")
    assert theme.colours() is theme.LIGHT
    keys.program.frame.deeds.do("view.system")
    assert theme.colours() is before


def test_a_memory_full_of_rubbish_leads_to_the_first_window(
    qtbot: QtBot, qapp: QApplication, memory: Path, messages: RecordedMessages
) -> None:
    memory.parent.mkdir()
    memory.write_bytes(b"\x00\xff register = = 'x'")
    keys = Keys(qtbot, qapp, memory, messages)
    keys.start()
    assert "Start a new register" in first_window_says(keys)
    keys.opening.close()


def test_work_at_the_bench_that_is_not_saved_is_asked_about_before_the_window_closes(
    keys: Keys, desk: Desk, path: Path
) -> None:
    keys.start(path)
    keys.key(Qt.Key.Key_F4)
    keys.type("RR-1")
    keys.key(Qt.Key.Key_Return)
    keys.key(Qt.Key.Key_Space, CTRL)
    keys.messages.agrees = False
    keys.key(Qt.Key.Key_Q, CTRL)
    assert "typed at the bench for RR-1 is not saved" in keys.messages.asked[-1]
    assert keys.program.frame.isVisible()
    keys.messages.agrees = True
    keys.key(Qt.Key.Key_Q, CTRL)
    assert not keys.program.frame.isVisible()
    assert desk.answer("RR-1").last is None
