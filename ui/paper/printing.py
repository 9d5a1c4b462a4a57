"""Puts pages on paper or into a PDF, one page at a time, so that the window stays alive."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final, Protocol

from PySide6.QtCore import QMarginsF, QObject, QSizeF, Qt, QTimer, Signal
from PySide6.QtGui import QPagedPaintDevice, QPageLayout, QPageSize, QPainter
from PySide6.QtWidgets import QWidget

from register.errors import Refused, Unavailable
from ui.paper.pdf import Pdf

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter

PAGE: Final = QSizeF(595, 842)
"""A4 in points, the unit in which a page is drawn."""


class Pages(Protocol):
    """What is laid out on pages."""

    @property
    def count(self) -> int:
        """How many pages there are, at least one; as pages are drawn there may turn out to be more."""

    def draw(self, painter: QPainter, number: int) -> None:
        """Draw one page, counted from 0, in points."""


class Printing(QObject):
    """Draws page after page. Signals: `page_done` with how many are drawn, `ended` with whether all of them are."""

    page_done = Signal(int)
    ended = Signal(bool)

    def __init__(self, device: QPagedPaintDevice, pages: Pages, parent: QObject) -> None:
        super().__init__(parent)
        self._device, self._pages, self._next = device, pages, 0
        self._painter = QPainter()
        self._timer = QTimer(self, interval=0)
        self._timer.timeout.connect(self._draw_next)

    def begin(self) -> bool:
        """Begin; False where nothing can be drawn on the device."""
        if not self._painter.begin(self._device):
            return False
        self._timer.start()
        return True

    def stop(self) -> None:
        """Stop where it is."""
        self._finish(whole=False)

    def _draw_next(self) -> None:
        if self._next and not self._device.newPage():
            self._finish(whole=False)
            return
        _draw_page(self._painter, self._device, self._pages, self._next)
        self._next += 1
        self.page_done.emit(self._next)
        if self._next >= self._pages.count:
            self._finish(whole=True)

    def _finish(self, *, whole: bool) -> None:
        if self._painter.isActive():
            self._timer.stop()
            self._painter.end()
            self.ended.emit(whole)


class PdfFile(QObject):
    """A PDF being drawn, and put in its place whole when all pages are.

    Signals as those of `Printing`, `ended` only once the file stands in its place, or `refused` with why it doesn't.
    """

    page_done = Signal(int)
    ended = Signal(bool)

    refused = Signal(object)

    def __init__(self, path: Path, pages: Pages, title: str, parent: QObject) -> None:
        super().__init__(parent)
        self._pdf = _begun(path, title)
        self._printing = Printing(self._pdf.writer, pages, self)
        self._printing.page_done.connect(self.page_done)
        self._printing.ended.connect(self._put)
        self._printing.begin()

    def stop(self) -> None:
        """Stop, and leave an earlier file as it was."""
        self._printing.stop()

    def _put(self, whole: bool) -> None:  # noqa: FBT001 - a signal's
        try:
            if whole:
                self._pdf.put()
        except (Refused, Unavailable) as reason:
            self.refused.emit(reason)
        else:
            self.ended.emit(whole)


def write_pdf(path: Path, pages: Pages, title: str) -> None:
    """Write a PDF at once, where no window has to stay alive; whole or not at all, Refused or Unavailable then."""
    pdf = _begun(path, title)
    painter = QPainter(pdf.writer)
    number = 0
    while number < pages.count:  # which may grow
        if number:
            pdf.writer.newPage()
        _draw_page(painter, pdf.writer, pages, number)
        number += 1
    painter.end()
    pdf.put()


def _begun(path: Path, title: str) -> Pdf:
    pdf = Pdf(path, title)
    full_page(pdf.writer)
    return pdf


def _draw_page(painter: QPainter, device: QPagedPaintDevice, pages: Pages, number: int) -> None:
    painter.save()
    size = device.pageLayout().paintRectPixels(device.logicalDpiX()).size()
    fit = min(size.width() / PAGE.width(), size.height() / PAGE.height())  # other paper, or one on its side
    painter.translate((size.width() - fit * PAGE.width()) / 2, (size.height() - fit * PAGE.height()) / 2)
    painter.scale(fit, fit)
    pages.draw(painter, number)
    painter.restore()


def ask_printer(printer: "QPrinter", over: QWidget, then: Callable[[], None]) -> None:
    """Ask over a dialog where and how it is to be printed, and set the printer so; nothing follows where it is left."""
    from PySide6.QtPrintSupport import QAbstractPrintDialog, QPrintDialog

    def go_on(_printer: "QPrinter") -> None:  # which Qt would hand to `then` as well
        then()

    asked = QPrintDialog(printer, over)
    asked.setOption(QAbstractPrintDialog.PrintDialogOption.PrintPageRange, on=False)  # all pages are printed
    asked.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    asked.accepted.connect(go_on)
    asked.setModal(True)
    asked.show()


def full_page(device: QPagedPaintDevice) -> None:
    """Set a device to A4; the pages keep margins of their own."""
    layout = QPageLayout(
        QPageSize(QPageSize.PageSizeId.A4), QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0),
        QPageLayout.Unit.Point,
    )  # fmt: skip
    device.setPageLayout(layout)
