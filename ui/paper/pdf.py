"""A PDF that is drawn in memory and put in its place once all of it is there: whole or not at all.

Written page by page, one that no longer fitted on its drive would end in the middle, and Qt would not say so.
"""

from pathlib import Path

from PySide6.QtCore import QBuffer, QIODevice
from PySide6.QtGui import QPdfWriter

from register.errors import Refused
from register.exchange.files import check_place, write_out


class Pdf:
    """A PDF for a place; refused, or Unavailable, where none can be written there. `writer` is what is drawn on."""

    def __init__(self, path: Path, title: str) -> None:
        if not path.parent.is_dir():
            raise Refused(f"The folder “{path.parent}” does not exist. Make it first, or choose another one.")
        check_place(path)
        self._path, self._held = path, QBuffer()
        self._held.open(QIODevice.OpenModeFlag.WriteOnly)
        self.writer = QPdfWriter(self._held)
        self.writer.setTitle(title)

    def put(self) -> None:
        """Put what was drawn in its place; Unavailable, with an earlier file as it was, where that can't be done."""
        write_out(self._path, bytes(self._held.data().data()))
