"""Puts the pages of a list on paper or into a PDF, one page at a time, so that the window stays alive."""

from pathlib import Path

from PySide6.QtCore import QIODevice, QMarginsF, QObject, QSaveFile, QTimer, Signal
from PySide6.QtGui import QPagedPaintDevice, QPageLayout, QPageSize, QPainter, QPdfWriter

from register.errors import Refused, Unavailable
from ui.horizon.due_sheet import PAGE, Pages, draw_page


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
        self._painter.save()
        size = self._device.pageLayout().paintRectPixels(self._device.logicalDpiX()).size()
        self._painter.scale(size.width() / PAGE.width(), size.height() / PAGE.height())
        draw_page(self._painter, self._pages, self._next)
        self._painter.restore()
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
        self._path = path
        self._file = QSaveFile(str(path))
        if not self._file.open(QIODevice.OpenModeFlag.WriteOnly):
            raise _refused(path)
        self._writer = QPdfWriter(self._file)
        full_page(self._writer)
        self._writer.setTitle(title)
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
