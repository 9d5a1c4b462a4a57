"""The list of what falls due: chosen, looked at, and put on paper, into a PDF or into a workbook."""

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from itertools import pairwise
from pathlib import Path

import openpyxl
import pytest
import sqlalchemy as sa
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot
from sqlalchemy.engine import Connection

from register.services.due_list import DueList, due_list
from register.services.questions import DueDuty
from register.store.engine import Register
from tests.desk import Desk
from tests.ui.conftest import TODAY, RecordedMessages
from tests.ui.reader import words_of
from tests.ui.watcher import ALT, Watcher, three_sites
from ui.horizon.due_dialog import DueDialog
from ui.horizon.due_sheet import BOTTOM, TOP, draw_page, laid_out
from ui.look import theme
from ui.program import Program


@pytest.fixture
def desk(register: Register) -> Desk:
    """Three sites with work of every sort."""
    return three_sites(register)


@pytest.fixture
def watcher(qtbot: QtBot, program: Program, settled: Callable[[], None]) -> Watcher:
    """Somebody at the horizon."""
    return Watcher(qtbot, program, settled)


def test_the_list_is_written_as_a_pdf(watcher: Watcher, messages: RecordedMessages, tmp_path: Path) -> None:
    watcher.key(Qt.Key.Key_Right, Qt.Key.Key_Right)
    dialog = watcher.dialog()
    assert dialog._site.currentText() == "Boat yard"
    assert dialog._week.currentText() == "Week 49, 6 Dec 2026"
    messages.files = [tmp_path / "list"]

    with watcher.qtbot.waitSignal(dialog.finished):
        QTest.keyClick(dialog, Qt.Key.Key_S, ALT)

    written = tmp_path / "list.pdf"
    assert written.read_bytes().startswith(b"%PDF")
    assert messages.told == [f"The list is in {written}."]


def test_the_list_is_written_as_a_workbook(watcher: Watcher, messages: RecordedMessages, tmp_path: Path) -> None:
    dialog = watcher.dialog()
    dialog._site.setCurrentIndex(0)
    dialog._week.setCurrentIndex(1)
    watcher.settle()
    messages.files = [tmp_path / "list.xlsx"]

    with watcher.qtbot.waitSignal(dialog.finished):
        QTest.keyClick(dialog, Qt.Key.Key_B, ALT)

    rows = list(openpyxl.load_workbook(tmp_path / "list.xlsx").worksheets[0].values)
    assert sorted(row[1] for row in rows[1:]) == ["H-1", "L-1", "L-2", "L-LATE", "Q-1"]


def test_another_week_or_site_is_another_list(watcher: Watcher) -> None:
    dialog = watcher.dialog()
    assert "1 duty on 1 item" in words_of(dialog)
    dialog._week.setCurrentIndex(1)
    watcher.settle()
    assert "3 duties on 3 items" in words_of(dialog)
    dialog._site.setCurrentIndex(0)
    watcher.settle()
    assert "5 duties on 5 items" in words_of(dialog)
    dialog._site.setCurrentIndex(2)
    dialog._week.setCurrentIndex(0)
    watcher.settle()
    assert "Choose a later week" in words_of(dialog)
    dialog.reject()


def test_a_place_where_nothing_can_be_written_is_said_in_the_dialog_which_stays(
    watcher: Watcher, messages: RecordedMessages, tmp_path: Path
) -> None:
    dialog = watcher.dialog()
    messages.files = [tmp_path / "no such folder" / "list.pdf"]

    QTest.keyClick(dialog, Qt.Key.Key_S, ALT)
    watcher.qtbot.waitUntil(lambda: "does not exist" in words_of(dialog))

    assert dialog.isVisible()
    assert not list(tmp_path.glob("**/*.pdf"))
    dialog.reject()


def test_esc_cancels_a_pdf_that_is_being_written_and_an_earlier_one_stays(
    watcher: Watcher, messages: RecordedMessages, tmp_path: Path, due: DueList
) -> None:
    dialog = watcher.dialog()
    dialog._show(many(due, 150))
    (tmp_path / "list.pdf").write_bytes(b"the one before")
    messages.files = [tmp_path / "list.pdf"]
    before = sorted(tmp_path.iterdir())

    QTest.keyClick(dialog, Qt.Key.Key_S, ALT)
    watcher.qtbot.waitUntil(lambda: "is written." in words_of(dialog))
    QTest.keyClick(dialog, Qt.Key.Key_Escape)

    assert "because you cancelled it" in words_of(dialog)
    assert sorted(tmp_path.iterdir()) == before
    assert (tmp_path / "list.pdf").read_bytes() == b"the one before"
    assert dialog._pdf.isEnabled()
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert dialog.gone


def test_enter_writes_nothing(watcher: Watcher, messages: RecordedMessages) -> None:
    dialog = watcher.dialog()
    QTest.keyClick(dialog, Qt.Key.Key_Return)
    watcher.settle()
    assert messages.asked == []
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert dialog.gone


@pytest.fixture
def due(desk: Desk) -> DueList:
    """What falls due by the end of week 49, everywhere."""
    with desk.read() as connection:
        return due_list(connection, TODAY, date(2026, 12, 6))


def many(due: DueList, count: int) -> DueList:
    def one(number: int) -> DueDuty:
        return replace(due.rows[0], tag=f"T-{number:04}", area=f"Area {number // 40}", description="A lead " * 9)

    return replace(due, rows=tuple(one(number) for number in range(count)))


@pytest.mark.parametrize("count", [0, 1, 12, 150])
def test_every_duty_stands_once_on_a_page_under_the_head_of_its_place(due: DueList, count: int) -> None:
    pages = laid_out(many(due, count))

    lines = [line for page in pages.pages for line in page]
    assert [line.row.tag for line in lines if line.row] == [f"T-{number:04}" for number in range(count)]
    for page in pages.pages:
        assert page[0].head
        assert not page[-1].head
        assert page[0].y == TOP
        assert all(after.y == before.y + before.high for before, after in pairwise(page))
        assert page[-1].y + page[-1].high <= BOTTOM
    assert pages.count == max(1, len(pages.pages))
    assert [line.rule for line in lines if line.rule] == [f"1  {rule}" for rule in pages.rules]
    assert len(pages.rules) == min(count, 1)


@pytest.mark.parametrize("count", [0, 3])
def test_paper_is_light_whatever_the_window_wears(due: DueList, count: int) -> None:
    def drawn() -> QImage:
        image = QImage(595, 842, QImage.Format.Format_RGB32)
        image.fill(Qt.GlobalColor.white)
        painter = QPainter(image)
        draw_page(painter, laid_out(many(due, count)), 0)
        painter.end()
        return image

    light = drawn()
    theme.theme.tokens = theme.DARK
    try:
        assert drawn() == light
        assert theme.theme.tokens is theme.DARK
    finally:
        theme.theme.tokens = theme.LIGHT
    blank = QImage(595, 842, QImage.Format.Format_RGB32)
    blank.fill(Qt.GlobalColor.white)
    assert light != blank


def test_a_list_too_long_for_paper_is_left_to_a_workbook(watcher: Watcher, due: DueList) -> None:
    dialog = watcher.dialog()

    dialog._show(many(due, 5_001))

    assert "too long for paper: choose one site, or save it as a workbook" in words_of(dialog)
    assert [each.isEnabled() for each in (dialog._pdf, dialog._print, dialog._book)] == [False, False, True]
    dialog.reject()


def test_leaving_the_list_stops_its_gathering_and_says_nothing(
    watcher: Watcher, messages: RecordedMessages, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, stopped = threading.Event(), threading.Event()

    def for_ever(connection: Connection, **_what: object) -> DueList:
        begun.set()
        try:
            while True:
                connection.execute(sa.select(sa.literal(1)))
        finally:
            stopped.set()

    dialog = watcher.dialog()
    monkeypatch.setattr("ui.horizon.due_dialog.due_list", for_ever)
    dialog._site.setCurrentIndex(_another(dialog))
    assert begun.wait(10)
    dialog.reject()
    assert stopped.wait(10)
    watcher.settle()
    assert not messages.failures


def test_another_site_stops_the_gathering_for_the_one_before(
    watcher: Watcher, messages: RecordedMessages, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun = threading.Event()

    def for_ever(connection: Connection, **_what: object) -> DueList:
        begun.set()
        while True:
            connection.execute(sa.select(sa.literal(1)))

    dialog = watcher.dialog()
    with monkeypatch.context() as at_first:
        at_first.setattr("ui.horizon.due_dialog.due_list", for_ever)
        dialog._site.setCurrentIndex(_another(dialog))
        assert begun.wait(10)
    dialog._site.setCurrentIndex(0)
    watcher.settle()
    assert dialog._due is not None
    assert dialog._due.place == "All sites"
    assert not messages.failures
    dialog.reject()


def _another(dialog: DueDialog) -> int:
    """Return the place of a site that isn't chosen."""
    return 1 if dialog._site.currentIndex() != 1 else 2
