"""Shows pages as they are printed, beside what is asked about them: what all dialogs about paper have in common."""

from functools import partial
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from ui.asking.dialog import AROUND
from ui.look import draw
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Painted, Words, button
from ui.page import Desk
from ui.paper.printing import PAGE, Pages
from ui.paper.taking import TakingDialog

WIDE: Final = 860
PREVIEW: Final = 540
"""How high a page of the preview is at most."""

REST: Final = 190
"""What the title and the buttons take of the dialog's height."""


class PaperDialog(TakingDialog):
    """The dialog. Its pages are turned by their buttons, or PgUp and PgDown."""

    def __init__(self, window: QWidget, desk: Desk, title: str, *, thing: str, verb: str = "is") -> None:
        super().__init__(window, desk, title, thing=thing, verb=verb, wide=WIDE)
        self._page = 0
        self._earlier, self._later = button("Earlier", name="Earlier page"), button("Next", name="Next page")
        self._earlier.setShortcut("PgUp")
        self._later.setShortcut("PgDown")
        self._at = Words("", 12, 400, "ink3")
        high = min(px(PREVIEW), window.height() - AROUND - px(REST))
        self._preview = Painted(self._draw, size=QSize(round(high * PAGE.width() / PAGE.height()), high))
        self._earlier.clicked.connect(partial(self._turn, -1))
        self._later.clicked.connect(partial(self._turn, 1))

    def lay_out(self, asked: list[QWidget], ways: list[QPushButton], hint: str) -> None:
        """Put what is asked beside the preview, and further ways to take the pages along above printing."""
        turn = QHBoxLayout()
        turn.setSpacing(8)
        for widget in (self._earlier, self._later):
            turn.addWidget(widget)
        turn.addWidget(self._at, 1)
        right = QVBoxLayout()
        right.setSpacing(16)
        for each in (*asked, self._said):
            right.addWidget(each)
        right.addLayout(turn)
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
        self._page = 0
        super().show_pages(pages)

    def enable(self) -> None:
        """Turning a page needs one to turn to."""
        super().enable()
        pages = self._pages
        count = pages.count if pages is not None else 0
        self._earlier.setEnabled(self._page > 0)
        self._later.setEnabled(self._page + 1 < count)
        self._at.say(f"Page {self._page + 1} of {count}" if count else "")
        said = f"Page {self._page + 1} of {count} as it is printed" if count else "No page to show"
        self._preview.setAccessibleName(said)
        self._preview.update()

    def _turn(self, way: int) -> None:
        self._page += way
        self.enable()

    def _draw(self, painter: QPainter, place: QRectF) -> None:
        draw.box(painter, place, "#FFFFFF", colours().rule, 2)
        if self._pages is not None:
            painter.scale(place.width() / PAGE.width(), place.height() / PAGE.height())
            self._pages.draw(painter, self._page)
