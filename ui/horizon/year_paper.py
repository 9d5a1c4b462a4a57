"""A year of weeks on paper: the skyline, what it comes to, and every week in figures."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from register.services.week.forecast_text import hours_words
from ui.dates import shown
from ui.horizon.year import Year
from ui.horizon.year_chart import Skyline
from ui.look import draw
from ui.look.theme import LIGHT
from ui.paper.drawing import ACROSS, MARGIN, lines_of, on_paper
from ui.paper.printing import PAGE

CHART: Final = 210.0
SCALE: Final = 0.75
"""The skyline has the lettering of the screen, which is large beside that of the table."""

ROW: Final = 14.0
TOP: Final = 60.0
BOTTOM: Final = 842 - 46.0
COLUMNS: Final = (
    ("Week", draw.LEFT, 0.0), ("From", draw.LEFT, 50.0), ("Work", draw.RIGHT, 190.0), ("Trips", draw.RIGHT, 240.0),
    ("Driving", draw.RIGHT, 310.0), ("Crew", draw.RIGHT, 375.0), ("Too few", draw.RIGHT, 440.0),
    ("", draw.RIGHT, ACROSS),
)  # fmt: skip
"""The columns: words begin, figures end where they say. The last is what the weeks are held against."""

CELL: Final = 110.0


@dataclass(frozen=True, slots=True)
class YearPages:
    """A year laid out. `asked` says what is tried, empty where it is the year as it is."""

    year: Year
    firm: str
    today: date
    asked: str

    @property
    def count(self) -> int:
        """How many pages there are."""
        return 1 + max(0, -(-(len(self.year.weeks) - self._on_first) // self._on_later))

    @property
    def _on_first(self) -> int:
        return int((BOTTOM - self._table_top) // ROW) - 1

    @property
    def _on_later(self) -> int:
        return int((BOTTOM - TOP) // ROW) - 1

    @property
    def _table_top(self) -> float:
        return 92 + 14.0 * len(self._said()) + 10 + CHART + 14

    def _said(self) -> list[str]:
        told = [self.asked, *self.year.lines] if self.asked else list(self.year.lines)
        with on_paper():
            return [line for said in told for line in lines_of(said, ACROSS, 10)]

    def draw(self, painter: QPainter, number: int) -> None:
        """Draw one page, counted from 0, in points."""
        with on_paper():
            top = TOP
            first = 0 if number == 0 else self._on_first + (number - 1) * self._on_later
            if number == 0:
                self._head(painter)
                top = self._table_top
            rows = range(first, min(len(self.year.weeks), first + (self._on_later if number else self._on_first)))
            self._table(painter, top, rows)
            foot = QRectF(MARGIN, PAGE.height() - 34, ACROSS, 12)
            draw.text(painter, foot, f"Page {number + 1} of {self.count}", 9, 400, LIGHT.ink3, draw.RIGHT)
            said = "Worked out from the dates, minutes and vans in the register; nothing is planned by it."
            draw.text(painter, foot.adjusted(0, 0, -80, 0), said, 9, 400, LIGHT.ink3)

    def _head(self, painter: QPainter) -> None:
        top = QRectF(MARGIN, 32, ACROSS, 14)
        draw.text(painter, top.adjusted(0, 0, -ACROSS / 2, 0), self.firm, 10, 500, LIGHT.ink2)
        draw.text(painter, top, f"As at {shown(self.today)}", 10, 400, LIGHT.ink2, draw.RIGHT)
        draw.text(painter, QRectF(MARGIN, 50, ACROSS, 26), "A year ahead", 20, 600)
        lines = self._said()
        for place, said in enumerate(lines):
            line = QRectF(MARGIN, 82 + 14.0 * place, ACROSS, 14)
            draw.text(painter, line, said, 10, 400, LIGHT.ink2, elide=False)
        painter.save()
        painter.translate(MARGIN, 92 + 14.0 * len(lines))
        painter.scale(SCALE, SCALE)
        Skyline(QRectF(0, 0, ACROSS / SCALE, CHART / SCALE), self.year).draw(painter)
        painter.restore()

    def _table(self, painter: QPainter, top: float, rows: range) -> None:
        beside = self.year.beside_name.capitalize()
        _row(painter, top, [said or beside for said, _, _ in COLUMNS], 600)
        draw.across(painter, MARGIN, MARGIN + ACROSS, top + ROW - 1, LIGHT.rule)
        for line, place in enumerate(rows, 1):
            y = top + line * ROW
            above = self.year.weeks[place].above >= 1
            _row(painter, y, cells_of(self.year, place), 600 if above else 400)
            draw.across(painter, MARGIN, MARGIN + ACROSS, y + ROW - 1, LIGHT.hair)


def cells_of(year: Year, place: int) -> list[str]:
    """Return the figures of a week in the order of the columns."""
    week = year.weeks[place]
    return [
        f"{week.monday.isocalendar().week}", shown(week.monday), hours_words(week.minutes) if week.level else "",
        f"{len(week.level)}" if week.level else "", hours_words(week.drive) if week.level else "",
        hours_words(week.crew_minutes), hours_words(week.above) if week.above >= 1 else "",
        hours_words(year.beside(place)) if year.beside(place) >= 1 else "",
    ]  # fmt: skip


def _row(painter: QPainter, y: float, cells: list[str], weight: int) -> None:
    for said, (_, align, at) in zip(cells, COLUMNS, strict=True):
        left = MARGIN + at - (CELL if align is draw.RIGHT else 0)
        draw.text(painter, QRectF(left, y, CELL, ROW), said, 9, weight, None, align)
