"""Shows pages as they are printed, beside what is asked about them: what all dialogs about paper have in common."""

from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from ui.asking.dialog import AROUND
from ui.look import draw
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Painted
from ui.page import Desk
from ui.paper.printing import PAGE, Pages
from ui.paper.taking import TakingDialog
from ui.paper.turning import PageTurner

WIDE: Final = 860
PREVIEW: Final = 540
"""How high a page of the preview is at most."""

REST: Final = 190
"""What the title and the buttons take of the dialog's height."""


class PaperDialog(TakingDialog):
    """The dialog: a preview, and on its right what is asked, the turning of pages and the ways to take them along."""

    def __init__(self, window: QWidget, desk: Desk, title: str, *, thing: str, verb: str = "is") -> None:
        super().__init__(window, desk, title, thing=thing, verb=verb, wide=WIDE)
        self._turner = PageTurner()
        high = min(px(PREVIEW), window.height() - AROUND - px(REST))
        self._preview = Painted(self._draw, size=QSize(round(high * PAGE.width() / PAGE.height()), high))
        self._turner.turned.connect(self._show_page)

    def lay_out(self, asked: list[QWidget], ways: list[QPushButton], hint: str) -> None:
        """Put what is asked beside the preview, and further ways to take the pages along above printing."""
        right = QVBoxLayout()
        right.setSpacing(16)
        for each in (*asked, self._said):
            right.addWidget(each)
        right.addWidget(self._turner)
        right.addStretch(1)
        for way in (*ways, self._print):
            right.addWidget(way)
        row = QHBoxLayout()
        row.setSpacing(24)
        row.addWidget(self._preview, 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(right, 1)
        self.body.addLayout(row)
        self.take_along(hint)

    def show_pages(self, pages: Pages | None) -> None:
        """Show pages from the first on; None where there are none to show."""
        self._turner.begin(pages.count if pages is not None else 0)
        super().show_pages(pages)
        self._show_page()

    def _show_page(self) -> None:
        self._preview.setAccessibleName(self._turner.said)
        self._preview.update()

    def _draw(self, painter: QPainter, place: QRectF) -> None:
        draw.box(painter, place, "#FFFFFF", colours().rule, 2)
        if self._pages is not None:
            painter.scale(place.width() / PAGE.width(), place.height() / PAGE.height())
            self._pages.draw(painter, self._turner.page)
