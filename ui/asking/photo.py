"""Choosing a photo: its file is weighed before it is read, made smaller, and kept without what it says of its place."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QRectF, QSize, Qt
from PySide6.QtGui import QImage, QImageReader, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from register.errors import Refused, Unavailable
from register.exchange.picture_file import LARGEST, read_picture
from register.services.pictures import picture_of
from ui.look import draw
from ui.look.theme import colours, theme
from ui.look.typeface import px
from ui.look.widgets import Words, button
from ui.page import Desk

KINDS: Final = "Photos (*.jpg *.jpeg *.png)"
MOST_PIXELS: Final = 60_000_000
LONGEST_SIDE: Final = 1_600
"""A kept photo is at most so wide and high: enough to see a scorched pin (common practice, no source)."""

ENOUGH: Final = 400_000
QUALITIES: Final = (82, 70, 55, 40)
NO_PICTURE: Final = "“{}” is no whole JPEG or PNG picture, so it was not taken. Choose another file, or take it again."


def scaled(path: Path) -> bytes:
    """Return the picture in a file as a JPEG of a sensible size, turned upright, with nothing in it but the picture.

    Refused for a file that is too large, no picture or has too many pixels; Unavailable where it can't be read.
    """
    content = read_picture(path)
    try:
        picture_of(content, largest=LARGEST, most_pixels=MOST_PIXELS)
    except Refused as why:
        raise Refused(str(why).replace("The photo", f"“{path.name}”", 1)) from None
    buffer = QBuffer()
    buffer.setData(QByteArray(content))
    buffer.open(QIODevice.OpenModeFlag.ReadOnly)
    reader = QImageReader(buffer)
    reader.setDecideFormatFromContent(True)
    reader.setAutoTransform(True)
    size = reader.size()
    if max(size.width(), size.height()) > LONGEST_SIDE:
        reader.setScaledSize(size.scaled(LONGEST_SIDE, LONGEST_SIDE, Qt.AspectRatioMode.KeepAspectRatio))
    image = reader.read()
    if image.isNull():
        raise Refused(NO_PICTURE.format(path.name))
    return _as_jpeg(image)


def _as_jpeg(image: QImage) -> bytes:
    ground = QImage(image.size(), QImage.Format.Format_RGB32)
    ground.fill(Qt.GlobalColor.white)
    painter = QPainter(ground)
    painter.drawImage(0, 0, image)
    painter.end()
    content = b""
    for quality in QUALITIES:
        buffer = QBuffer()
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        ground.save(buffer, "JPEG", quality)  # type: ignore[call-overload]
        content = bytes(buffer.data().data())
        if len(content) <= ENOUGH:
            break
    return content


def image_of(content: bytes) -> QImage:
    """Return a kept picture to be drawn; one that can't be is null."""
    return QImage.fromData(content)


class Thumbnail(QWidget):
    """A picture as small as its place, whole."""

    def __init__(self, wide: int, high: int) -> None:
        super().__init__()
        self._image = QImage()
        self.resize_to(wide, high)
        theme.changed.connect(self.update)

    def resize_to(self, wide: int, high: int) -> None:
        """Take another size, in pixels of the usual type."""
        self.setFixedSize(QSize(px(wide), px(high)))

    def show_picture(self, content: bytes) -> None:
        """Show a picture; empty bytes show none."""
        self._image = image_of(content) if content else QImage()
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens = QPainter(self), colours()
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        place = QRectF(self.rect())
        draw.box(painter, place, tokens.hover, tokens.line, 4)
        draw_picture(painter, place.adjusted(2, 2, -2, -2), self._image)
        painter.end()


def draw_picture(painter: QPainter, place: QRectF, image: QImage) -> None:
    """Draw a picture whole in the middle of a place."""
    size = image.size().scaled(place.size().toSize(), Qt.AspectRatioMode.KeepAspectRatio)
    corner = QRectF(0, 0, size.width(), size.height())
    corner.moveCenter(place.center())
    painter.drawImage(corner, image)


class PhotoLine(QWidget):
    """Asks for a photo, which may be left out. `complain` says why a file could not be taken; nothing typed is lost."""

    def __init__(self, desk: Desk, complain: Callable[[str], None]) -> None:
        super().__init__()
        self._desk, self._complain = desk, complain
        self.content = b""
        self.reading = False
        self.choose = button("Choose a photo…")
        self.leave_out = button("Leave it out", "quiet")
        self._said = Words("Shows the owner what is wrong.", 12, 400, "ink2", elide=True)
        self._small = Thumbnail(75, 56)
        deeds, column, row = QHBoxLayout(), QVBoxLayout(), QHBoxLayout(self)
        for layout in (deeds, column, row):
            layout.setContentsMargins(0, 0, 0, 0)
            layout.setSpacing(8)
        deeds.addWidget(self.choose)
        deeds.addWidget(self.leave_out)
        deeds.addStretch(1)
        column.addLayout(deeds)
        column.addWidget(self._said)
        column.setSpacing(4)
        row.addWidget(self._small)
        row.addLayout(column, 1)
        self.leave_out.hide()
        self._small.hide()
        self.setFocusProxy(self.choose)
        self.choose.clicked.connect(self._ask)
        self.leave_out.clicked.connect(self._none)

    def _ask(self) -> None:
        path = self._desk.messages.open_file("Choose a photo", KINDS)
        if path is None:
            return
        self.reading = True
        self._complain("")
        self._said.say(f"Reading {path.name}…", "ink2")
        reading = self._desk.jobs.run(
            lambda _register: scaled(path), lambda got: self._take(path, got), failed=self._refused, keeps=False
        )
        self.destroyed.connect(reading.set)  # the dialog may be left before the photo is read

    def _take(self, path: Path, content: bytes) -> None:
        self.reading = False
        self.content = content
        size = image_of(content).size()
        self._show(f"{path.name}, {size.width():,} × {size.height():,}")
        self.choose.setFocus()

    def _none(self) -> None:
        self.content = b""
        self._show("No photo goes with it.")
        self.choose.setFocus()

    def _show(self, said: str) -> None:
        self._small.show_picture(self.content)
        self._said.say(said, "ink2")
        self.leave_out.setVisible(bool(self.content))
        self._small.setVisible(bool(self.content))

    def _refused(self, error: Exception) -> None:
        self.reading = False
        self._show("The earlier photo stays." if self.content else "No photo goes with it.")
        if isinstance(error, Refused | Unavailable):
            self._complain(str(error))
        else:
            self._desk.messages.failure(error)
