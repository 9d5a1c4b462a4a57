"""A photo that opens when it is pressed: as large as the window has room for, or at its own size, moved about."""

from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QImage, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget

from register.services.photos import Shown
from ui.asking.dialog import AROUND, EDGE, WIDE, Dialog
from ui.asking.photo import draw_picture, image_of
from ui.dates import shown
from ui.look import draw
from ui.look.theme import colours, theme
from ui.look.typeface import px
from ui.look.widgets import Words

BESIDE: Final = 214
"""So much of a window's height goes to what stands around the picture."""
LEAST: Final = 160
STEP: Final = 80
"""So far an arrow key moves a picture."""
_ARROWS: Final = {
    Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0), Qt.Key.Key_Up: (0, -1), Qt.Key.Key_Down: (0, 1),
}  # fmt: skip


def caption(photo: Shown) -> str:
    """Return what stands below a photo."""
    return f"Taken out of service on {shown(photo.on)}; photo by {photo.by}."


class PhotoButton(QAbstractButton):
    """A photo as small as its place, whole. A click, Space or Enter opens it, under the title that it was given."""

    def __init__(self) -> None:
        super().__init__()
        self._image, self._title, self._caption = QImage(), "", ""
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setToolTip("Open the photo")
        self.clicked.connect(self._open)
        theme.changed.connect(self.update)

    def show_photo(self, photo: Shown, title: str) -> None:
        """Show a photo, which opens under this title."""
        self._image, self._title, self._caption = image_of(photo.content), title, caption(photo)
        self.setAccessibleName(f"{title}. {self._caption}")
        self.setEnabled(not self._image.isNull())
        self.update()

    def resize_to(self, wide: int, high: int) -> None:
        """Take another size, in pixels of the usual type."""
        self.setFixedSize(px(wide), px(high))

    def shrink_to(self, wide: int, high: int) -> None:
        """Take the size of the picture, at most so wide and high."""
        room = QSize(px(wide), px(high))
        size = QSize() if self._image.isNull() else self._image.size().scaled(room, Qt.AspectRatioMode.KeepAspectRatio)
        self.setFixedSize(max(px(40), size.width()), max(px(4), size.height()))

    def _open(self) -> None:
        PhotoDialog(self.window(), self._title, self._caption, self._image).open()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and not event.modifiers():
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens, place = QPainter(self), colours(), QRectF(self.rect())
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        draw.box(painter, place, tokens.hover, tokens.line, 4)
        draw_picture(painter, place.adjusted(2, 2, -2, -2), self._image)
        painter.end()


class Pane(QWidget):
    """The picture itself: whole, or at its own size, where it is dragged or moved by arrow keys. A click changes that.

    `pressed` tells of the click, at a place of the picture.
    """

    pressed = Signal(QPointF)

    def __init__(self, image: QImage, room: QSize) -> None:
        super().__init__()
        self._image = image
        self.own = False
        self._corner = QPointF()
        self._held: QPointF | None = None
        self._dragged = False
        size = self._whole()
        if size.width() > room.width() or size.height() > room.height():
            size = size.scaled(room, Qt.AspectRatioMode.KeepAspectRatio)
        self.setFixedSize(size)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor if self.larger else Qt.CursorShape.ArrowCursor)

    def _whole(self) -> QSize:
        """Return the picture's own size on this screen."""
        return self._image.size() / self.devicePixelRatioF()

    @property
    def larger(self) -> bool:
        """Whether the picture is larger than its place."""
        return self._whole().width() > self.width()

    @property
    def corner(self) -> QPointF:
        """Return which point of the picture stands at the upper left, at its own size."""
        return self._corner

    def turn(self, at: QPointF | None = None) -> None:
        """Show the picture at its own size with a point of it in the middle, or whole again."""
        self.own = self.larger and not self.own
        share = self._whole().width() / max(1, self.width())
        middle = QRectF(self.rect()).center()
        self._put(QPointF((middle if at is None else at) * share - middle))

    def _put(self, corner: QPointF) -> None:
        """Move the picture, no further than its edges."""
        over = self._whole() - self.size()
        self._corner = QPointF(
            min(max(0.0, corner.x()), max(0, over.width())), min(max(0.0, corner.y()), max(0, over.height()))
        )
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        across, down = _ARROWS.get(Qt.Key(event.key()), (0, 0))
        if self.own and (across or down):
            self._put(self._corner + QPointF(across, down) * px(STEP))
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._held, self._dragged = event.position(), False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held is None:
            return
        moved = event.position() - self._held
        self._dragged = self._dragged or moved.manhattanLength() >= QApplication.startDragDistance()
        if self.own and self._dragged:
            self._put(self._corner - moved)
            self._held = event.position()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._held is not None and not self._dragged:
            self.pressed.emit(event.position())
        self._held = None

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, place = QPainter(self), QRectF(self.rect())
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        if self.own:
            share = self.devicePixelRatioF()
            seen = QRectF(self._corner * share, place.size() * share)
            painter.drawImage(place, self._image, seen)
        else:
            draw_picture(painter, place, self._image)
        painter.end()


class PhotoDialog(Dialog):
    """Shows one photo as large as the window has room for. Esc closes it; nothing here changes anything."""

    def __init__(self, window: QWidget, title: str, said: str, image: QImage) -> None:
        super().__init__(window, title)
        most = QSize(window.width() - AROUND - 2 * EDGE - 2, max(px(LEAST), window.height() - AROUND - px(BESIDE)))
        self.pane = Pane(image, most)
        self.pane.setAccessibleName(said)
        self.resize(max(min(px(WIDE), window.width() - AROUND), self.pane.width() + 2 * EDGE + 2), self.height())
        self.body.setSpacing(px(8))
        self.body.addWidget(self.pane, 0, Qt.AlignmentFlag.AlignHCenter)
        self.body.addWidget(Words(said, 12, 400, "ink2", wrap=True))
        self.pane.pressed.connect(self._turn)
        self._turning = self.answers(leave="Close", verb=OWN_SIZE, key="Alt+S", deed=self._turn)
        self._turning.setVisible(self.pane.larger)
        self.pane.setFocus()

    def _turn(self, at: object = None) -> None:
        self.pane.turn(at if isinstance(at, QPointF) else None)
        self._turning.setText(f"{WHOLE if self.pane.own else OWN_SIZE}   Alt S")
        self._turning.setShortcut("Alt+S")
        self._hint.say("Drag it, or use the arrow keys." if self.pane.own else "")


OWN_SIZE, WHOLE = "At its own size", "See all of it"
