"""What the sections of the page have in common: a head with its one primary deed, and reading only what is in front."""

from collections.abc import Callable, Sequence
from typing import Final, TypeVar

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from register.store.engine import Change
from ui.asking.carrying_out import carry_out
from ui.asking.dialog import Dialog
from ui.firm.empty import Empty
from ui.firm.lists import Shelf
from ui.look.widgets import Sheet, Words, button
from ui.page import Desk

_Answer = TypeVar("_Answer")
GAP: Final = 8
LARGE: Final = 800
"""In a narrower window, or in larger type, only what is needed has room."""


class Section(QWidget):
    """One section. It reads the register when it comes to the front and something changed since."""

    key = ""
    title = ""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self.stale = True
        self.dialog: Dialog | None = None
        self.about = Words("", 13, 400, "ink2", elide=True)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(14)

    def head(self, *buttons: QPushButton) -> None:
        """Put the title and the deeds of the section above everything."""
        row = QHBoxLayout()
        row.setSpacing(GAP)
        row.setContentsMargins(0, 0, 0, 0)
        self._title, self._buttons = Words(self.title, 20, 600), buttons
        self._title.setFixedHeight(button("").sizeHint().height())
        row.addWidget(self._title)
        row.addSpacing(GAP)
        row.addWidget(self.about, 1)
        for each in buttons:
            row.addWidget(each)
        self.column.addLayout(row)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Leave out the title where the deeds need its room: it stands at the left as well."""
        super().resizeEvent(event)
        needed = sum(each.sizeHint().width() + GAP for each in (self._title, *self._buttons)) + GAP
        self._title.setVisible(needed <= self.width())

    def come(self) -> None:
        """Come to the front."""
        if self.stale:
            self.stale = False
            self.refresh()

    def refresh(self) -> None:
        """Read from the register all that the section shows."""
        raise NotImplementedError

    def fit(self, across: int, *, narrow: bool) -> None:
        """Fit a page of this width, on a narrow or a wide window."""

    def open(self, dialog: Dialog) -> None:
        """Ask something over the window, all of which changes the register."""
        if self.desk.deeds.only_looking:
            self.desk.messages.tell(self.desk.deeds.only_looking)
            dialog.deleteLater()
            return
        self.dialog = dialog
        dialog.finished.connect(self._closed)
        dialog.open()

    def carry_out(self, deed: Callable[[Change], _Answer], then: Callable[[_Answer], None]) -> None:
        """Do what the dialog asks; it can be cancelled there, and where it is refused, what was typed stays."""
        carry_out(self.desk, self.dialog, deed, then)

    def known(self, version: int) -> int:
        """Return the version that whoever saves knows of, once he was told that somebody else made another."""
        return version if self.dialog is None else self.dialog.known(version)

    def _closed(self, _how: int) -> None:
        self.dialog = None


def point_at(widget: QWidget) -> None:
    """Put the cursor into a field, and the field into sight."""
    widget.setFocus()
    around = widget.parentWidget()
    while around is not None:
        if isinstance(around, QScrollArea):
            around.ensureWidgetVisible(widget)
        around = around.parentWidget()


def scrolled(inside: QWidget) -> QScrollArea:
    """Return what scrolls where there is no room for all of it."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setStyleSheet("QScrollArea { background: transparent; }")
    area.viewport().setAutoFillBackground(False)
    inside.setAutoFillBackground(False)
    area.setWidget(inside)
    return area


def joined(parts: Sequence[str]) -> str:
    """Return the parts that say something, parted by points."""
    return " · ".join(part for part in parts if part)


def listed(title: str, about: Words, empty: Empty, shelf: Shelf, buttons: tuple[QPushButton, ...]) -> QWidget:
    """Return a sheet with a title, a list or what stands where it is empty, and the deeds of the list."""
    sheet = Sheet()
    column, head = QVBoxLayout(sheet), QHBoxLayout()
    column.setContentsMargins(1, 10, 1, 4)
    column.setSpacing(8)
    head.setContentsMargins(16, 0, 12, 0)
    head.setSpacing(8)
    head.addWidget(Words(title, 15, 600))
    head.addWidget(about, 1)
    for each in buttons:
        head.addWidget(each)
    column.addLayout(head)
    column.addWidget(shelf.view, 1)
    column.addWidget(empty, 1)
    return sheet
