"""The sheet of a week: a column for each van's day, stops in it at their times, moved by mouse or keys."""

from itertools import pairwise

from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QWidget

from register.errors import Refused
from register.planning.week_rows import PlannedDay, PlannedWeek
from register.services.week.bent import bend
from register.services.week.text import cards
from ui.look import draw
from ui.look.theme import colours, theme
from ui.look.typeface import px
from ui.look.widgets import Painted
from ui.week.card import DayHead, StopCard
from ui.week.held import Held, HeldNote, draw_left, draw_target
from ui.week.look import stroke
from ui.week.places import GUTTER, HEAD, Places

STEPS = {Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0), Qt.Key.Key_Up: (0, -1), Qt.Key.Key_Down: (0, 1)}


class WeekSheet(QWidget):
    """The sheet. `moved` names a stop, its new day, van and place; others name a stop, or a van's day.

    `laid_out` says that things have new places.
    """

    moved = Signal(str, object, int, object)
    opened = Signal(str)
    pinned = Signal(str)
    dropped = Signal(str)
    locked = Signal(object, int)
    laid_out = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("The days of the week with their stops")
        self.week: PlannedWeek | None = None
        self.cards: list[list[StopCard]] = []
        self.heads: list[DayHead] = []
        self.held: Held | None = None
        self._press: tuple[StopCard | DayHead, QPoint] | None = None
        self._room, self._lifted = QSize(px(900), px(600)), 0
        self.places = Places((), self._room)
        self._target = Painted(draw_target, parent=self)
        self._target.hide()
        self._note = HeldNote(self)
        theme.changed.connect(self.update)

    @property
    def days(self) -> tuple[PlannedDay, ...]:
        """The columns' days."""
        return self.week.days if self.week is not None else ()

    def show_week(self, week: PlannedWeek, focus: str = "") -> None:
        """Show a week; the stop of a key, or else the one that had it, has the focus where something here had it."""
        had = self.current()
        inside = self.isAncestorOf(QApplication.focusWidget() or self)
        key = focus or (had.stop.key if had else "")
        if inside:  # or the focus would go from each card that is hidden to the next one, and the sheet scroll after it
            self.setFocus()
        for each in [*self.heads, *(card for column in self.cards for card in column)]:
            each.hide()
            each.deleteLater()
        self.week, self.held = week, None
        self.heads = [DayHead(day, self) for day in week.days]
        for head in self.heads:
            head.clicked.connect(lambda _on=False, day=head.day: self.locked.emit(day.day, day.van))
        self.cards = [
            [self._card(StopCard(stop, words, self)) for stop, words in zip(day.stops, column.cards, strict=True)]
            for day, column in zip(week.days, cards(week), strict=True)
        ]
        _put_in_order(self.heads, self.cards)
        self.lay_out()
        found = next((card for column in self.cards for card in column if card.stop.key == key), None)
        if inside and found is not None:
            found.setFocus()
        elif inside:
            self.focus_first()

    def _card(self, card: StopCard) -> StopCard:
        card.clicked.connect(lambda _on=False, key=card.stop.key: self.opened.emit(key))
        return card

    def focus_first(self) -> None:
        """Put the cursor on the first stop."""
        first = next((card for column in self.cards for card in column), None)
        if first is not None:
            first.setFocus(Qt.FocusReason.TabFocusReason)

    def current(self) -> StopCard | None:
        """Return the stop that has the focus."""
        return next((card for column in self.cards for card in column if card.hasFocus()), None)

    # --- places ---

    def lay_out(self, room: QSize | None = None) -> None:
        """Put heads and cards in their places for the room there is; `room` is what there is from now on."""
        self._room = room or self._room
        places = self.places = Places(self.days, self._room)
        self.setMinimumSize(places.needed)
        for at, (head, column) in enumerate(zip(self.heads, self.cards, strict=True)):
            x, wide = places.columns[at]
            head.setGeometry(int(x), self._lifted, int(wide), px(HEAD) - px(14))
            head.raise_()
            head.show()
            for card in column:
                card.setGeometry(self.places.of(at, card.stop.arrive, card.stop.leave))
                card.show()
        self.update()
        self.laid_out.emit()

    def lift_heads(self, scrolled: int) -> None:
        """Keep the heads in sight while the stops scroll under them."""
        self._lifted = scrolled
        for head in self.heads:
            head.move(head.x(), scrolled)
            head.raise_()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.lay_out()

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

    # --- drawing ---

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens = QPainter(self), colours()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for _hour, y in self.places.hours_in_sight(self._lifted):
            draw.across(painter, px(GUTTER), self.width(), y, tokens.hair)
        for at, day in enumerate(self.days):
            self._drives(painter, at, day)
        if self.held is not None:
            stop = self.held.card.stop
            draw_left(painter, QRectF(self.places.of(self.held.home, stop.arrive, stop.leave)), stop.name)
        painter.end()

    def _drives(self, painter: QPainter, at: int, day: PlannedDay) -> None:
        """Draw the drives between stops as pieces of the day's line, with how long and how far where there is room."""
        x, wide = self.places.columns[at]
        before = float(day.leave_base)
        for stop in day.stops:
            top, below = self.places.y(before) + 2, self.places.y(stop.arrive) - 2
            if below - top > 3:  # noqa: PLR2004 - less shows nothing
                stroke(painter, day.day, QPointF(x + 12, top), QPointF(x + 12, below))
            if below - top > px(11) and (stop.drive or stop.km):
                line = QRectF(x + 22, top, wide - 22, below - top)
                said = f"{stop.drive} min, {stop.km:.0f} km"
                draw.text(painter, line, said, 11, 400, colours().ink3)
            before = stop.leave


def _put_in_order(heads: list[DayHead], columns: list[list[StopCard]]) -> None:
    """Let Tab go from head to stops, day by day."""
    row = [each for head, column in zip(heads, columns, strict=True) for each in (head, *column)]
    for before, after in pairwise(row):
        QWidget.setTabOrder(before, after)
