"""Day sheets: a sheet for each van and day, the same on screen, on paper and in a PDF."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import openpyxl
import pypdfium2
import pytest
from PySide6.QtCore import QMarginsF, QRectF, Qt
from PySide6.QtGui import QColor, QPageLayout, QPageSize, QPainter, QPdfWriter
from PySide6.QtPrintSupport import QPrintDialog
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from register.domain.words import Duty, Standing
from register.services.week.day_sheets import DayLine, DaySheets, ItemLine, KitRow, StopLine
from register.services.week.kept import keep_week
from register.services.week.kit import KitLine
from register.services.week.plan import WeekAsk, coming_week, plan_week
from register.services.week.stop_extras import Extras
from register.services.week.visiting import VanFacts, keep_van
from register.store.engine import Register
from tests.desk import Desk
from tests.ui.conftest import RecordedMessages
from tests.ui.tags_made import pages_of
from ui.app import main
from ui.paper.printing import PAGE, Printing, write_pdf
from ui.program import Program
from ui.week.day_dialog import DayDialog
from ui.week.day_paper import BOTTOM, DayPages, laid_out
from ui.week.page import WeekPage

MONDAY, TUESDAY = date(2026, 11, 30), date(2026, 12, 1)
LONG = "The stairs behind the second gate are steep and wet, so carry little. " * 60


def stop(day: date, order: int, **facts: object) -> StopLine:
    plain = StopLine(
        day, "Van 1", order, "08:00", "09:30", "YARD", f"Yard {order}", "Gate 1, Slip Road", "By the side door",
        "Ruth at the desk", "A loose dog", "2 due, 1 h 30", "2 due: overdue since 4 Nov 2026.", trips=True,
    )  # fmt: skip
    return replace(plain, **facts)  # type: ignore[arg-type]


def line(day: date, order: int, tag: str, duty: Duty = Duty.OPERATING_TIME, **facts: object) -> ItemLine:
    plain = ItemLine(
        day, "Van 1", order, f"Yard {order}", "Slipway", tag, "Switch of the winch", duty, date(2026, 12, 3),
        Standing.DUE_SOON, "",
    )  # fmt: skip
    return replace(plain, **facts)  # type: ignore[arg-type]


def whole(day: date) -> DayLine:
    return DayLine(day, "Van 1", 1, "07:30", "12:00", 42.4, "1 h 05", ("Nobody touches earthed metal.",))


SHEETS = DaySheets(
    "Bay Testing", MONDAY, (whole(MONDAY), whole(TUESDAY)), (stop(MONDAY, 1), stop(TUESDAY, 1, trips=False)),
    (
        line(MONDAY, 1, "RCD-000123"), line(MONDAY, 1, "RCD-000123", Duty.INSPECTION_AND_TEST),
        line(MONDAY, 1, "RCD-000124", due=None, standing=Standing.UNTESTED), line(TUESDAY, 1, "RCD-000125"),
    ),
    (KitRow(MONDAY, "Van 1", KitLine("Return lead", 2, "2 items")),),
)  # fmt: skip


def words_of(pages: DayPages, path: Path) -> list[str]:
    """Return the text of each page of the sheets as another program reads it from the PDF."""
    write_pdf(path, pages, "Day sheets")
    document = pypdfium2.PdfDocument(path)
    said = [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]
    document.close()
    return said


@pytest.mark.usefixtures("qapp")
def test_a_sheet_says_when_where_how_what_and_what_to_load(tmp_path: Path) -> None:
    monday, tuesday = words_of(laid_out(SHEETS), tmp_path / "sheets.pdf")
    for part in (
        "Bay Testing", "Van 1, Monday", "Leave at 07:30, back at 12:00", "42 km", "08:00 – 09:30", "Gate 1, Slip Road",  # noqa: RUF001
        "Ruth at the desk", "By the side door", "A loose dog", "Trip tests cut the supply here", "Slipway", "2 items",
        "RCD-000123", "Operating-time test and inspection and test", "Never done", "Untested", "Return lead",
        "Nobody touches earthed metal.", "page 1 of 1", "Local codes and licensed practice decide",
    ):  # fmt: skip
        assert part in monday, part
    assert "RCD-000125" in tuesday
    assert "RCD-000123" not in tuesday
    assert "Trip tests" not in tuesday


@pytest.mark.usefixtures("qapp")
def test_a_stop_says_what_to_look_for_and_what_goes_along_for_it(tmp_path: Path) -> None:
    extras = Extras(("L-9 Drill, Shed, not found on 4 Jun 2026",), "V-0100 to V-0104", "Made for Ruth")
    (said,) = words_of(
        laid_out(replace(SHEETS, days=(whole(MONDAY),), stops=(stop(MONDAY, 1, extras=extras),))), tmp_path / "s.pdf"
    )
    for part in ("Look for L-9 Drill, Shed, not found on 4 Jun 2026", "New tags V-0100 to V-0104", "Made for Ruth"):
        assert part in said, part


@pytest.mark.usefixtures("qapp")
def test_nothing_is_lost_or_written_over_the_edge_however_much_there_is(tmp_path: Path) -> None:
    tags = [f"T-{number:04d}" for number in range(90)]
    many = tuple(line(MONDAY, 1, tag, area="Loft" if n > 40 else "Slipway") for n, tag in enumerate(tags))
    odd = stop(MONDAY, 1, access=LONG, hazards="<b>wet</b> & " + "x" * 500, address="A" * 300)
    pages = laid_out(replace(SHEETS, days=(whole(MONDAY),), stops=(odd,), items=many))
    assert all(y + block.high <= BOTTOM + 0.01 for page in pages.pages for y, block in page.blocks)
    said = words_of(pages, tmp_path / "sheets.pdf")
    every = " ".join(said)
    assert [tag for tag in tags if tag not in every] == []
    assert every.count("The stairs behind") == 60
    assert "<b>wet</b> &" in every
    assert every.count("x") >= 500
    assert "Yard 1, Slipway continued" in every
    assert [f"page {number} of {len(said)}" in page for number, page in enumerate(said, 1)] == [True] * len(said)


@pytest.mark.usefixtures("qapp")
def test_a_stop_without_items_at_the_end_of_a_day_has_its_lines_below_one_another() -> None:
    day = replace(whole(MONDAY), cautions=())
    pages = laid_out(replace(SHEETS, days=(day,), stops=(stop(MONDAY, 1),), items=(), kit=()))
    places = [y for page in pages.pages for y, block in page.blocks if block.high]
    assert len(set(places)) == len(places)


@pytest.mark.usefixtures("qapp")
def test_a_week_without_visits_says_so(tmp_path: Path) -> None:
    empty = DaySheets("", MONDAY, (), (), (), ())
    assert words_of(laid_out(empty), tmp_path / "sheets.pdf") == ["No visits are planned this week."]


@pytest.fixture
def planned(program: Program, desk: Desk, settled: Callable[[], None]) -> WeekPage:
    """The page with a planned week."""
    with desk.change() as change:
        keep_van(change, VanFacts("Van 1"))
    program.jobs.changed.emit()
    program.frame.go("week")
    settled()
    page = program.frame.front
    assert isinstance(page, WeekPage)
    return page


def test_the_sheets_are_seen_chosen_by_day_and_written(
    planned: WeekPage, messages: RecordedMessages, tmp_path: Path, settled: Callable[[], None], qtbot: QtBot
) -> None:
    for key, name in ((Qt.Key.Key_S, "sheets.pdf"), (Qt.Key.Key_B, "sheets.xlsx")):
        planned.desk.deeds.do("week.sheets")
        settled()
        dialog = planned.window().findChild(DayDialog)
        assert dialog is not None
        assert "1 stop on 2 pages" in dialog._said.text()
        assert dialog.file_name("pdf") == "day-sheets-2026-W49.pdf"
        messages.files = [tmp_path / name]
        with qtbot.waitSignal(dialog.finished):
            QTest.keyClick(dialog, key, Qt.KeyboardModifier.AltModifier)
        assert messages.told[-1] == f"The day sheets are in {tmp_path / name}."
        dialog.deleteLater()
        settled()
    assert openpyxl.load_workbook(tmp_path / "sheets.xlsx").sheetnames == ["Stops", "Work", "Items", "Load"]


def test_the_sheets_are_turned_by_keys(planned: WeekPage, settled: Callable[[], None], qtbot: QtBot) -> None:
    planned.desk.deeds.do("week.sheets")
    settled()
    dialog = planned.window().findChild(DayDialog)
    assert dialog is not None
    for key, page in ((Qt.Key.Key_PageDown, 2), (Qt.Key.Key_PageUp, 1)):
        with qtbot.waitSignal(dialog._turner.turned):
            QTest.keyClick(dialog, key)
        assert dialog._preview.accessibleName() == f"Page {page} of 2 as it is printed"
    dialog.reject()


def test_the_sheets_go_to_a_printer(
    planned: WeekPage, messages: RecordedMessages, tmp_path: Path, settled: Callable[[], None], qtbot: QtBot
) -> None:
    planned.desk.deeds.do("week.sheets")
    settled()
    dialog = planned.window().findChild(DayDialog)
    assert dialog is not None
    with qtbot.waitSignal(dialog._print.clicked):
        QTest.keyClick(dialog, Qt.Key.Key_P, Qt.KeyboardModifier.AltModifier)
    asked = dialog.findChild(QPrintDialog)
    assert asked is not None
    assert not asked.testOption(QPrintDialog.PrintDialogOption.PrintPageRange), "all pages are printed"
    dialog._printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    with qtbot.waitSignal(dialog.finished):
        asked.accepted.emit(dialog._printer)
    assert messages.told[-1] == "The day sheets were sent to the printer."
    document = pypdfium2.PdfDocument(tmp_path / "printed.pdf")
    assert len(document) == 2
    document.close()


class UpperHalf:
    """A page that is black in its upper half, from edge to edge."""

    count = 1

    def draw(self, painter: QPainter, _number: int) -> None:
        painter.fillRect(QRectF(0, 0, PAGE.width(), PAGE.height() / 2), QColor("black"))


def test_a_page_keeps_its_shape_on_paper_that_lies_on_its_side(tmp_path: Path, qtbot: QtBot) -> None:
    paper = QPdfWriter(str(tmp_path / "side.pdf"))
    paper.setPageLayout(QPageLayout(QPageSize(QPageSize.PageSizeId.A4), QPageLayout.Orientation.Landscape, QMarginsF()))
    printing = Printing(paper, UpperHalf(), paper)
    with qtbot.waitSignal(printing.ended):
        assert printing.begin()
    (page,) = pages_of(tmp_path / "side.pdf", 1)
    black = [page.pixelColor(x, y).value() == 0 for x, y in ((60, 10), (80, 10), (217, 10), (230, 10), (148, 110))]
    assert black == [False, True, True, False, False]


def test_one_day_alone_has_its_own_file(planned: WeekPage, program: Program, settled: Callable[[], None]) -> None:
    planned.desk.deeds.do("week.sheets")
    settled()
    dialog = program.frame.findChild(DayDialog)
    assert dialog is not None
    dialog._which.setCurrentIndex(1)
    assert dialog.file_name("pdf").startswith("day-sheet-2026-1")
    assert dialog.file_name("xlsx") == "day-sheets-2026-W49.xlsx"
    dialog.reject()


def test_sheets_are_written_without_a_window(
    register: Register, path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    today = date.today()  # noqa: DTZ011 - the command reads the clock
    desk = Desk(register, today)
    desk.site()
    desk.item("RR-1")
    with desk.change() as change:
        keep_van(change, VanFacts("Van 1"))
    pdf, week = tmp_path / "sheets.pdf", coming_week(today)
    order = ["--write", "day-sheets", "--db", str(path), "--out", str(pdf)]
    assert main(order) == 0
    assert "it is not kept: 1 sheet, 1 page in" in capsys.readouterr().out
    with desk.read() as connection:
        found = plan_week(connection, today, WeekAsk(week, effort=0))
    with desk.change() as change:
        keep_week(change, found)
    assert main(order) == 0
    assert "as it was kept" in capsys.readouterr().out
    document = pypdfium2.PdfDocument(pdf)
    assert "RR-1" in document[0].get_textpage().get_text_bounded()
    document.close()
    assert main([*order, "--week", "soon"]) == 1
    assert "is no week" in capsys.readouterr().err
    assert main(["--write", "day-sheets"]) == 1
    assert "name a register with --db and the PDF with --out" in capsys.readouterr().err
    assert main([*order[:-1], str(tmp_path / "nowhere" / "x.pdf")]) == 1
    assert "does not exist" in capsys.readouterr().err
