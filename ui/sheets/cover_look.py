"""The cover of a report as it is printed, beside what is chosen for it."""

from typing import Final

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from register.exchange.workbook.told import Told
from ui.asking.dialog import AROUND
from ui.look import draw
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Painted
from ui.paper.printing import PAGE
from ui.sheets.report_paper import ReportPages

MOST: Final = 540
LEAST: Final = 200
"""How high the page is at most, and at least: a smaller one says nothing and is left out."""

REST: Final = 290
"""What the title, the fields and the buttons take of the dialog's height."""


class CoverLook(Painted):
    """The first page; white until `show_cover` says what stands on it."""

    def __init__(self, window: QWidget) -> None:
        high = min(px(MOST), window.height() - AROUND - px(REST))
        super().__init__(self._draw, size=QSize(max(1, round(high * PAGE.width() / PAGE.height())), max(1, high)))
        self._pages: ReportPages | None = None
        self.fits = high >= px(LEAST)
        self.setVisible(self.fits)
        self.show_cover(None)

    def show_cover(self, told: Told | None) -> None:
        """Draw another cover; None where it is not known yet."""
        self._pages = ReportPages(told) if told is not None and self.fits else None
        self.setAccessibleName("The cover as it is printed" if self._pages is not None else "No cover to show yet")
        self.update()

    def _draw(self, painter: QPainter, place: QRectF) -> None:
        draw.box(painter, place, "#FFFFFF", colours().rule, 2)
        if self._pages is not None:
            painter.scale(place.width() / PAGE.width(), place.height() / PAGE.height())
            self._pages.draw(painter, 0)
