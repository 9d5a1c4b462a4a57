"""The list of what falls due: each duty with its item, its date, and why."""

from functools import lru_cache
from typing import Any, Final

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from register.domain.intervals import Interval, Occasion, every_words, occasion_words
from register.domain.words import Standing, first_word, spoken
from register.services.questions import DueDuty
from ui.dates import shown, shown_with_weekday
from ui.horizon.model import Index, Role
from ui.look import draw
from ui.look.glyphs import STANDING_GLYPHS, glyph
from ui.look.theme import colours, standing_tone, theme
from ui.look.typeface import px, width

ROW_ROLE: Final = Qt.ItemDataRole.UserRole
GAP: Final = 12
INSET: Final = 8


def why_words(row: DueDuty) -> str:
    """Return in one line why it falls due then: "Operating-time test, every 3 months; last 31 Aug 2026."."""
    often = _often(row.interval)
    first = "for the first time" if row.due is not None else "never done"
    last = f"last {shown(row.last_done)}" if row.last_done else first
    return f"{first_word(row.duty)}{f', {often}' if often else ''}; {last}."


def source_words(row: DueDuty) -> str:
    """Return which rule it is and where that stands: "Guidance: AS/NZS 3760:2022, table 4 (rulebook au-in-service)"."""
    said = next((said for said in row.why if "(rulebook " in said), "")
    strength, _colon, rule = said.partition(": ")
    return f"{strength}: {rule.rpartition(', by ')[2]}" if rule else said


@lru_cache(maxsize=256)
def _often(interval: str) -> str:
    if interval in set(Occasion):
        return occasion_words(Occasion(interval))
    return every_words(Interval.parse(interval)) if interval else ""


def when_words(row: DueDuty) -> str:
    """Return its date: "Mon 30 Nov", with the year where it is overdue, or that there is none."""
    if row.due is None:
        return "Never done"
    return shown(row.due) if row.standing is Standing.OVERDUE else shown_with_weekday(row.due)


def item_words(row: DueDuty) -> str:
    """Return what the item is called: its description, or its kind where it has none."""
    return row.description or first_word(row.kind)


class DueModel(QAbstractListModel):
    """Duties that fall due. `with_site` says the site of each, where they are of several."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: tuple[DueDuty, ...] = ()
        self.with_site = False

    def show_rows(self, rows: tuple[DueDuty, ...], *, with_site: bool) -> None:
        """Show other duties."""
        self.beginResetModel()
        self.rows, self.with_site = rows, with_site
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own default
        return 0 if parent.isValid() else len(self.rows)

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:  # noqa: ANN401 - Qt's own
        if not index.isValid() or index.row() >= len(self.rows):
            return None
        row = self.rows[index.row()]
        if role == ROW_ROLE:
            return row
        if role == Role.DisplayRole:
            return row.tag
        if role == Role.AccessibleTextRole:
            due = f"due {shown(row.due)}" if row.due else "never done"
            return (
                f"Tag {row.tag}, {item_words(row)}, {self.place(row)}, {due}, {spoken(row.standing)}. {why_words(row)}"
            )
        if role == Role.ToolTipRole:
            return "\n".join((self.place(row), *row.why))
        return None

    def place(self, row: DueDuty) -> str:
        """Return where the item is."""
        return f"{row.site_name}, {row.area}" if self.with_site else row.area


class DueCells(QStyledItemDelegate):
    """Draws a duty: tag and date, the item, why, and the rule."""

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        across = option.widget.viewport().width() - 2 * INSET  # type: ignore[attr-defined]
        row = index.data(ROW_ROLE)
        _layout, why = draw.laid_out(why_words(row), across, 12, 400, 1.4)
        _layout, source = draw.laid_out(source_words(row), across, 11, 400, 1.35)
        return QSize(across, int(px(24) + px(18) + why + source) + GAP)

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        row, model, tokens = index.data(ROW_ROLE), index.model(), colours()
        assert isinstance(model, DueModel)
        whole = QRectF(option.rect)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if option.state & QStyle.StateFlag.State_Selected:
            draw.box(painter, whole.adjusted(0, 0, 0, -4), tokens.accent_soft, None, 6)
        place = whole.adjusted(INSET, 4, -INSET, 0)
        self._first_line(painter, QRectF(place.x(), place.y(), place.width(), px(22)), row)
        y = place.y() + px(24)
        line = QRectF(place.x(), y, place.width(), px(18))
        end = draw.text(painter, line, item_words(row), 13, 500)
        draw.text(painter, line.adjusted(end - line.x() + 8, 0, 0, 0), model.place(row), 12, 400, tokens.ink3)
        y += px(18)
        y = draw.paragraph(painter, QPointF(place.x(), y), place.width(), why_words(row), 12, 400, tokens.ink2, 1.4)
        source = QPointF(place.x(), y)
        draw.paragraph(painter, source, place.width(), source_words(row), 11, 400, tokens.ink3, 1.35)
        painter.restore()

    def _first_line(self, painter: QPainter, place: QRectF, row: DueDuty) -> None:
        tokens, tone = colours(), standing_tone(row.standing)
        quiet = row.standing is Standing.IN_SERVICE
        when = when_words(row)
        weight = 600 if row.standing is Standing.OVERDUE else 500
        wide = width(when, 12, weight)
        draw.tag(painter, place.x(), place.y() + 1, row.tag, px(20))
        draw.text(painter, place, when, 12, weight, tokens.ink2 if quiet else tone.text, draw.RIGHT)
        if not quiet:
            left, size = place.right() - wide - px(21), px(15)
            glyph(
                painter, STANDING_GLYPHS[row.standing], left, place.y() + (place.height() - size) / 2, size, tone.fill
            )


class DueView(QListView):
    """The list. Signal `opened` with an item's id on Enter or a double press."""

    opened = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.due = DueModel()
        self._cells = DueCells(self)
        self.setModel(self.due)
        self.setItemDelegate(self._cells)
        self.setAccessibleName("What falls due")
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.doubleClicked.connect(self._open)
        theme.changed.connect(self.viewport().update)

    def _open(self, index: QModelIndex) -> None:
        row = index.data(ROW_ROLE)
        if isinstance(row, DueDuty):
            self.opened.emit(row.item_id)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self._open(self.currentIndex())
            return
        super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()
