"""The sheet of a week: its days spread out, on which stops are moved by mouse or keys."""

from typing import Final

from PySide6.QtCore import QPoint, QRectF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QApplication, QWidget

from register.errors import Refused
from register.planning.week_rows import PlannedWeek
from register.services.week.bent import bend
from ui.look.widgets import Painted
from ui.week.card import DayHead, StopCard
from ui.week.held import Held, HeldNote, draw_left, draw_target
from ui.week.spread import WeekSpread

STEPS: Final = {
    Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0), Qt.Key.Key_Up: (0, -1), Qt.Key.Key_Down: (0, 1),
}  # fmt: skip
"""Where an arrow leads: so many columns aside, so many stops down."""


class WeekSheet(WeekSpread):
    """The sheet. `moved` names a stop, its new day, van and place; the other signals name a stop."""

    moved = Signal(str, object, int, object)
    pinned = Signal(str)
    dropped = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.held: Held | None = None
        self._press: tuple[StopCard | DayHead, QPoint] | None = None
        self._target = Painted(draw_target, parent=self)
        self._target.hide()
        self._note = HeldNote(self)

    def show_week(self, week: PlannedWeek, focus: str = "") -> None:
        """Show a week. A stop that is held, or pressed, is let go of: its card goes, as when a plan comes meanwhile."""
        if self._press is not None:
            self._let_go()
        super().show_week(week, focus)

    # --- keys ---

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows go between stops, with Shift they move the stop; P, Delete and L settle it or its day."""
        key, card = Qt.Key(event.key()), self.current()
        if key == Qt.Key.Key_Escape and self.held is not None:
            self._let_go()
        elif key in STEPS and event.modifiers() & Qt.KeyboardModifier.ShiftModifier and card is not None:
            self._shift(card, *STEPS[key])
        elif key in STEPS:
            self._go(*STEPS[key])
        elif key == Qt.Key.Key_P and card is not None:
            self.pinned.emit(card.stop.key)
        elif key in {Qt.Key.Key_Delete, Qt.Key.Key_Backspace} and card is not None and not event.modifiers():
            self.dropped.emit(card.stop.key)
        elif key == Qt.Key.Key_L and (at := self._focused()) is not None:
            self.locked.emit(self.days[at[0]].day, self.days[at[0]].van)
        else:
            super().keyPressEvent(event)

    def _focused(self) -> tuple[int, int] | None:
        """Return the column and the place in it that has the focus; the head is at -1."""
        for at, (head, column) in enumerate(zip(self.heads, self.cards, strict=True)):
            row: list[QWidget] = [head, *column]
            for place, each in enumerate(row):
                if each.hasFocus():
                    return at, place - 1
        return None

    def _go(self, aside: int, down: int) -> None:
        at = self._focused() or (0, -1)
        column = min(max(at[0] + aside, 0), len(self.cards) - 1)
        row: list[QWidget] = [self.heads[column], *self.cards[column]]
        row[min(max(at[1] + 1 + down, 0), len(row) - 1)].setFocus(Qt.FocusReason.TabFocusReason)

    def _shift(self, card: StopCard, aside: int, down: int) -> None:
        at = self._focused()
        assert at is not None
        column = at[0] + aside
        if not 0 <= column < len(self.days) or not 0 <= at[1] + down < len(self.cards[at[0]]):
            return
        day = self.days[column]
        self.moved.emit(card.stop.key, day.day, day.van, None if aside else at[1] + down)

    # --- mouse ---

    def mousePressEvent(self, event: QMouseEvent) -> None:
        found = self.childAt(event.position().toPoint())
        if isinstance(found, StopCard | DayHead) and event.button() is Qt.MouseButton.LeftButton:
            self._press = (found, event.position().toPoint())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._press is None:
            return
        card, start = self._press
        if not isinstance(card, StopCard):
            return
        at = event.position().toPoint()
        if self.held is None:
            if (at - start).manhattanLength() < QApplication.startDragDistance():
                return
            card.setFocus()
            card.lifted = True
            home = next(n for n, column in enumerate(self.cards) if card in column)
            self.held = Held(card, home, start - card.pos(), at)
            card.raise_()
        self._hold(self.held, at)

    def mouseReleaseEvent(self, _event: QMouseEvent) -> None:
        press, held, self._press = self._press, self.held, None
        if held is not None:
            self._let_go()
            if held.column is not None and held.after is not None:
                day = self.days[held.column]
                self.moved.emit(held.card.stop.key, day.day, day.van, held.position)
        elif press is not None:
            press[0].click()

    def _hold(self, held: Held, at: QPoint) -> None:
        """Show where a stop that is held would come to and what that costs; reckoned only where it differs."""
        held.at = at
        held.card.move(at - held.grip)
        column = self.places.column_at(at.x())
        top = held.card.y()
        others = [card for card in self.cards[column] if card is not held.card] if column is not None else []
        position = sum(card.y() + card.height() / 2 < top for card in others)
        if (column, position) != (held.column, held.position):
            held.column, held.position, held.after, held.cost, held.why = column, position, None, None, ""
            if column is not None and self.week is not None:
                day = self.days[column]
                try:
                    held.after, held.cost = bend(self.week, held.card.stop.key, day.day, day.van, position)
                except Refused as why:
                    held.why = str(why)
            for number, head in enumerate(self.heads):
                touched = held.after is not None and number == column
                head.after = held.after.days[number] if touched and held.after is not None else None
                head.update()
        self._show_target(held)
        self._note.follow(held)
        self.update()

    def _show_target(self, held: Held) -> None:
        """Show the place that a stop would take, above the stops that would give way to it."""
        self._target.setVisible(held.after is not None)
        if held.after is not None and held.column is not None:
            key = held.card.stop.key
            new = next(each for each in held.after.days[held.column].stops if each.key == key)
            self._target.setGeometry(self.places.of(held.column, new.arrive, new.leave))
            self._target.raise_()
            held.card.raise_()

    def _let_go(self) -> None:
        if self.held is not None:
            self.held.card.lifted = False
        for head in self.heads:
            head.after = None
        self.held, self._press = None, None
        self._target.hide()
        self._note.follow(None)
        self.lay_out()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Show where a stop that is held has come from."""
        super().paintEvent(event)
        if self.held is not None:
            painter, stop = QPainter(self), self.held.card.stop
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            draw_left(painter, QRectF(self.places.of(self.held.home, stop.arrive, stop.leave)), stop.name)
            painter.end()
