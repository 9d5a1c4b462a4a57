"""The table of a dialog: what a rehearsal found, a row each, with all of its text to be read."""

import textwrap
from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableWidget,
    QTableWidgetItem,
)

from ui.look import draw, tick
from ui.look.theme import theme
from ui.look.typeface import px

AIR: Final = 8
"""So much higher than its text is a row."""
GAP: Final = 14
"""So far from the next column a number ends."""
LONGEST: Final = 300
"""So many letters of a text are shown in its cell: a row higher than the table could not be read as a row."""
LONGEST_TIP: Final = 2_000
TIP_LINE: Final = 100


class Cells(QStyledItemDelegate):
    """Draws a hairline under each row, and boxes as those of a form."""

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        said = QStyleOptionViewItem(option)
        self.initStyleOption(said, index)
        if said.displayAlignment & Qt.AlignmentFlag.AlignRight and not said.state & QStyle.StateFlag.State_Selected:
            said.rect.adjust(0, 0, -px(GAP), 0)
        super().paint(painter, said, index)
        place = QRectF(option.rect)
        draw.across(painter, place.left(), place.right() + 1, place.bottom())
        if said.features & QStyleOptionViewItem.ViewItemFeature.HasCheckIndicator:
            where = QStyle.SubElement.SE_ItemViewItemCheckIndicator
            middle = QRectF(QApplication.style().subElementRect(where, said, said.widget)).center()
            side = px(tick.SMALL)
            box = QRectF(middle.x() - side / 2, middle.y() - side / 2, side, side)
            tick.box(painter, box, ticked=said.checkState is Qt.CheckState.Checked)


class Told(QTableWidget):
    """Rows of text under heads; `widths` are of all columns but the last, which takes what is left."""

    def __init__(self, name: str, heads: Sequence[str], widths: Sequence[int], *, tall: int = 190) -> None:
        super().__init__(0, len(heads))
        self.setAccessibleName(name)
        self.setItemDelegate(Cells(self))
        side = px(tick.SMALL)
        self.setStyleSheet(f"QTableView::indicator {{ width: {side}px; height: {side}px; }}")
        self.setHorizontalHeaderLabels(list(heads))
        self.verticalHeader().hide()
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setTabKeyNavigation(False)
        self.setWordWrap(True)
        self.setMinimumHeight(px(tall))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        for place, wide in enumerate(widths):
            self.setColumnWidth(place, px(wide))
        self.horizontalHeader().setStretchLastSection(True)
        self.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        theme.changed.connect(self.viewport().update)

    def tell(self, rows: Sequence[Sequence[str]]) -> None:
        """Show these rows, each as high as its text is; a cell that is cut has the rest of it in its tip."""
        self.setRowCount(len(rows))
        for row, texts in enumerate(rows):
            for column, text in enumerate(texts):
                cell = QTableWidgetItem(
                    textwrap.shorten(text, LONGEST, placeholder="…") if len(text) > LONGEST else text
                )
                cell.setToolTip(_tip(text))
                self.setItem(row, column, cell)
        self.fit_rows()

    def fit_rows(self) -> None:
        """Make each row as high as its text is at the present widths."""
        self.resizeRowsToContents()
        for row in range(self.rowCount()):
            self.setRowHeight(row, self.rowHeight(row) + px(AIR))


def _tip(text: str) -> str:
    """Return a text as a tip shows it, which wraps nothing by itself."""
    return "\n".join(textwrap.wrap(text[:LONGEST_TIP], TIP_LINE)) if len(text) > TIP_LINE else text
