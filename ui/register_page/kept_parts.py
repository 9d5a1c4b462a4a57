"""The parts of an item's card that tell of its troubles: photos of it out of service, and repairs."""

from collections.abc import Sequence
from typing import Final

from PySide6.QtWidgets import QLayout, QWidget

from register.services.item_card import ItemCard
from register.services.photos import Shown
from register.services.repairs import Repair
from ui.asking.photo_view import PhotoButton, caption
from ui.dates import shown
from ui.look.widgets import Words
from ui.register_page.card_parts import stacked
from ui.register_page.prose import Prose

ACROSS: Final = 350
TALLEST: Final = 240


class PhotoView(PhotoButton):
    """A photo as wide as the card, or as high as it may be."""

    def __init__(self, photo: Shown, tag: str) -> None:
        super().__init__()
        self.show_photo(photo, f"Photo of {tag}")
        self.shrink_to(ACROSS, TALLEST)


def photos_now(card: ItemCard) -> tuple[Shown, ...]:
    """Return the photos that show why an item is out of service at present."""
    out = card.withdrawal
    return () if out is None else tuple(each for each in card.photos if each.on >= out.since)


def photos_before(card: ItemCard) -> tuple[Shown, ...]:
    """Return the photos of earlier times out of service."""
    now = photos_now(card)
    return tuple(each for each in card.photos if each not in now)


def photos_part(photos: Sequence[Shown], tag: str) -> QLayout:
    """Return photos of an item one below the other, each with its day and who added it."""
    parts: list[QWidget | QLayout] = [
        stacked(PhotoView(each, tag), Words(caption(each), 11, 400, "ink3", wrap=True), gap=4) for each in photos
    ]
    return stacked(*parts, gap=12)


def repairs_part(repairs: Sequence[Repair]) -> QLayout:
    """Return what was repaired on which day, by whom."""
    return stacked(*(Prose(f"{shown(each.on)}: {each.what.rstrip('.')}, by {each.by}.") for each in repairs), gap=6)
