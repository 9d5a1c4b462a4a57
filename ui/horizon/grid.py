"""The grid of the horizon: sites down, weeks across, each cell in the colour of its minutes of work."""

import re
from datetime import date
from typing import Final

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QStyledItemDelegate, QStyleOptionViewItem, QTableView

from register.services.horizon import SiteWork, Week
from register.services.settings import STATES
from ui.horizon.model import FIRST_WEEK, OVERDUE, ROW_ROLE, SITE, Choice, WeeksModel
from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours, theme
from ui.look.typeface import px, width

ROW: Final = 28
TOTAL: Final = 36
WORK_STEPS: Final = (25, 60, 110, 180)
"""From so many minutes on a cell takes the next colour of the work ramp."""

OVERDUE_STEPS: Final = (3, 6)
SITE_LEAST: Final = 176
SITE_WISHED: Final = 380
CHIP: Final = 108
CHIP_SHORT: Final = 34


_STATES: Final = frozenset(word for state in STATES for word in state)


def level(number: float, steps: tuple[int, ...]) -> int:
    """Return how many of the steps a number reaches."""
    return sum(number >= step for step in steps)


def suburb(address: str) -> str:
    """Return the part of an address that tells roughly where it is: behind the last comma, or before its state."""
    parts = [part.strip() for part in address.split(",")]
    while len(parts) > 1 and parts[-1] in _STATES:
        parts.pop()
    return parts[-1]


def short_class(title: str) -> str:
    """Return the first word of a class's title: "Construction" for construction and demolition sites."""
    return re.split(r"[ ,]", title, maxsplit=1)[0]


class WeekCells(QStyledItemDelegate):
    """Draws the site, what is overdue, and the weeks. `narrow` leaves out what a small window has no room for."""

    def __init__(self, view: "WeeksView") -> None:
        super().__init__(view)
        self._view = view
        self.narrow = False
        self.figures = 0.0
        self.days = 0.0
        self.classes = 0.0

    def measure(self, rows: tuple[SiteWork, ...], today: date) -> None:
        """Find how wide the column of what is overdue must be, and that of the classes."""
        self.classes = max((draw.class_width(short_class(row.environment)) for row in rows), default=0)
        self.figures = max((width(f"{row.overdue or row.never_done:,}", 13, 700) for row in rows), default=0)
        self.days = max((width(_days(row, today), 11, 500) for row in rows), default=0)

    @property
    def overdue_width(self) -> int:
        """The width of the column of what is overdue."""
        return max(px(72), int(self.figures + self.days) + px(32))

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        row = index.data(ROW_ROLE)
        place = QRectF(option.rect)
        if not isinstance(row, SiteWork):
            return
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        on = self._view.chosen and index.row() == self._view.currentIndex().row()
        if on and index.column() < FIRST_WEEK and not self._view.totals:
            painter.fillRect(place, QColor(colours().accent_soft))
        if index.column() == SITE:
            self._site(painter, place, row, on=on)
        elif index.column() == OVERDUE:
            self._overdue(painter, place, row)
        else:
            self._week(painter, place, row, index.column() - FIRST_WEEK)
        if on and index.column() == self._view.currentIndex().column():
            edge = colours().accent if self._view.hasFocus() else colours().line
            draw.box(painter, place, None, edge, 5, 2)
        painter.restore()

    def _site(self, painter: QPainter, place: QRectF, row: SiteWork, *, on: bool) -> None:
        inside = place.adjusted(px(12), 0, 0, 0)
        if self._view.totals:
            draw.text(painter, inside, row.name, 13, 600)
            return
        tokens, top = colours(), place.y() + (place.height() - px(20)) / 2
        title = short_class(row.environment)
        chip = px(CHIP_SHORT) if self.narrow else max(px(CHIP), self.classes + 6)
        ground = tokens.surface if on else None
        draw.class_chip(
            painter, place.right() - chip, top, title, row.strokes, px(20), short=self.narrow, ground=ground
        )
        words = inside.adjusted(0, 0, -chip - px(8), 0)
        end = draw.text(painter, words, row.name, 13, 500)
        rest = QRectF(end + 8, place.y(), words.right() - end - 8, place.height())
        if not self.narrow and rest.width() > px(36):
            draw.text(painter, rest, suburb(row.address), 12, 400, tokens.ink3)

    def _overdue(self, painter: QPainter, place: QRectF, row: SiteWork) -> None:
        horizon, tokens = self._view.weeks.horizon, colours()
        if horizon is None or not (row.overdue or row.never_done):
            return
        step = level(row.overdue, OVERDUE_STEPS)
        ground, ink = tokens.overdue_ramp[step], tokens.overdue_ramp_ink[step]
        if not row.overdue:
            ground, ink = tokens.unknown.soft, tokens.unknown.text
        if self._view.totals:
            ink = tokens.overdue.text if row.overdue else ink
        else:
            draw.box(painter, place.adjusted(4, 2, -4, -2), ground, None, 3)
        right = place.right() - px(10)
        split = right - self.days - px(6)
        figures = QRectF(place.x(), place.y(), split - place.x(), place.height())
        draw.text(painter, figures, f"{row.overdue or row.never_done:,}", 13, 700, ink, draw.RIGHT, elide=False)
        if row.overdue:
            days = QRectF(place.x(), place.y(), right - place.x(), place.height())
            draw.text(painter, days, _days(row, horizon.today), 11, 500, ink, draw.RIGHT, elide=False)
        else:
            middle = place.y() + (place.height() - px(13)) / 2
            glyph(painter, "broken-ring", right - px(13), middle, px(13), tokens.unknown.fill)

    def _week(self, painter: QPainter, place: QRectF, row: SiteWork, week: int) -> None:
        work, tokens = row.weeks[week], colours()
        if self._view.totals:
            draw.text(painter, place, f"{work.duties:,}", 13, 600, None, draw.CENTRE, elide=False)
            return
        if not work.duties:
            return
        step = level(float(work.minutes), WORK_STEPS)
        draw.box(painter, place.adjusted(2, 2, -2, -2), tokens.work[step], None, 3)
        bold = 600 if step > 2 else 500  # noqa: PLR2004 - the two darkest steps
        draw.text(painter, place, f"{work.duties:,}", 13, bold, tokens.work_ink[step], draw.CENTRE, elide=False)


def _days(row: SiteWork, today: date) -> str:
    return "" if row.oldest is None else f"{(today - row.oldest).days:,} d"


class WeeksView(QTableView):
    """Rows of the horizon under shared columns; the totals are such a view with one row.

    Signals: `choice_changed` with what the cursor is on, `opened` on Enter or a double press, `left` with -1 or 1 where
    the cursor would go above the first or below the last row, `across_changed` with another width to share out.
    """

    choice_changed = Signal(object)
    opened = Signal()
    left = Signal(int)
    across_changed = Signal()

    def __init__(self, name: str, *, totals: bool = False) -> None:
        super().__init__()
        self.totals, self.chosen = totals, False
        self.weeks = WeeksModel()
        self.cells = WeekCells(self)
        self.setModel(self.weeks)
        self.setItemDelegate(self.cells)
        self.setAccessibleName(name)
        self.setProperty("ring", False)  # noqa: FBT003 - Qt's own
        self.horizontalHeader().hide()
        self.verticalHeader().hide()
        for header, least in ((self.horizontalHeader(), 8), (self.verticalHeader(), 8)):
            header.setMinimumSectionSize(least)
        self.verticalHeader().setDefaultSectionSize(px(TOTAL if totals else ROW))
        self.setShowGrid(False)
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerItem)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        if totals:
            self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
            self.setFixedHeight(px(TOTAL) + 1)
        self.setTabKeyNavigation(False)
        self.setStyleSheet("QTableView { background: transparent; }")
        self.doubleClicked.connect(self._open)
        self.selectionModel().currentChanged.connect(self._moved)
        theme.changed.connect(self.viewport().update)

    def fit(self, across: int, *, narrow: bool) -> None:
        """Share a width out among the columns: the weeks alike, the site takes what is left."""
        self.cells.narrow = narrow
        overdue, count = self.cells.overdue_width, max(1, len(self.weeks.weeks))
        most, least = (px(52), px(30)) if narrow else (px(72), px(48))
        site = px(SITE_LEAST if narrow else SITE_WISHED)
        week = min(most, max(least, (across - overdue - site) // count))
        self.setColumnWidth(SITE, max(px(96), across - overdue - week * count))
        self.setColumnWidth(OVERDUE, overdue)
        for place in range(count):
            self.setColumnWidth(FIRST_WEEK + place, week)

    def take_widths(self, other: "WeeksView") -> None:
        """Stand under the same columns as another view."""
        self.cells.figures, self.cells.days = other.cells.figures, other.cells.days
        for place in range(self.weeks.columnCount()):
            self.setColumnWidth(place, other.columnWidth(place))

    def week_left(self, place: int) -> int:
        """Return where a week's column begins."""
        return self.columnViewportPosition(FIRST_WEEK + place)

    def choice(self) -> Choice | None:
        """Return what the cursor is on."""
        return self.weeks.choice(self.currentIndex())

    def choose(self, row: int, column: int) -> None:
        """Put the cursor on a cell and say so, even where it is there already."""
        index = self.weeks.index(row, column)
        if index == self.currentIndex():
            self.choice_changed.emit(self.choice())
        else:
            self.setCurrentIndex(index)

    def show_chosen(self, *, chosen: bool) -> None:
        """Say whether the cursor of this view is what is chosen on the page."""
        self.chosen = chosen
        self.viewport().update()

    def _moved(self, now: QModelIndex, _before: QModelIndex) -> None:
        self.viewport().update()
        if now.isValid():
            self.choice_changed.emit(self.choice())

    def _open(self) -> None:
        self.opened.emit()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.viewport().update()
        if self.currentIndex().isValid():
            self.choice_changed.emit(self.choice())

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.viewport().update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        row, key = self.currentIndex().row(), event.key()
        if key in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.opened.emit()
        elif key == Qt.Key.Key_Down and row == self.weeks.rowCount() - 1:
            self.left.emit(1)
        elif key == Qt.Key.Key_Up and row == 0:
            self.left.emit(-1)
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.across_changed.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        horizon = self.weeks.horizon
        if horizon is not None:
            painter, tokens = QPainter(self.viewport()), colours()
            high = self.viewport().height()
            if self.totals:
                draw.across(painter, 0, self.viewport().width(), 0, tokens.line)
            else:
                for row in range(self.weeks.rowCount()):
                    below = self.rowViewportPosition(row) + self.rowHeight(row) - 1
                    draw.across(painter, 0, self.viewport().width(), below, tokens.hair)
                for place in month_starts(horizon.weeks)[1:]:
                    draw.upright(painter, self.week_left(place), 0, high, tokens.rule)
                draw.upright(painter, self.today_at(), 0, high, tokens.accent)
            painter.end()
        super().paintEvent(event)

    def today_at(self) -> int:
        """Return where today lies in the present week's column."""
        horizon = self.weeks.horizon
        assert horizon is not None
        return self.week_left(0) + int(self.columnWidth(FIRST_WEEK) * (horizon.today.weekday() + 0.5) / 7)


def month_starts(weeks: tuple[Week, ...]) -> list[int]:
    """Return the places of the weeks with which a month begins, the first week in any case."""
    return [n for n in range(len(weeks)) if not n or weeks[n].first.month != weeks[n - 1].first.month]
