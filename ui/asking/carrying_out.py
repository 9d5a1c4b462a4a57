"""Doing what a dialog asks: it can be cancelled there, and where it is refused, what was typed stays."""

from collections.abc import Callable
from typing import TypeVar

from register.store.engine import Change
from ui.asking.dialog import Dialog
from ui.page import Desk

_Answer = TypeVar("_Answer")


def carry_out(
    desk: Desk, dialog: Dialog | None, deed: Callable[[Change], _Answer], then: Callable[[_Answer], None]
) -> None:
    """Change the register as `dialog` asks, None where nothing had to be asked; `then` gets what was done.

    What is refused is said in the dialog; a fault of the program goes where all of them go.
    """

    def failed(error: Exception) -> None:
        if dialog is None or not dialog.refused(error):
            desk.messages.failure(error)

    stop = desk.jobs.change(deed, then, failed=failed)
    if dialog is not None:
        dialog.works(stop.set)
