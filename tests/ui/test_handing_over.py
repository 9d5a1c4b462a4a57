"""Handing a report over: what is chosen is counted, written, noted in the history and remembered for its owner."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Final

import pypdfium2
import pytest
import sqlalchemy as sa
from openpyxl import load_workbook
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton, QWidget
from pytestqt.qtbot import QtBot

from register.exchange.files import file_word
from register.exchange.workbook.handing import BookAsk, preview, report_asked
from register.exchange.workbook.told import MOST_ROWS, Told, ToldRow, ToldSheet, told, without_sheets
from register.services.finding import site_choices
from register.services.owners.queries import note_query, open_queries
from register.services.places import known_site
from register.store.tables import Item
from tests.desk import Desk
from tests.exchange.workbook.made_up import made_up_report
from tests.ui.conftest import RecordedMessages
from ui.paper.printing import PAGE, PdfFile, write_pdf
from ui.program import Program
from ui.sheets import deeds as sheets
from ui.sheets.cover_look import CoverLook
from ui.sheets.owner_book import OwnerBookDialog
from ui.sheets.queries import QueriesDialog
from ui.sheets.report_paper import ReportPages


@pytest.fixture
def opened(program: Program, desk: Desk, settled: Callable[[], None]) -> Callable[[], OwnerBookDialog]:
    """Open the dialog for the yard."""

    def open_it() -> OwnerBookDialog:
        with desk.read() as connection:
            sites, yard = site_choices(connection), known_site(connection, "YARD")
        dialog = OwnerBookDialog(program.frame, program.desk, sites, yard)
        dialog.open()
        settled()
        return dialog

    return open_it


def row_of(dialog: OwnerBookDialog, title: str) -> int:
    table = dialog._sheets
    return next(row for row in range(table.rowCount()) if table.item(row, 1).text() == title)  # type: ignore[union-attr]


def tick(dialog: OwnerBookDialog, title: str, *, on: bool) -> None:
    cell = dialog._sheets.item(row_of(dialog, title), 0)
    assert cell is not None
    cell.setCheckState(Qt.CheckState.Checked if on else Qt.CheckState.Unchecked)


def test_what_was_left_out_and_which_files_were_written_is_remembered_for_the_owner(
    qtbot: QtBot,
    opened: Callable[[], OwnerBookDialog],
    desk: Desk,
    settled: Callable[[], None],
    messages: RecordedMessages,
    tmp_path: Path,
) -> None:
    dialog, before = opened(), len(desk.events())
    tick(dialog, "Readings", on=False)
    dialog._pdf.setChecked(True)
    dialog._months.choose(24)
    settled()
    messages.files = [tmp_path / "yard.xlsx"]
    dialog._write.click()
    qtbot.waitUntil(lambda: dialog.gone, timeout=30_000)

    assert desk.events(before) == ["owner-book:send"]
    assert "Readings" not in load_workbook(tmp_path / "yard.xlsx").sheetnames
    assert (tmp_path / "yard.pdf").read_bytes().startswith(b"%PDF")
    assert str(tmp_path / "yard.pdf") in messages.told[-1]
    again = opened()
    settled()
    assert (again._pdf.isChecked(), again._months.chosen) == (True, 24)
    assert not again._is_ticked(row_of(again, "Readings"))
    with desk.read() as connection:
        report = report_asked(connection, BookAsk(known_site(connection, "YARD")), desk.today)
        assert report.last_sent is not None
        assert report.last_sent.events == report.events - 1
    again.reject()


def test_a_pdf_that_lies_beside_the_workbook_is_not_replaced_without_a_question(
    opened: Callable[[], OwnerBookDialog], settled: Callable[[], None], messages: RecordedMessages, tmp_path: Path
) -> None:
    (tmp_path / "yard.pdf").write_bytes(b"of last year")
    dialog = opened()
    dialog._pdf.setChecked(True)
    messages.files, messages.agrees = [tmp_path / "yard.xlsx"], False
    dialog._write.click()
    settled()
    assert not dialog.gone
    assert "“yard.pdf” is there already" in messages.asked[-1]
    assert (tmp_path / "yard.pdf").read_bytes() == b"of last year"
    assert not (tmp_path / "yard.xlsx").exists()


def test_a_pdf_that_is_cancelled_is_said_to_be_that_and_an_earlier_one_stays(
    qtbot: QtBot, opened: Callable[[], OwnerBookDialog], messages: RecordedMessages, tmp_path: Path
) -> None:
    (tmp_path / "yard.pdf").write_bytes(b"of last year")
    dialog = opened()
    dialog._workbook.setChecked(False)
    dialog._pdf.setChecked(True)
    messages.files = [tmp_path / "yard.pdf"]
    dialog._write.click()
    qtbot.waitUntil(lambda: dialog.findChild(PdfFile) is not None)
    dialog.reject()
    assert "because you cancelled it" in dialog._wrong.text()
    assert (tmp_path / "yard.pdf").read_bytes() == b"of last year"
    dialog.reject()


def test_no_sheet_is_ticked_while_the_report_is_counted_anew(
    opened: Callable[[], OwnerBookDialog], settled: Callable[[], None]
) -> None:
    dialog = opened()
    row = row_of(dialog, "Readings")
    dialog._sheets.setCurrentCell(row, 0)
    dialog._months.choose(24)
    QTest.keyClick(dialog._sheets, Qt.Key.Key_Space)
    assert dialog._is_ticked(row)
    settled()
    QTest.keyClick(dialog._sheets, Qt.Key.Key_Space)
    assert not dialog._is_ticked(row)


def test_the_register_itself_is_never_left_out_and_something_must_be_written(
    opened: Callable[[], OwnerBookDialog], settled: Callable[[], None], messages: RecordedMessages
) -> None:
    dialog = opened()
    cell = dialog._sheets.item(row_of(dialog, "Register"), 0)
    assert cell is not None
    assert not cell.flags() & Qt.ItemFlag.ItemIsUserCheckable
    dialog._workbook.setChecked(False)
    dialog._write.click()
    settled()
    assert dialog._wrong.text() == "Tick the workbook, the PDF or both, so that there is something to write."
    assert messages.files == []
    dialog.reject()


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("Söhne & Co. / Hire", "sohne-co-hire"),
        ("YARD Bay: Yard?", "yard-bay-yard"),
        ("漢字", "register"),
        ("x" * 200, "x" * 60),
        ("../..\\CON", "con"),
    ],
)
def test_a_file_name_has_nothing_odd_in_it(name: str, word: str) -> None:
    assert file_word(name) == word


def words_of(path: Path) -> str:
    document = pypdfium2.PdfDocument(path)
    return re.sub(r"\s+", " ", " ".join(page.get_textpage().get_text_bounded() for page in document))


@pytest.mark.usefixtures("program")
def test_the_pdf_says_what_the_workbook_says_and_takes_no_text_for_markup(tmp_path: Path) -> None:
    hostile = '<img src="file:///etc/hostname"> <b>not bold</b> & ' + "n" * 500
    sheet = ToldSheet("Register", "", (ToldRow(("T-1", hostile), f"Remarks: {hostile}", "Overdue", marked=True),))
    write_pdf(tmp_path / "hostile.pdf", ReportPages(Told("Yard", "Firm", made_up_report().as_at, (sheet,))), "x")
    said = words_of(tmp_path / "hostile.pdf")
    assert '<img src="file:///etc/hostname"> <b>not bold</b>' in said
    assert said.count("n" * 40) >= 5, "the long word goes on in further lines"

    words = told(made_up_report())
    write_pdf(tmp_path / "whole.pdf", ReportPages(words), "x")
    whole = words_of(tmp_path / "whole.pdf")
    for sheet in words.sheets:
        assert sheet.title in whole
        for row in sheet.rows:
            assert all(word in whole for word in row.leads[0].split())


FINE: Final = 8
"""So many times finer than it is compared a page is drawn, as a reader of PDFs puts letters on whole dots only."""

SEEN: Final = 16
"""So much of 255 must a pixel be darker or lighter to count as another: a sixteenth, which no eye tells apart."""


@pytest.mark.usefixtures("program")
def test_a_page_in_the_pdf_is_the_page_that_is_drawn_pixel_by_pixel(tmp_path: Path) -> None:
    """At 100 dpi at most one pixel in two hundred differs."""
    pages = ReportPages(told(made_up_report(12)))
    write_pdf(tmp_path / "report.pdf", pages, "x")
    scale, form = 100 / 72, QImage.Format.Format_Grayscale8
    page = pypdfium2.PdfDocument(tmp_path / "report.pdf")[0].render(scale=scale * FINE, grayscale=True)
    read = QImage(bytes(page.buffer), page.width, page.height, page.stride, form)
    drawn = QImage(read.size(), form)
    drawn.fill(Qt.GlobalColor.white)
    painter = QPainter(drawn)
    painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
    painter.scale(drawn.width() / PAGE.width(), drawn.height() / PAGE.height())
    pages.draw(painter, 0)
    painter.end()
    across, down = round(PAGE.width() * scale), round(PAGE.height() * scale)
    one, other = (pixels(image, across, down) for image in (drawn, read))
    assert max(one) - min(one) > 200, "there is something on the page"
    assert sum(abs(here - there) > SEEN for here, there in zip(one, other, strict=True)) <= across * down / 200


def pixels(image: QImage, across: int, down: int) -> bytes:
    """Return a page in grey, row after row, at a size."""
    smooth = Qt.TransformationMode.SmoothTransformation
    small = image.scaled(across, down, Qt.AspectRatioMode.IgnoreAspectRatio, smooth)
    small = small.convertToFormat(QImage.Format.Format_Grayscale8)
    line = small.bytesPerLine()
    whole = bytes(small.constBits())
    return b"".join(whole[row * line : row * line + across] for row in range(down))


def test_a_report_too_long_for_paper_is_refused_with_what_to_do() -> None:
    many = made_up_report(8)
    assert many.measured
    report = type(many)(**{name: getattr(many, name) for name in many.__dataclass_fields__} | {
        "measured": many.measured * (MOST_ROWS // len(many.measured))
    })  # fmt: skip
    with pytest.raises(Exception, match="Leave out “Readings”"):
        told(report)
    assert told(report, {"Readings"}).sheets


def test_what_an_owner_asked_is_answered_in_the_window_and_leaves_the_list(
    program: Program, desk: Desk, settled: Callable[[], None], messages: RecordedMessages
) -> None:
    with desk.change() as change:
        connection = change.session.connection()
        item = connection.execute(sa.select(Item.id, Item.tag_number).order_by(Item.tag_number)).first()
        assert item is not None
        for text in ("Is it ours?", "Where was it bought?"):
            note_query(change, item.id, "mark", "Query", text)
    dialog = QueriesDialog(program.frame, program.desk)
    dialog.open()
    settled()
    assert dialog._said.text() == "2 queries wait for an answer."
    dialog._settle.click()
    assert dialog._field.complaint == "Say what was done or told."
    for left in ("1 query waits for an answer.", "No query waits for an answer."):
        dialog._answer.setText("Yes, since May.")
        dialog._settle.click()
        settled()
        assert dialog._said.text() == left
    assert messages.told[-1].startswith(f"{item.tag_number}: the query of")
    assert not dialog._settle.isEnabled()
    with desk.read() as connection:
        assert open_queries(connection) == []
    dialog.reject()


def ways(page: QWidget, said: str) -> list[QPushButton]:
    return [each for each in page.findChildren(QPushButton) if each.isVisibleTo(page) and each.text() == said]


def opened_from(qtbot: QtBot, program: Program, settled: Callable[[], None]) -> OwnerBookDialog:
    qtbot.waitUntil(lambda: bool(program.frame.findChildren(OwnerBookDialog)), timeout=20_000)
    settled()
    (dialog,) = program.frame.findChildren(OwnerBookDialog)
    return dialog


@pytest.mark.parametrize(
    ("key", "size", "way"),
    [
        ("horizon", (1440, 900), "Write the owner workbook…"),
        ("horizon", (1024, 600), "Owner workbook…"),
        ("register", (1440, 900), "More"),
        ("withdrawn", (1024, 600), "More"),
    ],
)
def test_each_page_that_shows_a_site_has_a_way_to_its_workbook_in_sight(
    qtbot: QtBot, program: Program, desk: Desk, settled: Callable[[], None], key: str, size: tuple[int, int], way: str
) -> None:
    desk.site("ABBEY", name="Abbey, first by name")
    desk.item("AA-1", site="ABBEY")
    desk.withdraw("RR-2")
    sheets.offer(program)
    program.frame.resize(*size)
    program.frame.go(key, desk.id("RR-2") if key != "horizon" else None)
    program.frame.front.refresh()
    settled()
    if key == "horizon":
        row = next(at for at, each in enumerate(program.frame.front._grid.weeks.rows) if each.name.startswith("Yard"))
        program.frame.front._grid.choose(row, 1)
        settled()
    page = program.frame.front
    qtbot.waitUntil(lambda: bool(ways(page, way) and page.site_in_view()), timeout=20_000)
    (way_on,) = ways(program.frame.front, way)
    if way_on.menu() is None:
        way_on.click()
    else:
        way_on.menu().actions()[-1].trigger()
    dialog = opened_from(qtbot, program, settled)
    assert dialog._site.currentText() == "Yard of the bay (YARD)"
    dialog.reject()


def test_the_cover_is_shown_as_it_is_printed_and_follows_what_is_left_out(
    opened: Callable[[], OwnerBookDialog], desk: Desk
) -> None:
    dialog = opened()
    assert dialog._cover.accessibleName() == "The cover as it is printed"
    whole = dialog._cover.grab().toImage()
    assert whole != CoverLook(dialog).grab().toImage(), "there is something on the page"
    tick(dialog, "Readings", on=False)
    assert dialog._cover.grab().toImage() != whole
    with desk.read() as connection:
        report = report_asked(connection, BookAsk(known_site(connection, "YARD")), desk.today)
        found = preview(connection, BookAsk(known_site(connection, "YARD")), desk.today)
        written = told(report, {"Readings"})
    shown = without_sheets(found.cover, {"Readings"})
    assert shown.sheets == written.sheets[: len(shown.sheets)]
    dialog.reject()
