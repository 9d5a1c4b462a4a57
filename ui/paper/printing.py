"""Puts pages on paper or into a PDF, one page at a time, so that the window stays alive."""

from pathlib import Path
from typing import Final, Protocol

from PySide6.QtCore import QIODevice, QMarginsF, QObject, QSaveFile, QSizeF, QTimer, Signal
from PySide6.QtGui import QPagedPaintDevice, QPageLayout, QPageSize, QPainter, QPdfWriter

from register.errors import Refused, Unavailable

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
    """A PDF being written beside its place, and put there whole when all pages are drawn.

    Signals as those of `Printing`, `ended` only once the file stands in its place.
    """

    page_done = Signal(int)
    ended = Signal(bool)

    def __init__(self, path: Path, pages: Pages, title: str, parent: QObject) -> None:
        super().__init__(parent)
        self._file, self._writer = _begun(path, title)
        self._printing = Printing(self._writer, pages, self)
        self._printing.page_done.connect(self.page_done)
        self._printing.ended.connect(self._put)
        if not self._printing.begin():
            self._file.cancelWriting()
            raise _refused(path)

    def stop(self) -> None:
        """Stop, and leave an earlier file as it was."""
        self._printing.stop()

    def _put(self, whole: bool) -> None:  # noqa: FBT001 - a signal's
        if not whole:
            self._file.cancelWriting()
        self.ended.emit(self._file.commit() and whole)


def write_pdf(path: Path, pages: Pages, title: str) -> None:
    """Write a PDF at once, where no window has to stay alive; whole or not at all, Refused or Unavailable then."""
    file, writer = _begun(path, title)
    painter = QPainter()
    whole = painter.begin(writer)
    number = 0
    while whole and number < pages.count:
        whole = number == 0 or writer.newPage()
        if whole:
            _draw_page(painter, writer, pages, number)
        number += 1
    if not (painter.end() and whole):
        file.cancelWriting()
    if not file.commit():
        raise _refused(path)


def _begun(path: Path, title: str) -> tuple[QSaveFile, QPdfWriter]:
    """Return a file beside its place, and the writer of the PDF in it."""
    file = QSaveFile(str(path))
    if not file.open(QIODevice.OpenModeFlag.WriteOnly):
        raise _refused(path)
    writer = QPdfWriter(file)
    full_page(writer)
    writer.setTitle(title)
    return file, writer


def _draw_page(painter: QPainter, device: QPagedPaintDevice, pages: Pages, number: int) -> None:
    painter.save()
    size = device.pageLayout().paintRectPixels(device.logicalDpiX()).size()
    painter.scale(size.width() / PAGE.width(), size.height() / PAGE.height())
    pages.draw(painter, number)
    painter.restore()


def full_page(device: QPagedPaintDevice) -> None:
    """Set a device to A4; the pages keep margins of their own."""
    layout = QPageLayout(
        QPageSize(QPageSize.PageSizeId.A4), QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0),
        QPageLayout.Unit.Point,
    )  # fmt: skip
    device.setPageLayout(layout)


def _refused(path: Path) -> Refused | Unavailable:
    if not path.parent.is_dir():
        return Refused(f"The folder “{path.parent}” does not exist. Make it first, or choose another one.")
    return Unavailable(f"{path.name} can't be written. Choose another folder, or close the program that has it open.")
