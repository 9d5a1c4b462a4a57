"""The list in which sites are ticked: by Space, or by pressing a row anywhere."""

from collections.abc import Collection, Sequence
from typing import Final

from PySide6.QtCore import QAbstractItemModel, QEvent, QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QPainter
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from register.services.finding import SiteChoice
from ui.look import draw
from ui.look.theme import colours, theme
from ui.look.tick import SMALL, box
from ui.look.typeface import px

Index = QModelIndex | QPersistentModelIndex

_CODE: Final = Qt.ItemDataRole.UserRole
_ROWS: Final = 6


class SiteList(QListWidget):
    """All sites, each with a box; the one chosen before is ticked and in sight."""

    def __init__(self, sites: Sequence[SiteChoice], chosen: str = "") -> None:
        super().__init__()
        self.setItemDelegate(Rows(self))
        for site in sites:
            row = QListWidgetItem(f"{site.name} ({site.code})")
            row.setData(_CODE, site.code)
            row.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsUserCheckable)
            row.setCheckState(Qt.CheckState.Checked if site.id == chosen else Qt.CheckState.Unchecked)
            self.addItem(row)
            if site.id == chosen:
                self.setCurrentItem(row)
        if self.currentRow() < 0:
            self.setCurrentRow(0)
        self.setFixedHeight(px(30) * min(max(len(sites), 2), _ROWS) + 4)
        theme.changed.connect(self.viewport().update)

    def tick(self, codes: Collection[str]) -> None:
        """Tick the sites of these codes, and no others; the first of them comes into sight."""
        first = -1
        for row in range(self.count()):
            item = self.item(row)
            on = item.data(_CODE) in codes
            item.setCheckState(Qt.CheckState.Checked if on else Qt.CheckState.Unchecked)
            first = row if on and first < 0 else first
        if first >= 0:
            self.setCurrentRow(first)

    @property
    def ticked(self) -> list[str]:
        """The codes of the sites that are ticked."""
        rows = (self.item(row) for row in range(self.count()))
        return [str(row.data(_CODE)) for row in rows if row.checkState() is Qt.CheckState.Checked]


class Rows(QStyledItemDelegate):
    """Draws a site with its box, and ticks it."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: ARG002 - all alike
        return QSize(px(200), px(30))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        tokens, place = colours(), QRectF(option.rect)
        if option.state & QStyle.StateFlag.State_Selected:
            draw.box(painter, place, tokens.accent_soft, None, 0)
        edge, side = place.left() + 10, px(SMALL)
        box(painter, QRectF(edge, place.center().y() - side / 2, side, side), ticked=_ticked(index))
        words = QRectF(edge + side + 10, place.top(), place.right() - edge - side - 18, place.height())
        draw.text(painter, words, str(index.data()), 13, 500, tokens.ink)

    def editorEvent(
        self, event: QEvent, model: QAbstractItemModel, option: QStyleOptionViewItem, index: Index  # noqa: ARG002
    ) -> bool:  # fmt: skip
        """Tick or untick a site."""
        space = isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Space
        if not space and event.type() is not QEvent.Type.MouseButtonRelease:
            return False
        state = Qt.CheckState.Unchecked if _ticked(index) else Qt.CheckState.Checked
        return model.setData(index, state, Qt.ItemDataRole.CheckStateRole)


def _ticked(index: Index) -> bool:
    return Qt.CheckState(index.data(Qt.ItemDataRole.CheckStateRole)) is Qt.CheckState.Checked
