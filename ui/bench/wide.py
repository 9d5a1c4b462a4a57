"""A place for a table that may be wider than its page: it scrolls sideways by itself, the page doesn't."""

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QSizePolicy, QWidget

from ui.look.typeface import px


class Wide(QScrollArea):
    """As high as what is inside, with a bar below it where that is wider."""

    def __init__(self, inside: QWidget) -> None:
        super().__init__()
        self._inside = inside
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setWidget(inside)
        inside.setAutoFillBackground(False)
        self.viewport().setAutoFillBackground(False)
        inside.installEventFilter(self)

    def minimumSizeHint(self) -> QSize:
        return QSize(px(120), self.sizeHint().height())

    def sizeHint(self) -> QSize:
        needed = self._inside.minimumSizeHint()
        bar = self.horizontalScrollBar().sizeHint().height() if needed.width() > self.width() else 0
        return QSize(needed.width(), needed.height() + bar)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self.updateGeometry()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take another height when what is inside needs it."""
        if event.type() is QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().eventFilter(watched, event)
