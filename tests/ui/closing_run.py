"""Run by a test as a program of its own: takes a file in, and closes the window while that is under way.

Arguments: the register, the spreadsheet, the file of what is remembered. Prints what was asked.
"""

import sys
from datetime import UTC, date, datetime
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMessageBox

from ui import settings
from ui.frame import Frame
from ui.messages import WindowMessages
from ui.sheets.take_in import TakeInDialog
from ui.window import application, run_window

REGISTER, SHEET, MEMORY = map(Path, sys.argv[1:])
EVERY_MS = 20
asked: list[Path] = []


def answer(verb: str) -> None:
    """Press a button of the box that is asked with."""
    box = QApplication.activeModalWidget()
    assert isinstance(box, QMessageBox)
    sys.stdout.write(f"{box.text()}\n")
    (chosen,) = [each for each in box.buttons() if each.text() == verb]
    chosen.click()


def close(frame: Frame, verb: str) -> None:
    """Close the window, and answer what it asks."""
    QTimer.singleShot(0, lambda: answer(verb))
    frame.close()


def name_site(dialog: TakeInDialog) -> None:
    """Say that the file is of a new site."""
    dialog._site.setCurrentIndex(dialog._site.count() - 1)
    for field, text in ((dialog._code, "BOAT"), (dialog._name, "Brackwater Boatyard"), (dialog._owner, "Boatyard Ltd")):
        field.setText(text)
    dialog._rehearse()


def step() -> None:
    """Do the next thing, as soon as it can be done."""
    frame = next((each for each in QApplication.topLevelWidgets() if isinstance(each, Frame)), None)
    dialog = QApplication.activeModalWidget()
    if isinstance(dialog, TakeInDialog):
        if not dialog._code.text():
            name_site(dialog)
        elif dialog._tried.taken is not None:
            waiting.stop()
            assert frame is not None
            dialog._take_in()
            close(frame, "&Leave it")
            assert frame.isVisible(), "the window goes on where one leaves it"
            dialog._take_in()
            close(frame, "&Close")
    elif not asked and frame is not None and frame.deeds.possible("sheet.take-in"):
        asked.append(SHEET)
        frame.deeds.do("sheet.take-in")


def choose(_self: WindowMessages, _title: str, _kinds: str) -> Path:
    """Answer for the user which file is taken in."""
    return SHEET


WindowMessages.open_file = choose  # type: ignore[method-assign]
settings.place = lambda: MEMORY
app = application()
waiting = QTimer(interval=EVERY_MS)
waiting.timeout.connect(step)
waiting.start()
sys.exit(run_window(REGISTER, date(2026, 11, 24), lambda: datetime(2026, 11, 24, 9, 0, tzinfo=UTC)))
