"""The view of a list: heads that sort, rows of one height, cells drawn by the role of their column."""

import math
from collections.abc import Callable
from typing import Any, Final

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QGuiApplication, QKeyEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from register.domain.words import Standing
from ui.look import draw
from ui.look.glyphs import STANDING_GLYPHS, VERDICT_GLYPHS, glyph
from ui.look.theme import colours, standing_tone, theme, verdict_tone
from ui.look.typeface import px, width
from ui.look.widgets import standing_word
from ui.table.model import ROW_ROLE, Column, RowsModel
from ui.table.widths import LEAST, spread

ROW: Final = 32
INSET: Final = 8
DATE: Final = 96
"""The room of a date before how far away it is."""

ENOUGH: Final = 300
"""Wider than this no open column needs to be while others are cut."""

GROWING: Final = frozenset({"text", "name", "two"})
"""Roles of columns whose words can be of any length."""

Draw = Callable[[QPainter, QRectF, Any, Column], None]


def _text(painter: QPainter, place: QRectF, row: Any, column: Column) -> None:  # noqa: ANN401 - any list's row
    draw.text(painter, place, column.text(row), 13, 400, colours().ink2)


def _name(painter: QPainter, place: QRectF, row: Any, column: Column) -> None:  # noqa: ANN401 - any list's row
    draw.text(painter, place, column.text(row), 13, 500)


def _number(painter: QPainter, place: QRectF, row: Any, column: Column) -> None:  # noqa: ANN401 - any list's row
    draw.text(painter, place, column.text(row), 13, 500, align=draw.RIGHT)


def _code(painter: QPainter, place: QRectF, row: Any, column: Column) -> None:  # noqa: ANN401 - any list's row
    draw.text(painter, place, column.text(row), 13, 400, colours().ink2, code=True)


def _tag(painter: QPainter, place: QRectF, row: Any, column: Column) -> None:  # noqa: ANN401 - any list's row
    high = px(20)
    room = place.width() + INSET - draw.tag_width("", high)
    number = draw.shortened(column.text(row), room, 12, 500, code=True)
    draw.tag(painter, place.x() - 4, place.y() + (place.height() - high) / 2, number, high)


def _standing(painter: QPainter, place: QRectF, row: Any, _column: Column) -> None:  # noqa: ANN401 - any list's row
    tone = standing_tone(row.standing)
    glyph(painter, STANDING_GLYPHS[row.standing], place.x(), place.y() + (place.height() - 16) / 2, 16, tone.fill)
    words = place.adjusted(24, 0, 0, 0)
    draw.text(painter, words, standing_word(row.standing), 13, 500, tone.text)


def _verdict(painter: QPainter, place: QRectF, row: Any, column: Column) -> None:  # noqa: ANN401 - any list's row
    tone = verdict_tone(row.verdict)
    glyph(painter, VERDICT_GLYPHS[row.verdict], place.x(), place.y() + (place.height() - 12) / 2, 12, tone.fill)
    draw.text(painter, place.adjusted(20, 0, 0, 0), column.text(row), 13, 500, tone.text)


def _two(painter: QPainter, place: QRectF, row: Any, column: Column) -> None:  # noqa: ANN401 - any list's row
    """Two texts, the second one quieter; `Column.text` parts them by a tab."""
    first, _tab, second = column.text(row).partition("\t")
    end = draw.text(painter, place, first, 13, 400, colours().ink2)
    draw.text(painter, place.adjusted(end - place.x() + 8, 0, 0, 0), second, 12, 400, colours().ink3)


def _date(painter: QPainter, place: QRectF, row: Any, column: Column) -> None:  # noqa: ANN401 - any list's row
    """A date and how far away it is, in the colour of the row's standing where that matters."""
    first, _tab, second = column.text(row).partition("\t")
    tokens, standing = colours(), row.standing
    urgent = standing_word(standing) in {"Overdue", "Due soon"}
    split = px(DATE)
    day = QRectF(place.x(), place.y(), split, place.height())
    draw.text(painter, day, first, 13, 500 if urgent else 400, align=draw.RIGHT)
    far = place.adjusted(split + 10, 0, 0, 0)
    over = standing_word(standing) == "Overdue"
    draw.text(painter, far, second, 12, 600 if over else 400, standing_tone(standing).text if urgent else tokens.ink3)


_ROLES: Final[dict[str, Draw]] = {
    "text": _text, "name": _name, "number": _number, "code": _code, "tag": _tag, "standing": _standing,
    "verdict": _verdict, "two": _two, "date": _date,
}  # fmt: skip


def _leads(heads: QHeaderView, section: int) -> bool:
    """Whether a column is the first in sight, where a chosen row has its bar."""
    return all(heads.isSectionHidden(heads.logicalIndex(place)) for place in range(heads.visualIndex(section)))


class Cells(QStyledItemDelegate):
    """Draws each cell by the role of its column."""

    def __init__(self, heads: QHeaderView) -> None:
        super().__init__(heads)
        self._heads = heads

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        tokens = colours()
        rect: QRect = option.rect
        place, state = QRectF(rect), option.state
        leads = _leads(self._heads, index.column())
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if state & QStyle.StateFlag.State_Selected:
            painter.fillRect(rect, QColor(tokens.accent_soft))
            if leads:
                painter.fillRect(QRectF(place.x(), place.y(), 3, place.height()), QColor(tokens.accent))
        draw.across(painter, place.left(), place.right() + 1, place.bottom() - 1, tokens.hair)
        model = index.model()
        assert isinstance(model, RowsModel)
        row = index.data(ROW_ROLE)
        if row is not None:
            column = model.columns[index.column()]
            left = INSET + (INSET if leads else 0)
            _ROLES[column.role](painter, place.adjusted(left, 0, -INSET, 0), row, column)
        painter.restore()


def room_for(column: Column) -> int:
    """Return how wide a column is: as drawn, or more where its title or its words need more; 0 for what is left."""
    if not column.width:
        return 0
    words = tuple(map(standing_word, Standing)) if column.role == "standing" else column.words
    before = {"standing": 24 + INSET, "verdict": 20 + INSET, "date": px(DATE) + 10}.get(column.role, 0)
    needed = [width(column.title, 12, 600), *(before + width(each, 13, 500) for each in words)]
    return max(px(column.width), math.ceil(max(needed)) + 2 * INSET)


class Heads(QHeaderView):
    """The heads of the columns; a press on one sorts by it. Signal `sort_wanted` gives its column."""

    sort_wanted = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.sorted_by = ""
        self.descending = False
        self.setFixedHeight(px(32))
        self.setMinimumSectionSize(20)
        self.setSectionsMovable(True)
        self.setSectionsClickable(True)
        self.sectionClicked.connect(self._pressed)
        theme.changed.connect(self.viewport().update)

    def show_sort(self, key: str, *, descending: bool) -> None:
        """Mark the column that is sorted by."""
        self.sorted_by, self.descending = key, descending
        self.viewport().update()

    def _pressed(self, section: int) -> None:
        model = self.model()
        if isinstance(model, RowsModel) and model.columns[section].sort:
            self.sort_wanted.emit(model.columns[section])

    def paintSection(self, painter: QPainter, rect: QRect, logicalIndex: int) -> None:  # noqa: N803 - Qt's name
        model = self.model()
        if not isinstance(model, RowsModel) or not rect.isValid():
            return
        tokens, column, place = colours(), model.columns[logicalIndex], QRectF(rect)
        painter.save()
        painter.fillRect(rect, QColor(tokens.surface))
        on = column.key == self.sorted_by
        left = INSET + (INSET if _leads(self, logicalIndex) else 0)
        words, align = place.adjusted(left, 0, -INSET, 0), draw.LEFT
        if column.role == "number":
            align = draw.RIGHT
        if column.role == "date":
            words, align = QRectF(words.x(), words.y(), px(DATE), words.height()), draw.RIGHT
        end = draw.text(painter, words, column.title, 12, 600 if on else 500, tokens.ink if on else tokens.ink2, align)
        if on:
            at = end if align is draw.LEFT else words.right()
            glyph(painter, "up" if self.descending else "down", at + 3, place.center().y() - 6, 12, tokens.ink)
        draw.across(painter, place.left(), place.right() + 1, place.bottom() - 1, tokens.rule)
        painter.restore()


class ListView(QTableView):
    """A list.

    Signals: `current_changed` with the key of the row that the cursor is on, `chosen` on Enter or a double press.
    """

    current_changed = Signal(str)
    chosen = Signal(str)

    def __init__(self, model: RowsModel, name: str) -> None:
        super().__init__()
        self._model = model
        self.heads = Heads(self)
        self._cells = Cells(self.heads)
        self.setAccessibleName(name)
        self.setHorizontalHeader(self.heads)
        self.setModel(model)
        self.setItemDelegate(self._cells)
        self.verticalHeader().hide()
        self.verticalHeader().setMinimumSectionSize(20)
        self.verticalHeader().setDefaultSectionSize(px(ROW))
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTabKeyNavigation(False)
        self.selectionModel().currentRowChanged.connect(self._tell)
        self.doubleClicked.connect(lambda index: self.chosen.emit(model.keys[index.row()]))

    def fit(self) -> None:
        """Let the columns fill the list."""
        shown = [place for place in range(len(self._model.columns)) if not self.isColumnHidden(place)]
        columns = [self._model.columns[place] for place in shown]
        widths = [room_for(column) for column in columns]
        grows = [column.role in GROWING for column in columns]
        room = self.viewport().width()
        for place, across in zip(shown, spread(widths, grows, room, px(LEAST), px(ENOUGH)), strict=True):
            self.setColumnWidth(place, across)

    def selected_keys(self) -> list[str]:
        """Return the keys of the selected rows, in order."""
        ranges = sorted((part.top(), part.bottom()) for part in self.selectionModel().selection().toList())
        keys = (key for top, bottom in ranges for key in self._model.keys[top : bottom + 1])
        return list(dict.fromkeys(keys))

    def select_key(self, key: str) -> bool:
        """Put the cursor on a row, and bring it into sight; False where the list does not show it."""
        if key not in self._model.keys:
            return False
        row = self._model.keys.index(key)
        self.selectRow(row)
        self.scrollTo(self._model.index(row, 0))
        return True

    def copy_rows(self) -> int:
        """Put the selected rows on the clipboard with their heads, as text parted by tabs; return how many."""
        columns = [column for place, column in enumerate(self._model.columns) if not self.isColumnHidden(place)]
        lines = ["\t".join(column.title for column in columns)]
        for index in sorted(self.selectionModel().selectedRows(), key=QModelIndex.row):
            row = self._model.row_at(index.row())
            if row is not None:
                lines.append("\t".join(column.text(row).replace("\t", ", ") for column in columns))
        QGuiApplication.clipboard().setText("\n".join(lines))
        return len(lines) - 1

    def _tell(self, now: QModelIndex, _before: QModelIndex) -> None:
        self.current_changed.emit(self._model.keys[now.row()] if now.isValid() else "")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        current = self.currentIndex()
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and current.isValid():
            self.chosen.emit(self._model.keys[current.row()])
            return
        super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.fit()
