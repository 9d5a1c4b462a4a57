"""What the window needs of this computer, tried as it starts: what is missing is said before anything can be lost."""

import sys
from typing import Final

import PySide6
from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QFontDatabase

from register.errors import Unavailable
from register.store.sqlite_needs import check_sqlite
from ui.look.typeface import CODE, DISPLAY, TEXT

CALLS: Final = 500
SLACK: Final = 100
"""So much the count may fall by what else goes on; a faulty library takes one for each of a thousand calls."""


def check_itself() -> None:
    """Raise Unavailable, in one sentence and what to do, where the program can't run safely here. Takes some ms."""
    _check_calls()
    _check_fonts()
    check_sqlite()


def lost_to_calls() -> int:
    """Return how many references to None a thousand calls to Qt took that they were not given."""
    action, thing = QAction(), QObject()
    before = sys.getrefcount(None)
    for _time in range(CALLS):
        action.setText("tried")
        thing.setObjectName("tried")
    return before - sys.getrefcount(None)


def _check_calls() -> None:
    """Refuse a PySide6 that takes references to None: after some thousand calls the program would end unasked."""
    if lost_to_calls() > SLACK:
        python = ".".join(map(str, sys.version_info[:3]))
        raise Unavailable(
            f"PySide6 {PySide6.__version__} has a fault with Python {python} by which the program would end without a"
            " word after a while, so it was not started. Install a PySide6 below 6.12, or Python 3.12 or newer."
        )


def _check_fonts() -> None:
    known = set(QFontDatabase.families())
    missing = [family for family in (TEXT, DISPLAY, CODE) if family not in known]
    if missing:
        raise Unavailable(
            f"The fonts of the program are not there or damaged ({', '.join(missing)}), so it was not started. Install"
            " the program again."
        )
