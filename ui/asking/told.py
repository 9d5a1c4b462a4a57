"""The table of a dialog: what a rehearsal found, a row each, with all of its text to be read."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractItemView, QTableWidget, QTableWidgetItem

from ui.look.typeface import px

AIR = 8
"""So much higher than its text is a row."""


class Told(QTableWidget):
    """Rows of text under heads; `widths` are of all columns but the last, which takes what is left."""

    def __init__(self, name: str, heads: Sequence[str], widths: Sequence[int], *, tall: int = 190) -> None:
        super().__init__(0, len(heads))
        self.setAccessibleName(name)
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

    def tell(self, rows: Sequence[Sequence[str]]) -> None:
        """Show these rows, each as high as its text is; a cell that is cut has all of it in its tip."""
        self.setRowCount(len(rows))
        for row, texts in enumerate(rows):
            for column, text in enumerate(texts):
                cell = QTableWidgetItem(text)
                cell.setToolTip(text)
                self.setItem(row, column, cell)
        self.fit_rows()

    def fit_rows(self) -> None:
        """Make each row as high as its text is at the present widths."""
        self.resizeRowsToContents()
        for row in range(self.rowCount()):
            self.setRowHeight(row, self.rowHeight(row) + px(AIR))
