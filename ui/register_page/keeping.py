"""Keeps on this computer how its user has the list of items: columns by their names, the order, what narrows it.

A small TOML file. One of another version, or full of rubbish, is left aside, and the list has its usual layout.
"""

import logging
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtWidgets import QWidget

from register.store.lists import Sort
from ui.register_page.columns import HIDDEN, Layout
from ui.register_page.filters import Filters
from ui.register_page.items_view import ItemsView
from ui.toml_file import read_down, write_down

log = logging.getLogger(__name__)
FILE: Final = "items.toml"
VERSION: Final = 1
"""The version of the file. Raise it when a name in it gets another meaning."""
NARROWEST, WIDEST = 24, 2000
_DIGITS: Final = 6
NARROWED_BY: Final = ("text", "standing", "kind", "environment", "site", "area")


class Keeping(QObject):
    """Shows the list as it was kept, and keeps it a moment after each change and when the page goes out of sight."""

    def __init__(self, page: QWidget, view: ItemsView, filters: Filters, folder: Path | None) -> None:
        super().__init__(page)
        self._view, self._filters = view, filters
        if folder is None:
            return
        self._path = folder / FILE
        found = _read(self._path)
        self._written = found
        view.apply_layout(_layout(found))
        filters.take_up({name: _texts(found, name) for name in NARROWED_BY if name in found})
        self._soon = QTimer(self, singleShot=True, interval=400)
        self._soon.timeout.connect(self._write)
        view.layout_changed.connect(self._soon.start)
        filters.changed.connect(self._soon.start)
        page.installEventFilter(self)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """Keep at once what would be kept soon."""
        if event.type() is QEvent.Type.Hide and self._soon.isActive():
            self._soon.stop()
            self._write()
        return False

    def _write(self) -> None:
        kept = self._view.layout_kept()
        said: dict[str, Any] = {
            "version": VERSION, "order": list(kept.order), "hidden": sorted(kept.hidden), "sort": kept.sort,
            "descending": kept.descending, "widths": [f"{key} {wide}" for key, wide in sorted(kept.widths.items())],
            **{name: sorted(values) for name, values in self._filters.kept().items()},
        }  # fmt: skip
        if said != self._written:
            self._written = said
            write_down(self._path, said)


def _read(path: Path) -> dict[str, Any]:
    """Return what the file says; nothing where there is none, or none of this version that can be read."""
    said = read_down(path)
    if said and said.get("version") != VERSION:
        log.warning("%s is of version %s, not %s, and was left aside", path, said.get("version"), VERSION)
        return {}
    return said


def _layout(said: Mapping[str, Any]) -> Layout:
    """Return the layout that a file names; whatever in it means nothing falls back."""
    hidden = _texts(said, "hidden") if isinstance(said.get("hidden"), list) else HIDDEN
    sort = said.get("sort")
    known = isinstance(sort, str) and sort in {each.value for each in Sort}
    return Layout(
        order=tuple(dict.fromkeys(each for each in _list(said, "order") if isinstance(each, str))),
        hidden=hidden,
        widths=_widths(said),
        sort=str(sort) if known else Layout().sort,
        descending=known and said.get("descending") is True,
    )


def _widths(said: Mapping[str, Any]) -> dict[str, int]:
    found = {}
    for each in _texts(said, "widths"):
        key, _space, wide = each.partition(" ")
        if wide.isascii() and wide.isdigit() and len(wide) < _DIGITS and NARROWEST <= int(wide) <= WIDEST:
            found[key] = int(wide)
    return found


def _texts(said: Mapping[str, Any], name: str) -> frozenset[str]:
    return frozenset(each for each in _list(said, name) if isinstance(each, str))


def _list(said: Mapping[str, Any], name: str) -> list[Any]:
    found = said.get(name)
    return found if isinstance(found, list) else []
