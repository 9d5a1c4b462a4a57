"""Copying rows as text parted by tabs, those included that never came into sight."""

from collections.abc import Sequence
from typing import Any

from PySide6.QtGui import QGuiApplication

from register.services.item_list import listed_rows
from ui.page import Desk
from ui.register_page.items_view import ItemsView
from ui.table.model import Column


def copy_rows(view: ItemsView, desk: Desk) -> None:
    """Put the chosen rows on the clipboard, with their heads and in the columns that are shown."""
    keys, columns, today = view.selected_keys(), view.columns_shown(), desk.jobs.today

    def put(rows: dict[str, Any]) -> None:
        found = [rows[key] for key in keys if key in rows]
        QGuiApplication.clipboard().setText(as_text(columns, found))
        desk.messages.tell(f"{len(found):,} {'row' if len(found) == 1 else 'rows'} copied.")

    if keys:
        desk.jobs.ask(lambda at: listed_rows(at, keys, today), put)


def as_text(columns: Sequence[Column], rows: Sequence[Any]) -> str:
    """Return rows as text parted by tabs, the heads first; what a cell parts by a tab is parted by a comma."""
    lines = ["\t".join(column.title for column in columns)]
    lines += ["\t".join(column.text(row).replace("\t", ", ").strip(", ") for column in columns) for row in rows]
    return "\n".join(lines)
