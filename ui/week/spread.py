"""The days of a week spread out: a column for each van's day, with its stops at their times and the drives between."""

from itertools import pairwise

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QWidget

from register.planning.week_rows import PlannedDay, PlannedWeek
from register.services.week.text import cards
from ui.look import draw
from ui.look.theme import colours, theme
from ui.look.typeface import px
from ui.week.card import DayHead, StopCard
from ui.week.look import stroke
from ui.week.places import GUTTER, HEAD, Places


class WeekSpread(QWidget):
    """The days, each with its head and the cards of its stops. `opened` names a stop, `locked` a van's day.

    `laid_out` says that things have new places.
    """

    opened = Signal(str)
    locked = Signal(object, int)
    laid_out = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("The days of the week with their stops")
        self.week: PlannedWeek | None = None
        self.cards: list[list[StopCard]] = []
        self.heads: list[DayHead] = []
        self._room, self._lifted = QSize(px(900), px(600)), 0
        self.places = Places((), self._room)
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
        self.week = week
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

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens = QPainter(self), colours()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for _hour, y in self.places.hours_in_sight(self._lifted):
            draw.across(painter, px(GUTTER), self.width(), y, tokens.hair)
        for at, day in enumerate(self.days):
            self._drives(painter, at, day)
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
