"""The parts of the page of the week in their places: the line above, the sheet, and the panel where there is room."""

from collections.abc import Callable
from typing import Final

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from ui.look.typeface import px
from ui.week.area import WeekArea
from ui.week.empty import Empty
from ui.week.head import Head
from ui.week.sheet import WeekSheet
from ui.week.side import Side

NARROW: Final = 1200
"""On a page less wide than this the panel is shown only when it is asked for."""


class WeekParts(QWidget):
    """All that is seen on the page. In place of the sheet, `empty` says why there is no week."""

    def __init__(self) -> None:
        super().__init__()
        self.head, self.sheet, self.side, self.empty = Head(), WeekSheet(), Side(), Empty()
        self.area = WeekArea(self.sheet)
        self._middle = QStackedWidget()
        self._middle.addWidget(self.area)
        self._middle.addWidget(self.empty)
        left, self._row = QVBoxLayout(), QHBoxLayout(self)
        left.setSpacing(0)
        left.addWidget(self.head)
        left.addWidget(self._middle, 1)
        self._row.setSpacing(24)
        self._row.addLayout(left, 1)
        self._row.addWidget(self.side)
        self.head.beside.toggled.connect(self._fit)

    def show_sheet(self) -> None:
        """Show the week."""
        self._middle.setCurrentWidget(self.area)
        self._fit()

    def say_empty(self, title: str, more: str, verb: str, deed: Callable[[], None]) -> None:
        """Say why there is no week, and what can be done about it."""
        self.empty.say(title, more, verb, deed)
        self._middle.setCurrentWidget(self.empty)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Leave out the panel where there is no room for it."""
        self._fit()
        edge = 24 if self._wide else 16
        self._row.setContentsMargins(edge, 0, edge, 8)
        super().resizeEvent(event)

    @property
    def _wide(self) -> bool:
        return self.width() >= px(NARROW)

    def _fit(self, _beside: object = None) -> None:
        asked_for = self.head.beside.isChecked() and not self._wide
        self.head.beside.setVisible(not self._wide)
        self.side.setVisible((self._wide or asked_for) and self._middle.currentWidget() is self.area)
        self.side.route.updateGeometry()
        self.head.fit(self.width() - (self.side.width() if asked_for else 0))
