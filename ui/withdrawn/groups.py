"""The list of withdrawn items, in groups by who is waited for: its model, its heads and its cells."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, QRect, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from register.domain.words import counted
from register.services.withdrawals.listed import OutRow, Waiting
from ui.dates import shown
from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours, theme
from ui.look.typeface import px, width
from ui.table.widths import LEAST, spread

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole

COLUMNS: Final[tuple[tuple[str, int, int], ...]] = (
    ("Item", 340, 280), ("Site", 232, 142), ("Out since", 190, 176), ("Why", 0, 0), ("Tag no.", 100, 88),
    ("Told", 150, 104),
)  # fmt: skip
"""Each column's title, its width, and its width in a narrow window."""

GROWING: Final = frozenset({"Item", "Site", "Told"})
ENOUGH: Final = 480
"""So wide holds most reasons whole."""

NARROW: Final = 1150
LONG_DAYS: Final = 42
"""Out for longer than this, an item's age is drawn bold (common practice, no source)."""

TITLES: Final = {
    Waiting.OWNER: "Waiting for the owner: repair or dispose",
    Waiting.TEST: "Waiting for our test",
}


@dataclass(frozen=True, slots=True)
class Group:
    """The head of a group: its title and what it holds, in words."""

    title: str
    about: str


Line = Group | OutRow


def lines_of(rows: Sequence[OutRow]) -> list[Line]:
    """Return the rows with a head before each group that has any."""
    lines: list[Line] = []
    for waiting in Waiting:
        mine = [row for row in rows if row.waiting is waiting]
        if mine:
            oldest = max(row.days for row in mine)
            lines.append(Group(TITLES[waiting], f"{counted(len(mine), 'item')}, oldest {counted(oldest, 'day')}"))
            lines += mine
    return lines


class OutModel(QAbstractTableModel):
    """Group heads and items, a line each."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[Line] = []

    def show_lines(self, lines: list[Line]) -> None:
        """Show other lines."""
        self.beginResetModel()
        self.lines = lines
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own default
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own default
        return 0 if parent.isValid() else len(COLUMNS)

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:  # noqa: ANN401 - Qt's own
        if not index.isValid() or role not in {Role.DisplayRole, Role.AccessibleTextRole, Role.ToolTipRole}:
            return None
        line = self.lines[index.row()]
        if isinstance(line, Group):
            return f"{line.title}, {line.about}" if index.column() == 0 else ""
        return self._texts(line)[index.column()]

    @staticmethod
    def _texts(row: OutRow) -> tuple[str, ...]:
        days = counted(row.days, "day")
        return (
            f"{row.tag}, {row.description}, withdrawn", f"{row.site}, {row.area}", f"{shown(row.since)}, {days}",
            row.short, row.tag_number or "no tag number yet", row.told or "nobody noted as told",
        )  # fmt: skip

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Role.DisplayRole) -> Any:  # noqa: ANN401
        inside = orientation is Qt.Orientation.Horizontal and 0 <= section < len(COLUMNS)
        return COLUMNS[section][0] if inside and role == Role.DisplayRole else None

    def flags(self, index: Index) -> Qt.ItemFlag:
        if not index.isValid():
            return Qt.ItemFlag.NoItemFlags
        if isinstance(self.lines[index.row()], Group):
            return Qt.ItemFlag.ItemIsEnabled
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable


class OutCells(QStyledItemDelegate):
    """Draws the heads of groups and the cells of items."""

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        model = index.model()
        assert isinstance(model, OutModel)
        line, rect = model.lines[index.row()], option.rect
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if isinstance(line, Group):
            self._group(painter, QRectF(rect), line, index.column())
        else:
            chosen = bool(option.state & QStyle.StateFlag.State_Selected)
            self._item(painter, rect, line, index.column(), chosen=chosen)
        painter.restore()

    @staticmethod
    def _group(painter: QPainter, place: QRectF, group: Group, column: int) -> None:
        tokens = colours()
        draw.across(painter, place.left(), place.right() + 1, place.bottom(), tokens.rule)
        if column == 0:
            words = place.adjusted(16, 8, 0, 0)
            end = draw.text(painter, words, group.title, 15, 600)
            draw.text(painter, words.adjusted(end - words.x() + 12, 0, 0, 0), group.about, 12, 400, tokens.ink2)

    def _item(self, painter: QPainter, rect: QRect, row: OutRow, column: int, *, chosen: bool) -> None:
        tokens, place = colours(), QRectF(rect)
        if chosen:
            painter.fillRect(rect, QColor(tokens.accent_soft))
            if column == 0:
                painter.fillRect(QRectF(place.x(), place.y(), 3, place.height()), QColor(tokens.accent))
        draw.across(painter, place.left(), place.right() + 1, place.bottom(), tokens.hair)
        words = place.adjusted(8, 0, -8, 0)
        (_first, _site, _since, _why, _number, _told)[column](painter, words, row)


def _first(painter: QPainter, place: QRectF, row: OutRow) -> None:
    tone, high = colours().withdrawn, px(20)
    glyph(painter, "open", place.x() + 8, place.center().y() - 8, 16, tone.fill)
    left = place.x() + 34
    wide = draw.tag(painter, left, place.center().y() - high / 2, row.tag, high)
    draw.text(painter, QRectF(left + wide + 10, place.y(), place.right() - left - wide - 10, place.height()),
              row.description, 13, 500)  # fmt: skip


def _site(painter: QPainter, place: QRectF, row: OutRow) -> None:
    end = draw.text(painter, place, row.site, 13, 400, colours().ink2)
    draw.text(painter, place.adjusted(end - place.x() + 8, 0, 0, 0), row.area, 12, 400, colours().ink3)


def _since(painter: QPainter, place: QRectF, row: OutRow) -> None:
    tokens, since = colours(), shown(row.since)
    split = max(px(88), width(since))
    draw.text(painter, QRectF(place.x(), place.y(), split, place.height()), since, 13, 400, align=draw.RIGHT)
    left, long = place.x() + split + 10, row.days > LONG_DAYS
    bar = max(2.0, min(px(30), row.days * 0.3, place.right() - left - px(46)))  # the days themselves are never cut
    painter.fillRect(QRectF(left, place.center().y() - 2, bar, 4), QColor(tokens.withdrawn.fill))
    words = QRectF(left + bar + 6, place.y(), place.right() - left - bar - 6, place.height())
    draw.text(painter, words, f"{row.days} d", 12, 600 if long else 400, tokens.ink if long else tokens.ink2)


def _why(painter: QPainter, place: QRectF, row: OutRow) -> None:
    draw.text(painter, place, row.short, 13, 400)


def _number(painter: QPainter, place: QRectF, row: OutRow) -> None:
    if row.tag_number:
        draw.text(painter, place, row.tag_number, 13, 500, colours().ink2, code=True)
    else:
        draw.text(painter, place, "none yet", 13, 500, colours().soon.text)


def _told(painter: QPainter, place: QRectF, row: OutRow) -> None:
    if row.told:
        draw.text(painter, place, row.told, 13, 400, colours().ink2)
    else:
        draw.text(painter, place, "not noted", 13, 400, colours().soon.text)


class OutHeads(QHeaderView):
    """The heads of the columns."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setFixedHeight(px(36))
        self.setMinimumSectionSize(20)
        theme.changed.connect(self.viewport().update)

    def paintSection(self, painter: QPainter, rect: QRect, logicalIndex: int) -> None:  # noqa: N803 - Qt's name
        tokens, place = colours(), QRectF(rect)
        painter.save()
        painter.fillRect(rect, QColor(tokens.surface))
        left = 16 if logicalIndex == 0 else 8
        words, align = place.adjusted(left, 0, -8, 0), draw.LEFT
        if COLUMNS[logicalIndex][0] == "Out since":
            words, align = QRectF(words.x(), words.y(), px(84), words.height()), draw.RIGHT
        draw.text(painter, words, COLUMNS[logicalIndex][0], 12, 500, tokens.ink2, align)
        draw.across(painter, place.left(), place.right() + 1, place.bottom(), tokens.rule)
        painter.restore()


class OutView(QTableView):
    """The list. Signals: `current_changed` when the cursor moves, `chosen` on Enter or a double press."""

    current_changed = Signal()
    chosen = Signal()

    def __init__(self, model: OutModel) -> None:
        super().__init__()
        self._model, self._cells, self._heads = model, OutCells(self), OutHeads(self)
        self.setAccessibleName("Items out of service")
        self.setHorizontalHeader(self._heads)
        self.setModel(model)
        self.setItemDelegate(self._cells)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(px(32))
        self.verticalHeader().setMinimumSectionSize(20)
        self.setShowGrid(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTabKeyNavigation(False)
        self.selectionModel().currentRowChanged.connect(self._tell)
        self.doubleClicked.connect(self._choose)

    def fit(self) -> None:
        """Give lines their heights, and columns their widths."""
        self.clearSpans()
        for place, line in enumerate(self._model.lines):
            group = isinstance(line, Group)
            high = px(52 if group else 32)
            if self.rowHeight(place) != high:  # each change lays out the whole list again
                self.setRowHeight(place, high)
            if group:
                self.setSpan(place, 0, 1, len(COLUMNS))
        room = self.viewport().width()
        widths = [px(narrow if room < px(NARROW) else wide) for _title, wide, narrow in COLUMNS]
        grows = [title in GROWING for title, _wide, _narrow in COLUMNS]
        for place, wide in enumerate(spread(widths, grows, room, px(LEAST), px(ENOUGH))):
            self.setColumnWidth(place, wide)

    def current_row(self) -> OutRow | None:
        """Return the item that the cursor is on."""
        index = self.currentIndex()
        line = self._model.lines[index.row()] if index.isValid() else None
        return line if isinstance(line, OutRow) else None

    def select_item(self, key: str) -> None:
        """Put the cursor on an item, or on the first where it is not in the list."""
        rows = [place for place, line in enumerate(self._model.lines) if isinstance(line, OutRow)]
        wanted = [place for place in rows if getattr(self._model.lines[place], "item_id", "") == key]
        for place in (wanted or rows)[:1]:
            self.selectRow(place)

    def show_current(self) -> None:
        """Bring the item under the cursor into sight."""
        self.scrollTo(self.currentIndex())

    def _tell(self, _now: QModelIndex, _before: QModelIndex) -> None:
        self.current_changed.emit()

    def _choose(self, _index: QModelIndex) -> None:
        self.chosen.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.chosen.emit()
            return
        super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.fit()
