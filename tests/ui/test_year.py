"""A year ahead in the window: the skyline and its table, what would be, and on paper."""

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pypdfium2
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from register.planning.forecast import Forecast, Trip, WeekLoad
from register.services.week.visiting import VanFacts, keep_van
from tests.desk import Desk
from tests.ui.conftest import TODAY, RecordedMessages
from ui.horizon.year import Year
from ui.horizon.year_chart import Skyline, YearChart
from ui.horizon.year_dialog import YearDialog
from ui.horizon.year_paper import YearPages
from ui.look import theme
from ui.paper.printing import write_pdf
from ui.program import Program

MONDAY = date(2026, 11, 23)
ALT = Qt.KeyboardModifier.AltModifier


def weeks(*minutes: float, best: float = 60.0, crew: float = 1200.0) -> Forecast:
    """Return weeks with a trip of so many minutes each, none where it is nought."""

    def trips(monday: date, taken: float) -> tuple[Trip, ...]:
        return (Trip("YARD", monday, taken, 0, 30.0, ()),) if taken else ()

    mondays = [MONDAY + timedelta(days=7 * n) for n in range(len(minutes))]
    return Forecast(
        tuple(
            WeekLoad(day, trips(day, best), trips(day, taken), crew)
            for day, taken in zip(mondays, minutes, strict=True)
        ), 0,
    )  # fmt: skip


@pytest.fixture
def dialog(program: Program, desk: Desk, settled: Callable[[], None]) -> YearDialog:
    """The dialog over the horizon, with a van, and a site that has work within the year."""
    desk.test("RR-1", TODAY)
    desk.test("RR-2", TODAY)
    with desk.change() as change:
        keep_van(change, VanFacts("Van 1"))
    program.jobs.changed.emit()
    program.frame.go("horizon")
    settled()
    program.frame.deeds.do("year.ahead")
    settled()
    found = program.frame.findChild(YearDialog)
    assert found is not None
    return found


def test_a_week_is_told_in_words_with_what_it_is_held_against() -> None:
    now = weeks(0, 1500, 90)
    year = Year(now)
    assert year.week_words(0) == "Week 48, from 23 Nov 2026: no work; the crew has 20 h; before levelling 1 h."
    assert "25 h of work on 1 trip, about 30 min driving; the crew has 20 h, 5 h too few" in year.week_words(1)
    tried = Year(now, weeks(0, 600, 90))
    told = tried.week_words(1)
    assert told.endswith("10 h of work on 1 trip, about 30 min driving; the crew has 20 h; as it is 25 h.")
    assert [line.split(":")[0] for line in tried.lines] == ["As it is", "If so"]
    assert "1 week rises above the crew's hours, by 5 h." in tried.lines[0]


@pytest.mark.usefixtures("qapp")
def test_what_is_above_the_crews_hours_is_seen_without_colour(qtbot: QtBot) -> None:
    """In grey the strokes across tell it from plain work: both light and dark dots, where plain work has one shade."""
    chart = YearChart()
    qtbot.addWidget(chart)
    chart.resize(600, 300)
    year = Year(weeks(2400, 900, best=900))
    chart.show_year(year)
    grey = chart.grab().toImage().convertToFormat(QImage.Format.Format_Grayscale8)
    drawn = Skyline(chart.rect().toRectF(), year)

    def shades(place: int, minutes: float) -> set[int]:
        x, y = drawn.left(place) + drawn.across / 2, drawn.y(minutes)
        return {grey.pixelColor(int(x + dx), int(y + dy)).red() for dx in range(8) for dy in range(8)}

    assert len(shades(1, 500)) == 1
    assert max(shades(0, 1800)) - min(shades(0, 1800)) > 60


def test_the_weeks_are_gone_through_by_keys_and_told(dialog: YearDialog) -> None:
    chart = dialog._chart
    chart.setFocus()
    assert dialog._week.text().startswith("Week 48")
    QTest.keyClick(chart, Qt.Key.Key_Right)
    assert dialog._week.text().startswith("Week 49")
    assert chart.accessibleDescription() == dialog._week.text()
    QTest.keyClick(chart, Qt.Key.Key_End)
    assert chart.chosen == 51
    QTest.keyClick(chart, Qt.Key.Key_Home)
    QTest.keyClick(chart, Qt.Key.Key_Left)
    assert chart.chosen == 0
    QTest.mouseClick(chart, Qt.MouseButton.LeftButton, pos=QPoint(chart.width() - 20, 80))
    assert chart.chosen > 45


def test_the_table_says_the_same_and_the_chosen_week_stays_chosen(dialog: YearDialog, qtbot: QtBot) -> None:
    dialog._chart.choose(25)
    QTest.keyClick(dialog, Qt.Key.Key_T, ALT)
    table = dialog._table
    qtbot.waitUntil(table.isVisible)
    assert table.currentIndex().row() == 25
    model = table.model()
    assert model.rowCount() == 52
    assert [model.headerData(place, Qt.Orientation.Horizontal) for place in (0, 2, 7)] == [
        "Week", "Work", "Before levelling",
    ]  # fmt: skip
    qtbot.waitUntil(lambda: any(model.index(row, 3).data() for row in range(52)))  # rows come in pages
    busy = next(row for row in range(52) if model.index(row, 3).data())
    assert model.index(busy, 2).data() in dialog._year.week_words(busy)  # type: ignore[union-attr]
    table.selectRow(busy)
    assert dialog._chart.chosen == busy
    QTest.keyClick(dialog, Qt.Key.Key_T, ALT)
    qtbot.waitUntil(dialog._chart.isVisible)


def test_what_would_be_is_told_beside_what_is(dialog: YearDialog, settled: Callable[[], None]) -> None:
    before = dialog._said.text()
    assert before.startswith("As it is: ")
    assert not dialog.items.isEnabled()
    dialog.like.choose("YARD")
    settled()
    assert dialog._said.text().splitlines()[0] == before
    assert "If so: 4 trips" in dialog._said.text()
    dialog.items.setText("40")
    dialog.items.editingFinished.emit()
    settled()
    assert dialog.what_if().new_site_items == 40
    dialog.duty.choose("operating-time")
    dialog.every.choose(1)
    settled()
    assert "If so: 4 trips" not in dialog._said.text()
    dialog.vans.choose(1)
    settled()
    year = dialog._year
    assert year is not None
    assert year.weeks[3].crew_minutes == 2 * year.now.weeks[3].crew_minutes
    for choice in (dialog.like, dialog.duty):
        choice.choose(None)
    dialog.vans.choose(0)
    settled()
    assert dialog._said.text() == before


def test_a_number_of_items_that_is_none_is_said_at_its_field(dialog: YearDialog, settled: Callable[[], None]) -> None:
    dialog.like.choose("YARD")
    settled()
    for typed, why in (("many", "is no number of items"), ("0", "can't have 0 items")):
        dialog.items.setText(typed)
        dialog.items.editingFinished.emit()
        settled()
        said = [*dialog.items_field.findChildren(type(dialog._said)), dialog._wrong]
        assert any(why in words.text() for words in said), typed


def test_it_is_taken_along_with_what_was_tried(
    dialog: YearDialog, messages: RecordedMessages, tmp_path: Path, settled: Callable[[], None], qtbot: QtBot
) -> None:
    dialog.like.choose("YARD")
    settled()
    messages.files = [tmp_path / "year"]
    with qtbot.waitSignal(dialog.finished):
        QTest.keyClick(dialog, Qt.Key.Key_S, ALT)
    assert messages.told[-1] == f"The year ahead is in {tmp_path / 'year.pdf'}."
    document = pypdfium2.PdfDocument(tmp_path / "year.pdf")
    said = " ".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()
    assert "What is tried: one more site like " in said
    assert said.count("2027") > 20


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("count", [1, 52, 104])
def test_every_week_is_on_paper_once(tmp_path: Path, count: int) -> None:
    pages = YearPages(Year(weeks(*[90.0] * count)), "Bay Testing", MONDAY, "")
    write_pdf(tmp_path / "year.pdf", pages, "A year ahead")
    document = pypdfium2.PdfDocument(tmp_path / "year.pdf")
    assert len(document) == pages.count
    said = "\n".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()
    assert sum(line.strip() == "1 h 30" or "1 h 30 1 30 min" in line for line in said.splitlines()) >= 1
    for place in range(count):
        day = MONDAY + timedelta(days=7 * place)
        assert f"{day.day} {day:%b} {day.year}" in said


@pytest.mark.usefixtures("qapp")
def test_paper_is_light_whatever_the_window_wears() -> None:
    pages = YearPages(Year(weeks(90.0, 2000.0)), "Bay Testing", MONDAY, "")

    def drawn() -> QImage:
        image = QImage(595, 842, QImage.Format.Format_RGB32)
        image.fill(Qt.GlobalColor.white)
        painter = QPainter(image)
        pages.draw(painter, 0)
        painter.end()
        return image

    light = drawn()
    theme.theme.tokens = theme.DARK
    try:
        assert drawn() == light
    finally:
        theme.theme.tokens = theme.LIGHT
