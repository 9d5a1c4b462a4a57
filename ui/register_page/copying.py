"""Copying rows as text parted by tabs, those included that never came into sight."""

from collections.abc import Sequence
from functools import partial
from typing import Any, Final

from PySide6.QtCore import QObject
from PySide6.QtGui import QGuiApplication

from register.domain.words import counted
from register.services.item_list import listed_rows
from ui.page import Desk
from ui.register_page.items_view import ItemsView
from ui.table.model import Column

AT_ONCE: Final = 1_000
"""So many rows are read at once, so that other questions are answered in between."""


class Copying(QObject):
    """Puts the chosen rows on the clipboard, with their heads and in the columns that are shown."""

    def __init__(self, view: ItemsView, desk: Desk) -> None:
        super().__init__(view)
        self._view, self._desk = view, desk
        self._keys: list[str] = []
        self._columns: list[Column] = []
        self._lines: list[str] = []
        self._round = 0

    def begin(self) -> None:
        """Begin to copy; a copying that is under way is dropped."""
        self._round += 1
        self._keys, self._columns = self._view.selected_keys(), self._view.columns_shown()
        self._lines = [heads(self._columns)]
        if len(self._keys) > AT_ONCE:
            self._desk.messages.tell(f"Copying {counted(len(self._keys), 'row')}…")
        if self._keys:
            self._read(0)

    def _read(self, start: int) -> None:
        keys, columns, today = self._keys[start : start + AT_ONCE], self._columns, self._desk.jobs.today
        self._desk.jobs.ask(
            lambda at: _lines(listed_rows(at, keys, today), keys, columns),
            partial(self._take, self._round, start + AT_ONCE),
        )

    def _take(self, asked: int, following: int, lines: list[str]) -> None:
        if asked != self._round:
            return
        self._lines += lines
        if following < len(self._keys):
            self._read(following)
            return
        QGuiApplication.clipboard().setText("\n".join(self._lines))
        count = len(self._lines) - 1
        self._desk.messages.tell(f"{counted(count, 'row')} copied.")
        self._lines = []


def heads(columns: Sequence[Column]) -> str:
    """Return the heads of columns as a line."""
    return "\t".join(column.title for column in columns)


def _lines(rows: dict[str, Any], keys: Sequence[str], columns: Sequence[Column]) -> list[str]:
    """Return rows as lines; what a cell parts by a tab is parted by a comma, so that each column stays one."""
    return [
        "\t".join(column.text(rows[key]).replace("\t", ", ").strip(", ") for column in columns)
        for key in keys
        if key in rows
    ]
