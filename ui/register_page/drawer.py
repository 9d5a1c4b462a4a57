"""Where the card stands: beside the list, or in a narrow window over it, as a drawer that opens and closes."""

from typing import Final

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QHBoxLayout, QWidget

from ui.look.typeface import px

BELOW: Final = 1200
"""In a narrower window the card is a drawer."""
GAP: Final = 8


class Drawer(QObject):
    """Arranges a page of a main part and a card, whenever the page gets another size."""

    def __init__(self, page: QWidget, row: QHBoxLayout, card: QWidget) -> None:
        super().__init__(page)
        self._page, self._row, self._card = page, row, card
        self.narrow = False
        row.addWidget(card)
        page.installEventFilter(self)
        self._arrange()

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """Arrange the page anew when it gets another size."""
        if event.type() is QEvent.Type.Resize:
            self._arrange()
        return False

    @property
    def is_open(self) -> bool:
        """Whether the card lies over the list."""
        return self.narrow and self._card.isVisible()

    def open(self) -> None:
        """Bring the card into sight."""
        if self.narrow:
            self._place()
            self._card.show()
            self._card.raise_()

    def close(self) -> None:
        """Take the card from over the list."""
        if self.narrow:
            self._card.hide()

    def _arrange(self) -> None:
        narrow = self._page.width() < px(BELOW)
        edge = 16 if narrow else 24
        self._row.setContentsMargins(edge, 16, edge, 16)
        if narrow and not self.narrow:
            self._row.removeWidget(self._card)
            self._card.hide()
        elif self.narrow and not narrow:
            self._row.addWidget(self._card)
            self._card.show()
        self.narrow = narrow
        if narrow:
            self._place()

    def _place(self) -> None:
        left = self._page.width() - self._card.width() - GAP
        self._card.setGeometry(left, GAP, self._card.width(), self._page.height() - 2 * GAP)
