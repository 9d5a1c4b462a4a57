"""Lists whose rows are all known: few enough to be read at once, shown like every other list."""

from collections.abc import Callable, Sequence
from typing import Any

from ui.table.model import Column, RowsModel
from ui.table.view import ListView


class Shelf:
    """A list and what stands on it. `key` returns the key of a row."""

    def __init__(self, columns: Sequence[Column], name: str, key: Callable[[Any], str]) -> None:
        self._key = key
        self._rows: dict[str, Any] = {}
        self.model = RowsModel(columns, self._fetch)
        self.view = ListView(self.model, name)
        self.view.setSelectionMode(ListView.SelectionMode.SingleSelection)

    def show(self, rows: Sequence[Any]) -> None:
        """Show these rows; the cursor stays on its row, or goes to the first one."""
        kept = self.current
        self._rows = {self._key(row): row for row in rows}
        self.model.show_keys(list(self._rows))
        self.view.fit()
        if rows and (kept is None or not self.view.select_key(self._key(kept))):
            self.view.selectRow(0)

    @property
    def current(self) -> Any | None:  # noqa: ANN401 - whatever stands on it
        """The row that the cursor is on."""
        number = self.view.currentIndex().row()
        keys = self.model.keys
        return self._rows.get(keys[number]) if 0 <= number < len(keys) else None

    @property
    def rows(self) -> list[Any]:
        """All rows, in order."""
        return list(self._rows.values())

    def _fetch(self, keys: list[str], then: Callable[[dict[str, Any]], None]) -> None:
        then({key: self._rows[key] for key in keys if key in self._rows})
