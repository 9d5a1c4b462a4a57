"""The look before anything is measured: one box for each point, right or wrong."""

from collections.abc import Iterator
from functools import partial
from typing import Final

from PySide6.QtCore import QEvent, QObject, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QGridLayout, QSizePolicy, QWidget

from register.domain.look import LookPoint, look_points
from register.services.bench.worksheet import Worksheet
from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours, theme
from ui.look.typeface import px, width

ALONE_MS: Final = 60
"""A letter means its key only if no other follows within this time: a scanner's letters come closer together."""
ACROSS: Final = 3


class Point(QAbstractButton):
    """One point of the look. `seen` tells right (True), wrong (False) or not looked at (None)."""

    seen = Signal(object)

    def __init__(self, point: LookPoint) -> None:
        super().__init__()
        self.point = point
        self.state: bool | None = None
        self.setText(point.title)
        self.setToolTip(f"{point.about} Space: right. X: wrong.")
        self.setCheckable(True)
        self.setFixedHeight(px(26))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._wrong = QTimer(self, singleShot=True, interval=ALONE_MS)
        self._wrong.timeout.connect(self._take_wrong)
        self.clicked.connect(self._pressed)
        self.show_state(None)
        theme.changed.connect(self.update)

    def show_state(self, state: bool | None) -> None:  # noqa: FBT001 - right, wrong or open
        """Show what was seen."""
        self.state = state
        self.setChecked(state is True)
        word = {True: "right", False: "wrong", None: "not looked at"}[state]
        self.setAccessibleName(f"{self.point.title}, {word}")
        self.setAccessibleDescription(self.point.about)
        self.update()

    def _pressed(self) -> None:
        self.seen.emit(None if self.state is True else True)

    def _take_wrong(self) -> None:
        self.seen.emit(None if self.state is False else False)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        self._wrong.stop()
        if event.key() == Qt.Key.Key_X and not event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier:
            self._wrong.start()
        else:
            super().keyPressEvent(event)

    def sizeHint(self) -> QSize:
        return QSize(int(width(self.text(), 13)) + px(34), px(26))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens, side = QPainter(self), colours(), px(18)
        y = (self.height() - side) / 2
        box = QRectF(0, y, side, side)
        tone = {True: tokens.service, False: tokens.overdue, None: None}[self.state]
        ground = tokens.hover if self.underMouse() and tone is None else tokens.surface
        draw.box(painter, box, tone.soft if tone else ground, tone.fill if tone else tokens.line, 4)
        if tone is not None:
            glyph(painter, "tick" if self.state else "cross", px(3), y + px(3), px(12), tone.fill)
        words = QRectF(side + px(10), 0, self.width() - side - px(10), self.height())
        ink = tokens.overdue.text if self.state is False else tokens.ink
        draw.text(painter, words, self.text(), 13, 600 if self.state is False else 400, ink)
        painter.end()


class Look(QWidget):
    """All points of the item on the bench. `seen` tells what was seen of some; `done` that none is left."""

    seen = Signal(object)
    done = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.points: list[Point] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(px(12))
        self._grid.setVerticalSpacing(px(3))
        self._across = ACROSS

    def lay_out(self, sheet: Worksheet) -> None:
        """Make the boxes of the item's points."""
        points = look_points(sheet.item)
        if [each.point for each in self.points] != list(points):
            for old in self.points:
                self._grid.removeWidget(old)
                old.hide()
                old.deleteLater()
            self.points = [Point(point) for point in points]
            for point in self.points:
                point.seen.connect(partial(self._see, point))
                point.installEventFilter(self)
            self._place()
        self.show_sheet(sheet)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Take as many columns as there is room for."""
        super().resizeEvent(event)
        if self._room() != self._across:
            self._place()

    def event(self, event: QEvent) -> bool:
        """Take as many columns as there is room for when a box gets other words, too."""
        if event.type() is QEvent.Type.LayoutRequest and self._room() != self._across:
            self._place()
        return super().event(event)

    def _room(self) -> int:
        longest = max((each.sizeHint().width() for each in self.points), default=0) + self._grid.horizontalSpacing()
        return min(ACROSS, max(1, (self.width() + self._grid.horizontalSpacing()) // longest))

    def _place(self) -> None:
        self._across = self._room()
        for column in range(ACROSS):
            self._grid.setColumnStretch(column, 1 if column < self._across else 0)
        for number, point in enumerate(self.points):
            self._grid.addWidget(point, number // self._across, number % self._across)

    def show_sheet(self, sheet: Worksheet) -> None:
        """Show what was seen so far."""
        seen = sheet.seen
        for each in self.points:
            each.show_state(seen.get(each.point.id))

    def _see(self, point: Point, right: bool | None) -> None:  # noqa: FBT001 - right, wrong or open
        self.seen.emit({point.point.id: right})
        left = [each for each in self.points if each.state is None]
        if right is not None and point.hasFocus():
            after = [each for each in left if self.points.index(each) > self.points.index(point)]
            if after:
                after[0].setFocus()
            elif not left:
                self.done.emit()

    def tick_all(self) -> None:
        """Tick whatever is not looked at yet; what was found wrong stays wrong."""
        self.seen.emit({each.point.id: True for each in self.points if each.state is None})
        self.done.emit()

    def first_open(self) -> QWidget | None:
        """Return the first box that is not looked at, or None."""
        return next((each for each in self.points if each.state is None), None)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Let the arrows lead from box to box."""
        if isinstance(event, QKeyEvent) and event.type() is QEvent.Type.KeyPress and isinstance(watched, Point):
            down = _DOWN.get(Qt.Key(event.key()))
            step = _ACROSS.get(Qt.Key(event.key())) if down is None else down * self._across
            place = self.points.index(watched) + (step or 0) if watched in self.points else -1
            if step is not None and 0 <= place < len(self.points):
                self.points[place].setFocus()
                return True
        return False

    def widgets(self) -> Iterator[QWidget]:
        """Yield the boxes in reading order."""
        yield from self.points


_ACROSS: Final = {Qt.Key.Key_Right: 1, Qt.Key.Key_Left: -1}
_DOWN: Final = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}
