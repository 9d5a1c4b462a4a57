"""Tags into a PDF or onto a printer, at their true size, and the page by which that is measured."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6.QtCore import QMarginsF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QPagedPaintDevice, QPageLayout, QPageSize, QPainter, QPen

from register.domain.tag_stock import Stock
from ui.paper.pdf import Pdf
from ui.tags.lettering import fitted, letter, shortened
from ui.tags.sheet import Sheets, draw_outlines, draw_page

RULER_MM: Final = 50
ACTUAL_SIZE: Final = "Print at actual size (100 %), never fitted to the page."
DrawPage = Callable[[QPainter, int], None]


def write_pdf(path: Path, sheets: Sheets, title: str) -> None:
    """Write tags as a PDF, whole or not at all; refused or Unavailable where that can't be done."""
    _write(path, sheets.stock, title, len(sheets.pages), lambda painter, number: draw_page(painter, sheets, number))


def write_test_page(path: Path, stock: Stock, nudge: tuple[float, float]) -> None:
    """Write one page with a ruler and the outlines of the labels, to be laid over a sheet of them."""
    _write(path, stock, "Test page for tags", 1, lambda painter, _number: draw_test_page(painter, stock, nudge))


def print_pages(device: QPagedPaintDevice, sheets: Sheets) -> bool:
    """Print tags; False where the printer can't be begun or a page can't."""
    return _draw(device, sheets.stock, len(sheets.pages), lambda painter, number: draw_page(painter, sheets, number))


def _write(path: Path, stock: Stock, title: str, count: int, draw: DrawPage) -> None:
    pdf = Pdf(path, title)
    _draw(pdf.writer, stock, count, draw)
    pdf.put()


def _draw(device: QPagedPaintDevice, stock: Stock, count: int, draw: DrawPage) -> bool:
    """Draw pages of a stock at their true size on a device."""
    full_page(device, stock)
    painter = QPainter()
    if not painter.begin(device):
        return False
    for number in range(count):
        if number and not device.newPage():
            painter.end()
            return False
        painter.save()
        painter.scale(device.logicalDpiX() / _MM_IN_INCH, device.logicalDpiY() / _MM_IN_INCH)
        draw(painter, number)
        painter.restore()
    return painter.end()


_MM_IN_INCH: Final = 25.4


def full_page(device: QPagedPaintDevice, stock: Stock) -> None:
    """Set a device to the page of a stock, without margins: places are measured from the page's edge."""
    size = QPageSize(
        QSizeF(stock.page_width, stock.page_height), QPageSize.Unit.Millimeter, "", QPageSize.SizeMatchPolicy.FuzzyMatch
    )  # fmt: skip
    layout = QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF(), QPageLayout.Unit.Millimeter)
    layout.setMode(QPageLayout.Mode.FullPageMode)
    device.setPageLayout(layout)


def draw_test_page(painter: QPainter, stock: Stock, nudge: tuple[float, float] = (0.0, 0.0)) -> None:
    """Draw the outlines of the labels with their places, and a ruler that shows whether the size is true."""
    painter.save()
    painter.translate(*nudge)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    draw_outlines(painter, stock, 1, "#000000")
    for place, spot in enumerate(stock.spots(stock.on_a_sheet), start=1):
        room = QRectF(spot.x + 1.5, spot.y + 1, 8, 4)
        letter(painter, room, fitted(str(place), room, 3, 500) or shortened(str(place), room, 500), 500)
    label = stock.spots(1)[0]
    long = min(RULER_MM, int((stock.width - 4) // 10 * 10))
    if stock.page_width > _WIDE_PAGE:
        long = RULER_MM
    _ruler(painter, QPointF(label.x + 2, label.y + stock.height - 6), long)
    said = f"{ACTUAL_SIZE} The line is {long} mm."
    room = QRectF(label.x + 2, label.y + 5.5, stock.width - 4, max(2.0, stock.height - 13))
    letter(painter, room, fitted(said, room, 2.6, 500) or shortened(said, room, 500), 500)
    painter.restore()


_WIDE_PAGE: Final = RULER_MM + 20


def _ruler(painter: QPainter, start: QPointF, long: int) -> None:
    painter.setPen(QPen(QColor("#000000"), 0.2, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
    painter.drawLine(start, start + QPointF(long, 0))
    for mark in range(0, long + 1, 5):
        high = 3.0 if mark % 10 == 0 else 1.8
        painter.drawLine(start + QPointF(mark, 0), start + QPointF(mark, -high))
