"""The list of items with the layout that its user gives it."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any, Final

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtWidgets import QMenu

from register.store.lists import Sort
from ui.look.typeface import px
from ui.register_page.columns import GIVING_WAY, GROWING, Layout
from ui.table.model import Column, RowsModel
from ui.table.view import ListView, room_for

_ALWAYS: Final = "tag"
"""The column that can't be hidden: without it a row doesn't say which item it is."""


class ItemsView(ListView):
    """The list of items.

    Signals: `order_wanted` when another order of rows was chosen, `layout_changed` when its user arranged it anew.
    """

    order_wanted = Signal()
    layout_changed = Signal()

    def __init__(self, model: RowsModel) -> None:
        self._kept = Layout()
        self._fitting = True
        super().__init__(model, "Items")
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self.setHorizontalScrollMode(ListView.ScrollMode.ScrollPerPixel)
        self.heads.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.heads.customContextMenuRequested.connect(self._choose_at)
        self.heads.sort_wanted.connect(self._sort_by)
        self.heads.sectionResized.connect(self._keep_width)
        self.heads.sectionMoved.connect(lambda *_places: self.layout_changed.emit())
        self.apply_layout(Layout())
        self._fitting = False

    @property
    def sort(self) -> Sort:
        """What the rows are sorted by."""
        return Sort(self._kept.sort)

    @property
    def descending(self) -> bool:
        """Whether the last comes first."""
        return self._kept.descending

    def layout_kept(self) -> Layout:
        """Return the layout at present, to be kept for the next time."""
        heads, places = self.heads, range(len(self._model.columns))
        order = tuple(self._model.columns[heads.logicalIndex(place)].key for place in places)
        hidden = frozenset(each.key for place, each in enumerate(self._model.columns) if self.isColumnHidden(place))
        return Layout(order, hidden, dict(self._kept.widths), self._kept.sort, self._kept.descending)

    def apply_layout(self, kept: Layout) -> None:
        """Show the list as it was kept; columns that it doesn't name keep their usual places at the end."""
        names = [each.key for each in self._model.columns]
        order = [key for key in kept.order if key in names]
        order += [key for key in names if key not in order]
        for place, key in enumerate(order):
            self.heads.moveSection(self.heads.visualIndex(names.index(key)), place)
        for place, key in enumerate(names):
            self.setColumnHidden(place, key in kept.hidden and key != _ALWAYS)
        self._kept = replace(kept, widths=dict(kept.widths))
        self._mark_sort()
        self.fit()

    def columns_shown(self) -> list[Column]:
        """Return the columns that are shown, in their order."""
        places = (self.heads.logicalIndex(place) for place in range(len(self._model.columns)))
        return [self._model.columns[place] for place in places if not self.isColumnHidden(place)]

    def column_menu(self) -> QMenu:
        """Return the menu in which columns are shown and hidden."""
        menu = QMenu(self)
        for place, column in enumerate(self._model.columns):
            if column.key == _ALWAYS:
                continue
            action = menu.addAction(column.title)
            action.setCheckable(True)
            action.setChecked(not self.isColumnHidden(place))
            action.toggled.connect(self._shower(place))
        menu.addSeparator()
        menu.addMenu(self._sort_menu(menu))
        menu.addAction("Reset the layout").triggered.connect(self._reset)
        menu.aboutToHide.connect(menu.deleteLater)
        return menu

    def _sort_menu(self, menu: QMenu) -> QMenu:
        part = QMenu("Sort by", menu)
        for column in self._model.columns:
            if column.sort:
                action = part.addAction(column.title)
                action.setCheckable(True)
                action.setChecked(column.sort == self._kept.sort)
                action.triggered.connect(partial(self._sort_by, column))
        return part

    def choose_columns(self) -> None:
        """Open the menu of columns under the heads."""
        self._choose_at(QPoint(px(16), self.heads.height()))

    def fit(self) -> None:
        """Give each column its width; what a wide window has left goes to those that can use it."""
        fitting, self._fitting = self._fitting, True
        shown = [place for place in range(len(self._model.columns)) if not self.isColumnHidden(place)]
        widths = {place: self._width(self._model.columns[place]) for place in shown}
        self._give_way(widths)
        left = max(0, self.viewport().width() - sum(widths.values()))
        growing = {place: GROWING.get(self._model.columns[place].key, 0) for place in shown}
        parts = sum(growing.values())
        for place in shown:
            self.setColumnWidth(place, widths[place] + (left * growing[place] // parts if parts else 0))
        self._fitting = fitting

    def _give_way(self, widths: dict[int, int]) -> None:
        """Take what a narrow window lacks from columns whose texts may be shortened, where their user set no width."""
        lacks = sum(widths.values()) - self.viewport().width()
        for place, wide in widths.items():
            key = self._model.columns[place].key
            if lacks > 0 and key in GIVING_WAY and key not in self._kept.widths:
                widths[place] = max(px(GIVING_WAY[key]), wide - lacks)
                lacks -= wide - widths[place]

    def _width(self, column: Column) -> int:
        return self._kept.widths.get(column.key, room_for(column))

    def _keep_width(self, place: int, _before: int, now: int) -> None:
        """Keep a width that the user gave a column."""
        if not self._fitting and now > 0:
            self._kept.widths[self._model.columns[place].key] = now
            self.layout_changed.emit()

    def _shower(self, place: int) -> Callable[[bool], None]:
        def show(on: bool) -> None:  # noqa: FBT001 - Qt's signal
            self.setColumnHidden(place, not on)
            self.fit()
            self.layout_changed.emit()

        return show

    def _reset(self) -> None:
        self.apply_layout(Layout(sort=self._kept.sort, descending=self._kept.descending))
        self.layout_changed.emit()

    def _choose_at(self, at: QPoint) -> None:
        self.column_menu().popup(self.heads.mapToGlobal(at))

    def _sort_by(self, column: Any, _on: bool = False) -> None:  # noqa: ANN401, FBT001, FBT002 - from signals
        turned = column.sort == self._kept.sort and not self._kept.descending
        self._kept = replace(self._kept, sort=str(column.sort), descending=turned)
        self._mark_sort()
        self.order_wanted.emit()
        self.layout_changed.emit()

    def _mark_sort(self) -> None:
        mine = next((each.key for each in self._model.columns if each.sort == self._kept.sort), "")
        self.heads.show_sort(mine, descending=self._kept.descending)
