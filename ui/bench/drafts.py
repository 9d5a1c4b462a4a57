"""Keeps what is half-typed at the bench in a small file of its own, so that it survives a crash."""

import json
import logging
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from PySide6.QtCore import QObject, QTimer

from ui.settings import HALF_TYPED

log = logging.getLogger(__name__)

EVERY_MS: Final = 1_000
"""A change is on the disk this long after it was typed, at the latest."""

Sheets = list[dict[str, Any]]


class Drafts(QObject):
    """Writes the half-typed tests soon after each change. `now` gives them; those of other registers are left alone."""

    def __init__(self, parent: QObject, folder: Path | None, now: Callable[[], Sheets]) -> None:
        super().__init__(parent)
        self._path = None if folder is None else folder / HALF_TYPED
        self._now = now
        self.register = ""
        self._soon = QTimer(self, singleShot=True, interval=EVERY_MS)
        self._soon.timeout.connect(self.write)

    def changed(self) -> None:
        """Write soon what is there now."""
        if self._path is not None and self.register and not self._soon.isActive():
            self._soon.start()

    def every(self) -> dict[str, Any]:
        """Return what was kept of any register; nothing where there is no file or it can't be read."""
        return {} if self._path is None else self._read()

    def write(self) -> bool:
        """Write what is there now, whole or not at all, and return whether; nothing half-typed leaves no trace."""
        if self._path is None or not self.register:
            return False
        self._soon.stop()
        every, sheets = self._read(), self._now()
        if sheets:
            every[self.register] = sheets
        else:
            every.pop(self.register, None)
        try:
            _replace(self._path, every)
        except OSError as error:
            log.warning("%s can't be written: %s", self._path, error)
            return False
        return True

    def _read(self) -> dict[str, Any]:
        assert self._path is not None
        try:
            said = json.loads(self._path.read_text(encoding="utf-8"))
        except FileNotFoundError:
            return {}
        except (OSError, ValueError) as error:
            log.warning("%s can't be read and was left aside: %s", self._path, error)
            return {}
        return said if isinstance(said, dict) else {}


def _replace(path: Path, every: dict[str, Any]) -> None:
    """Put a new file in the place of the old one, or take it away where nothing is left to keep."""
    if not every:
        path.unlink(missing_ok=True)
        return
    temporary = path.with_suffix(".tmp")
    path.parent.mkdir(parents=True, exist_ok=True)
    with temporary.open("w", encoding="utf-8") as file:
        json.dump(every, file, ensure_ascii=True)
        file.flush()
        os.fsync(file.fileno())
    temporary.replace(path)
