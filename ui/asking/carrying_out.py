"""Doing what a dialog asks: it can be cancelled there, and where it is refused, what was typed stays."""

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QObject

from register.store.engine import Change, Register
from ui.asking.dialog import Dialog
from ui.page import Desk

_Answer = TypeVar("_Answer")


def told_in(desk: Desk, dialog: Dialog | None) -> Callable[[Exception], None]:
    """Return what says in a dialog why its deed was not done; a fault of the program goes where all of them go."""

    def failed(error: Exception) -> None:
        if dialog is None or not dialog.refused(error):
            desk.messages.failure(error)

    return failed


def carry_out(
    desk: Desk, dialog: Dialog | None, deed: Callable[[Change], _Answer], then: Callable[[_Answer], None]
) -> None:
    """Change the register as `dialog` asks, None where nothing had to be asked; `then` gets what was done."""
    stop = desk.jobs.change(deed, then, failed=told_in(desk, dialog))
    if dialog is not None:
        dialog.works(stop.set)


class Asking(QObject):
    """Deeds that ask in a dialog before they change the register. `dialog` is the one that is open."""

    def __init__(self, parent: QObject, desk: Desk) -> None:
        super().__init__(parent)
        self._desk = desk
        self.dialog: Dialog | None = None

    def _open(self, dialog: Dialog) -> None:
        self.dialog = dialog
        dialog.finished.connect(self._closed)
        dialog.open()

    def _closed(self, _how: int) -> None:
        self.dialog = None

    def _change(self, deed: Callable[[Change], _Answer], then: Callable[[_Answer], None]) -> None:
        carry_out(self._desk, self.dialog, deed, then)

    def _done(self, said: str) -> None:
        """Close the dialog, where one was needed, and say what was done."""
        if self.dialog is not None:
            self.dialog.accept()
        self._desk.messages.tell(said.strip())


def work_out(
    desk: Desk, dialog: Dialog, work: Callable[[Register], _Answer], then: Callable[[_Answer], None],
    *, changes: bool = False,
) -> None:  # fmt: skip
    """Do longer work as `dialog` asks, in transactions of its own; `then` gets what came of it."""
    dialog.works(desk.jobs.run(work, then, failed=told_in(desk, dialog), changes=changes).set)
