"""A row of chips that goes on in the next line where the window is too narrow."""

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget


class Flow(QLayout):
    """Places widgets beside each other, and below where there is no room; all are as high as the highest."""

    def __init__(self, parent: QWidget | None = None, gap: int = 8) -> None:
        super().__init__(parent)
        self._gap = gap
        self._items: list[QLayoutItem] = []
        self.setContentsMargins(0, 0, 0, 0)

    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)

    def count(self) -> int:
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, across: int) -> int:
        return self._place(QRect(0, 0, across, 0), apply=False)

    def minimumSize(self) -> QSize:
        return _largest([item.minimumSize() for item in self._items if not item.isEmpty()])

    def sizeHint(self) -> QSize:
        sizes = [item.sizeHint() for item in self._items if not item.isEmpty()]
        wide = sum(size.width() + self._gap for size in sizes) - self._gap
        return QSize(max(wide, 0), _largest(sizes).height())

    def setGeometry(self, rect: QRect) -> None:
        super().setGeometry(rect)
        self._place(rect, apply=True)

    def _place(self, rect: QRect, *, apply: bool) -> int:
        """Place the widgets, or only reckon; return the height that they need."""
        x, y, line = rect.x(), rect.y(), 0
        for item in (each for each in self._items if not each.isEmpty()):
            size = item.sizeHint()
            if x > rect.x() and x + size.width() > rect.x() + rect.width():
                x, y, line = rect.x(), y + line + self._gap, 0
            if apply:
                item.setGeometry(QRect(QPoint(x, y), size))
            x += size.width() + self._gap
            line = max(line, size.height())
        return y + line - rect.y()


def _largest(sizes: list[QSize]) -> QSize:
    return QSize(max((size.width() for size in sizes), default=0), max((size.height() for size in sizes), default=0))
