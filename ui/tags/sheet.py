"""Tags laid out on their labels, page by page: one drawing for preview, paper, PDF and pictures."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter, QPen

from register.domain.tag_face import Face
from register.domain.tag_stock import Spot, Stock
from ui.tags.code import DOT
from ui.tags.face import check_face, draw_face

PRINTER: Final = 1 / DOT
"""Dots to the mm of a label printer of 203 dpi."""


@dataclass(frozen=True, slots=True)
class Sheets:
    """Tags with the place of each. `pages` holds for each page the tags that stand on it."""

    stock: Stock
    pages: tuple[tuple[tuple[Face, Spot], ...], ...]

    @property
    def count(self) -> int:
        """How many tags there are."""
        return sum(map(len, self.pages))


def laid_out(faces: Sequence[Face], stock: Stock, *, start: int = 1, nudge: tuple[float, float] = (0.0, 0.0)) -> Sheets:
    """Put tags on labels, the first at place `start` of the first sheet, all of them nudged by so many mm.

    Refused where a label is too small for a tag, or the start is beyond the sheet.
    """
    pages: dict[int, list[tuple[Face, Spot]]] = defaultdict(list)
    size = QRectF(0, 0, stock.width, stock.height)
    for face, spot in zip(faces, stock.spots(len(faces), start=start, nudge=nudge), strict=True):
        check_face(face, size)
        pages[spot.page].append((face, spot))
    return Sheets(stock, tuple(tuple(pages[number]) for number in sorted(pages)))


def draw_page(painter: QPainter, sheets: Sheets, number: int) -> None:
    """Draw one page, counted from 0; the painter's unit is a mm, its origin the page's corner."""
    for face, spot in sheets.pages[number]:
        draw_face(painter, face, QRectF(spot.x, spot.y, sheets.stock.width, sheets.stock.height))


def draw_outlines(painter: QPainter, stock: Stock, start: int, colour: str) -> None:
    """Draw where labels are, those before the start crossed: for the eye alone, never printed."""
    for place, spot in enumerate(stock.spots(stock.on_a_sheet), start=1):
        label = QRectF(spot.x, spot.y, stock.width, stock.height)
        painter.setPen(QPen(QColor(colour), 0.25))
        painter.drawRoundedRect(label.adjusted(0.15, 0.15, -0.15, -0.15), 1.2, 1.2)
        if place < start:
            painter.drawLine(label.bottomLeft(), label.topRight())


def picture(sheets: Sheets, number: int, dots: float = PRINTER) -> QImage:
    """Return a page as a picture with so many dots to the mm."""
    size = sheets.stock
    image = QImage(round(size.page_width * dots), round(size.page_height * dots), QImage.Format.Format_RGB32)
    image.fill(QColor("#FFFFFF"))
    painter = QPainter(image)
    painter.scale(dots, dots)
    draw_page(painter, sheets, number)
    painter.end()
    return image
