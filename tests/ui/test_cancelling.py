"""Longer work is cancelled by Esc at any step: nothing of it is kept or left lying about, and it can be done again."""

import tempfile
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from openpyxl import load_workbook
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from register import stopping
from register.exchange.workbook import write_owner_workbook
from register.services.finding import site_choices
from register.services.firm import areas, sites
from register.services.owners.report import owner_report
from register.services.places import known_site
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.dialogs import Opener
from tests.ui.reader import words_of
from ui.asking.dialog import Dialog
from ui.firm.area_dialog import AreaDialog
from ui.firm.care import CareSection
from ui.firm.page import FirmPage
from ui.firm.sites import SitesSection
from ui.horizon.due_dialog import DueDialog
from ui.packs.make import MakePackDialog
from ui.packs.merge import MergeDialog
from ui.program import Program
from ui.sheets.owner_answers import OwnerAnswersDialog
from ui.sheets.owner_book import OwnerBookDialog
from ui.sheets.take_in import TakeInDialog

STEP = 4
"""Where the work is held: it has begun, and none of it is done in so few steps."""
DRILLS = "Tag,Description,Kind,Tested on,Result\n" + "".join(
    f"DR-{number},Drill,Class II,{number}/01/2026,pass\n" for number in range(13, 28)
)


@dataclass
class Brake:
    """Holds the register's worker at one of its steps until it is released."""

    go_on: Callable[[], bool]
    at: int = 0
    steps: int = 0
    reached: threading.Event = field(default_factory=threading.Event)
    released: threading.Event = field(default_factory=threading.Event)

    def is_stopped(self) -> bool:
        if threading.current_thread().name.startswith("register"):
            self.steps += 1
            if self.steps == self.at:
                self.reached.set()
                assert self.released.wait(20)
        return self.go_on()

    def hold_at(self, step: int) -> None:
        self.at, self.steps = step, 0

    def release(self) -> None:
        self.released.set()


@pytest.fixture
def brake(monkeypatch: pytest.MonkeyPatch) -> Iterator[Brake]:
    """The brake of the worker, which is off."""
    made = Brake(stopping.is_stopped)
    monkeypatch.setattr(stopping, "is_stopped", made.is_stopped)
    yield made
    made.release()


@pytest.fixture
def opener(
    qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None], tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> Opener:  # fmt: skip
    """Somebody at the window, whose temporary files lie where they are seen."""
    for folder in ("temporary", "out", "in"):
        (tmp_path / folder).mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temporary"))
    return Opener(qtbot, program, desk, settled, tmp_path / "in")


Begin = Callable[[], None]
Work = Callable[[Opener, RecordedMessages], tuple[QWidget, Begin]]


def saving(opener: Opener, messages: RecordedMessages, name: str) -> Path:
    """Choose a file each time that one is asked for."""
    path = opener.folder.parent / "out" / name
    messages.files = [path, path]
    return path


def section(opener: Opener, key: str) -> CareSection | SitesSection:
    opener.program.frame.go("firm")
    page = opener.program.frame.front
    assert isinstance(page, FirmPage)
    page.show_wanted(key)
    opener.settled()
    assert isinstance(page.front, CareSection | SitesSection)
    return page.front


def checking(opener: Opener, _messages: RecordedMessages) -> tuple[QWidget, Begin]:
    care = section(opener, "care")
    assert isinstance(care, CareSection)
    return opener.program.frame, care.check


def copying(opener: Opener, _messages: RecordedMessages) -> tuple[QWidget, Begin]:
    care = section(opener, "care")
    assert isinstance(care, CareSection)
    return opener.program.frame, care.make_copy


def calendar(opener: Opener, messages: RecordedMessages) -> tuple[QWidget, Begin]:
    saving(opener, messages, "week.ics")
    opener.program.frame.go("week")
    opener.settled()
    opener.program.frame.deeds.enable("week.calendar", enabled=True)
    return opener.program.frame, lambda: opener.program.frame.deeds.do("week.calendar")


def owner_book(opener: Opener, messages: RecordedMessages) -> tuple[QWidget, Begin]:
    saving(opener, messages, "yard.xlsx")
    dialog = opener.open("OwnerBookDialog")
    assert isinstance(dialog, OwnerBookDialog)
    return dialog, dialog._write.click


def answers(opener: Opener, _messages: RecordedMessages) -> tuple[QWidget, Begin]:
    path = opener.folder / "answered.xlsx"
    with opener.desk.read() as connection:
        write_owner_workbook(owner_report(connection, known_site(connection, "YARD"), opener.desk.today), path)
    book = load_workbook(path)
    sheet = book["Register"]
    (column,) = [cell.column for cell in sheet[1] if cell.value == "Your answer"]
    sheet.cell(2, column, "Not found")
    book.save(path)
    dialog = OwnerAnswersDialog(opener.program.frame, opener.program.desk, path)
    dialog.open()
    opener.settled()
    return dialog, dialog._take.click


def pack(opener: Opener, messages: RecordedMessages) -> tuple[QWidget, Begin]:
    saving(opener, messages, "yard.fieldpack")
    dialog = opener.open("MakePackDialog")
    assert isinstance(dialog, MakePackDialog)
    QTest.keyClick(dialog.sites, Qt.Key.Key_Space)
    dialog.holder.setText("Asha Pell")
    return dialog, dialog._write.click


def merge(opener: Opener, _messages: RecordedMessages) -> tuple[QWidget, Begin]:
    dialog = opener.open("MergeDialog")
    assert isinstance(dialog, MergeDialog)
    dialog.merge.setEnabled(True)  # nothing new is in it; merging it anyway is work all the same
    return dialog, dialog._merge


def due_list(opener: Opener, messages: RecordedMessages) -> tuple[QWidget, Begin]:
    saving(opener, messages, "due.xlsx")
    dialog = opener.open("DueDialog")
    assert isinstance(dialog, DueDialog)
    return dialog, dialog._book.click


def take_in(opener: Opener, _messages: RecordedMessages) -> tuple[QWidget, Begin]:
    path = opener.folder / "drills.csv"
    path.write_text(DRILLS, encoding="utf-8")
    dialog = TakeInDialog(opener.program.frame, opener.program.desk, path, opener.asked(site_choices))
    dialog.open()
    opener.settled()
    assert dialog._tried.taken is not None, dialog._tried.why
    return dialog, dialog._take.click


def area(opener: Opener, _messages: RecordedMessages) -> tuple[QWidget, Begin]:
    opener.desk.test("RR-1")
    opener.program.jobs.changed.emit()
    shelf = section(opener, "sites")
    assert isinstance(shelf, SitesSection)
    row = opener.asked(sites)[0]
    shelf._ask_area(row, opener.asked(areas, row.id)[0])
    dialog = shelf.dialog
    assert isinstance(dialog, AreaDialog)
    dialog.environment.choose("construction")
    opener.qtbot.waitUntil(lambda: not dialog._wait.isActive())
    opener.settled()
    return dialog, dialog._save


WORKS: dict[str, Work] = {
    "check": checking, "copy": copying, "calendar": calendar, "owner workbook": owner_book, "owner's answers": answers,
    "pack": pack, "merge": merge, "due list": due_list, "taking in": take_in, "class of an area": area,
}  # fmt: skip


def state(opener: Opener) -> tuple[list[str], dict[str, bytes]]:
    """Return what is kept: the events of the register, and every file but the register's own."""
    root, own = opener.folder.parent, opener.desk.register.name
    files = {str(path.relative_to(root)): path for path in root.rglob("*") if path.is_file() and path.name != own}
    return opener.desk.events(), {name: path.read_bytes() for name, path in files.items()}


@pytest.mark.parametrize("work", WORKS.values(), ids=WORKS)
def test_esc_cancels_it_and_nothing_is_kept_or_left_and_it_can_be_done_again(
    work: Work, opener: Opener, brake: Brake, messages: RecordedMessages, settled: Callable[[], None]
) -> None:
    where, begin = work(opener, messages)
    settled()
    before = state(opener)
    brake.hold_at(STEP)
    begin()
    opener.qtbot.waitUntil(brake.reached.is_set)
    cancel(opener, where)
    brake.release()
    settled()
    assert state(opener) == before
    assert not messages.failures
    assert where.isVisible()
    said = f"{words_of(where)} {' '.join(messages.told)}"
    assert "stopped" in said or "cancelled" in said

    told = len(messages.told)
    begin()
    settled()
    assert not messages.failures
    assert len(messages.told) > told
    assert state(opener) != before or work is checking


def cancel(opener: Opener, where: QWidget) -> None:
    if isinstance(where, Dialog):
        opener.qtbot.waitUntil(lambda: where._way_out.text().startswith("Cancel"))
        QTest.keyClick(where, Qt.Key.Key_Escape)
        assert "Cancelling" in words_of(where)
        return
    status = opener.program.frame.status
    opener.qtbot.waitUntil(status.cancel.isVisible)
    QTest.keyClick(QApplication.focusWidget() or where, Qt.Key.Key_Escape)
