"""A model that holds the keys of all rows and only those rows that were in sight lately."""

from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, QTimer

PAGE: Final = 128
KEPT: Final = 40
"""So many pages of rows are kept."""

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole

ROW_ROLE: Final = Qt.ItemDataRole.UserRole
"""The whole row behind an index, for the cells that draw it; None while it is being fetched."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a list. `text` gives the plain words of a row, which screen readers and copying use.

    `sort` is the query's name for sorting by it, empty where it can't be. `role` names how the cell is drawn, `width`
    is in the steps of the drawings; 0 takes what is left. `words` are those that have their room at any width.
    """

    key: str
    title: str
    text: Callable[[Any], str]
    width: int
    role: str = "text"
    sort: str = ""
    words: tuple[str, ...] = ()


class RowsModel(QAbstractTableModel):
    """Rows by their keys. `fetch` is asked for rows that came into sight and calls back with a row for each key."""

    def __init__(
        self,
        columns: Sequence[Column],
        fetch: Callable[[list[str], Callable[[dict[str, Any]], None]], None],
    ) -> None:
        super().__init__()
        self.columns = tuple(columns)
        self._fetch = fetch
        self._keys: list[str] = []
        self._pages: OrderedDict[int, dict[str, Any]] = OrderedDict()
        self._wanted: set[int] = set()
        self._asked: set[int] = set()
        self._round = 0
        self._timer = QTimer(self, singleShot=True, interval=0)
        self._timer.timeout.connect(self._ask)

    def show_keys(self, keys: list[str]) -> None:
        """Show other rows, in this order."""
        self.beginResetModel()
        self._keys = keys
        self._pages.clear()
        self._wanted.clear()
        self._asked.clear()
        self._round += 1
        self.endResetModel()

    @property
    def keys(self) -> list[str]:
        """The keys of all rows, in order."""
        return self._keys

    def row_at(self, number: int) -> Any | None:  # noqa: ANN401 - whatever the list shows
        """Return a row, or None while it is being fetched."""
        if not 0 <= number < len(self._keys):
            return None
        page = self._pages.get(number // PAGE)
        if page is None:
            self._want(number // PAGE)
            return None
        return page.get(self._keys[number])

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own default
        return 0 if parent.isValid() else len(self._keys)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own default
        return 0 if parent.isValid() else len(self.columns)

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:  # noqa: ANN401 - Qt's own
        if not index.isValid():
            return None
        if role == ROW_ROLE:
            return self.row_at(index.row())
        if role in {Role.DisplayRole, Role.AccessibleTextRole, Role.ToolTipRole}:
            row = self.row_at(index.row())
            return "" if row is None else self.columns[index.column()].text(row)
        return None

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Role.DisplayRole) -> Any:  # noqa: ANN401
        inside = orientation is Qt.Orientation.Horizontal and 0 <= section < len(self.columns)
        return self.columns[section].title if inside and role == Role.DisplayRole else None

    def _want(self, page: int) -> None:
        if page not in self._asked and page not in self._wanted:
            self._wanted.add(page)
            self._timer.start()

    def _ask(self) -> None:
        for page in sorted(self._wanted):
            self._asked.add(page)
            keys = self._keys[page * PAGE : (page + 1) * PAGE]
            self._fetch(keys, partial(self._take, page, self._round))
        self._wanted.clear()

    def _take(self, page: int, asked: int, rows: dict[str, Any]) -> None:
        """Keep the rows of a page, unless other rows are shown by now."""
        if asked != self._round:
            return
        self._asked.discard(page)
        self._pages[page] = rows
        while len(self._pages) > KEPT:
            self._pages.popitem(last=False)
        last = min((page + 1) * PAGE, len(self._keys)) - 1
        self.dataChanged.emit(self.index(page * PAGE, 0), self.index(last, len(self.columns) - 1))
