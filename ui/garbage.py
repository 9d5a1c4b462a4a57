"""Garbage is collected on the window's thread alone.

Python collects rings of objects on whatever thread happens to make the next object. On the register's worker that would
take apart widgets of a dialog closed long ago while the window uses their kin: both then wait for each other for ever,
or the program falls over.
"""

import gc
from typing import Final

from PySide6.QtCore import QObject, QTimer

EVERY_MS: Final = 1_000


class Garbage(QObject):
    """Keeps Python from collecting by itself, and does so at the same thresholds whenever the window has a moment."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._thresholds = gc.get_threshold()
        gc.disable()
        self._timer = QTimer(self, interval=EVERY_MS)
        self._timer.timeout.connect(self.collect)
        self.begin()

    @property
    def busy(self) -> bool:
        """Whether it collects at all."""
        return self._timer.isActive()

    def wait(self) -> None:
        """Leave everything alone while the program is fetched: it would be looked through again and again."""
        self._timer.stop()

    def begin(self) -> None:
        """Collect from now on."""
        self._timer.start()

    def collect(self) -> None:
        """Collect the oldest generation that has reached its threshold; younger ones go along."""
        counts = gc.get_count()
        due = [age for age, (count, most) in enumerate(zip(counts, self._thresholds, strict=True)) if count > most]
        if due:
            gc.collect(max(due))


def collector(parent: QObject) -> Garbage:
    """Return the one that belongs to the application, made when it is first asked for."""
    return parent.findChild(Garbage) or Garbage(parent)


def spare_what_is_there() -> None:
    """Leave what the program itself is made of out of all later collections: it stays to the end, and is most of it."""
    gc.freeze()
