"""The photos of the item under the cursor, below the list; nothing where it has none."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from register.services.photos import MOST, Shown
from register.services.withdrawals.listed import OutRow
from ui.asking.photo_view import PhotoButton
from ui.dates import shown
from ui.look.widgets import Sheet, Words

ACROSS, HIGH = 216, 144
NARROW_ACROSS, NARROW_HIGH = 144, 96
LOW: Final = 560
"""On a page lower than this the photos are small, so that rows of the list stay in sight."""


class PhotoStrip(QWidget):
    """Photos side by side, with what they show, a little below what is above them."""

    def __init__(self) -> None:
        super().__init__()
        self._about = Words("", 13, 600, wrap=True)
        self._more = Words("", 12, 400, "ink2", wrap=True)
        self.pictures = [PhotoButton() for _each in range(MOST)]
        sheet, outside = Sheet(), QVBoxLayout(self)
        outside.setContentsMargins(0, 8, 0, 0)
        outside.addWidget(sheet)
        said, row = QVBoxLayout(), QHBoxLayout(sheet)
        said.setSpacing(4)
        said.addWidget(self._about)
        said.addWidget(self._more)
        said.addStretch(1)
        row.setContentsMargins(16, 12, 16, 12)
        row.setSpacing(12)
        for each in self.pictures:
            row.addWidget(each)
        row.addLayout(said, 1)
        self.hide()

    def show_photos(self, row: OutRow, photos: Sequence[Shown]) -> None:
        """Show the photos of an item, those of the time it is out of service now; hide where there are none."""
        now = [each for each in photos if each.on >= row.since][:MOST]
        for place, picture in enumerate(self.pictures):
            picture.setVisible(place < len(now))
            if place < len(now):
                picture.show_photo(now[place], f"Photo {place + 1} of {row.tag}")
        self._about.say(row.detail or row.short)
        self._more.say(f"{row.tag}, {shown(row.since)}. Photo by {now[0].by}." if now else "")
        self.setVisible(bool(now))

    def fit(self, page: QWidget) -> None:
        """Take the size that goes with a page's height."""
        low = page.height() < LOW
        for each in self.pictures:
            each.resize_to(NARROW_ACROSS if low else ACROSS, NARROW_HIGH if low else HIGH)
