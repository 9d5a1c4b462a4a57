"""Turns the pages of a preview, one at a time."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QWidget

from ui.look.widgets import Words, button


class PageTurner(QWidget):
    """Two buttons, which PgUp and PgDown press too, and beside them which page is in front.

    `turned` is emitted when the user turned to another page, not when other pages are given.
    """

    turned = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._page = self._count = 0
        self._earlier, self._next = button("Earlier", name="Earlier page"), button("Next", name="Next page")
        self._earlier.setShortcut("PgUp")
        self._next.setShortcut("PgDown")
        self._at = Words("", 12, 400, "ink3")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(self._earlier)
        row.addWidget(self._next)
        row.addWidget(self._at, 1)
        self._earlier.clicked.connect(partial(self._turn, -1))
        self._next.clicked.connect(partial(self._turn, 1))
        self._show()

    @property
    def page(self) -> int:
        """Which page is in front, from 0."""
        return self._page

    @property
    def said(self) -> str:
        """Which page of the preview is seen, for those who only hear it."""
        return f"{self._at.text()} as it is printed" if self._count else "No page to show"

    def begin(self, count: int) -> None:
        """Have so many pages to turn, from the first on; none where there is nothing to show."""
        self._page, self._count = 0, count
        self._show()

    def _turn(self, way: int) -> None:
        self._page += way
        self._show()
        self.turned.emit()

    def _show(self) -> None:
        self._earlier.setEnabled(self._page > 0)
        self._next.setEnabled(self._page + 1 < self._count)
        self._at.say(f"Page {self._page + 1} of {self._count}" if self._count else "")
