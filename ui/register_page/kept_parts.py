"""The parts of an item's card that tell of its troubles: photos of it out of service, and repairs."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QLayout, QWidget

from register.services.item_card import ItemCard
from register.services.photos import Shown
from register.services.repairs import Repair
from ui.asking.photo import draw_picture, image_of
from ui.dates import shown
from ui.look import draw
from ui.look.theme import colours, theme
from ui.look.typeface import px
from ui.look.widgets import Words
from ui.register_page.card_parts import stacked
from ui.register_page.prose import Prose

ACROSS: Final = 350
TALLEST: Final = 240
_KEEP: Final = Qt.AspectRatioMode.KeepAspectRatio


class PhotoView(QWidget):
    """A photo as wide as the card, or as high as it may be."""

    def __init__(self, photo: Shown) -> None:
        super().__init__()
        self._image = image_of(photo.content)
        self.setAccessibleName(caption(photo))
        size = self._image.size().scaled(px(ACROSS), px(TALLEST), _KEEP) if not self._image.isNull() else QSize()
        self.setFixedSize(max(px(40), size.width()), max(px(4), size.height()))
        theme.changed.connect(self.update)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, place = QPainter(self), QRectF(self.rect())
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        draw_picture(painter, place, self._image)
        draw.box(painter, place, None, colours().hair, 4)
        painter.end()


def caption(photo: Shown) -> str:
    """Return what stands below a photo."""
    return f"Taken out of service on {shown(photo.on)}; photo by {photo.by}."


def photos_now(card: ItemCard) -> tuple[Shown, ...]:
    """Return the photos that show why an item is out of service at present."""
    out = card.withdrawal
    return () if out is None else tuple(each for each in card.photos if each.on >= out.since)


def photos_before(card: ItemCard) -> tuple[Shown, ...]:
    """Return the photos of earlier times out of service."""
    now = photos_now(card)
    return tuple(each for each in card.photos if each not in now)


def photos_part(photos: Sequence[Shown]) -> QLayout:
    """Return photos one below the other, each with its day and who added it."""
    parts: list[QWidget | QLayout] = [
        stacked(PhotoView(each), Words(caption(each), 11, 400, "ink3", wrap=True), gap=4) for each in photos
    ]
    return stacked(*parts, gap=12)


def repairs_part(repairs: Sequence[Repair]) -> QLayout:
    """Return what was repaired on which day, by whom."""
    return stacked(*(Prose(f"{shown(each.on)}: {each.what.rstrip('.')}, by {each.by}.") for each in repairs), gap=6)
