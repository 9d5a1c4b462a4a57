"""A page of tags as it is printed, with the outlines of the labels for the eye."""

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter

from register.domain.tag_stock import Stock
from ui.look import draw
from ui.look.theme import LIGHT, colours
from ui.look.widgets import Painted
from ui.tags.sheet import Sheets, draw_outlines, draw_page


class Preview(Painted):
    """Shows one page. Paper is white in every colour of the window."""

    def __init__(self, size: QSize) -> None:
        super().__init__(self._draw, size=size)
        self._stock: Stock | None = None
        self._sheets: Sheets | None = None
        self._page, self._start = 0, 1

    def show_page(self, stock: Stock, sheets: Sheets | None, page: int, start: int) -> None:
        """Show a page of tags, or without any the empty labels; those before `start` are crossed on the first."""
        self._stock, self._sheets, self._page, self._start = stock, sheets, page, min(start, stock.on_a_sheet)
        self.update()

    def _draw(self, painter: QPainter, place: QRectF) -> None:
        stock = self._stock
        if stock is None:
            return
        scale = min((place.width() - 2) / stock.page_width, (place.height() - 2) / stock.page_height)
        page = QRectF(1, 1, stock.page_width * scale, stock.page_height * scale)
        draw.box(painter, page.adjusted(-1, -1, 1, 1), "#FFFFFF", colours().rule, 2)
        painter.translate(page.topLeft())
        painter.scale(scale, scale)
        draw_outlines(painter, stock, self._start if self._page == 0 else 1, LIGHT.rule)
        if self._sheets is not None and self._sheets.pages:
            draw_page(painter, self._sheets, self._page)
