"""A picture of every page, light and dark, without anybody at the screen."""

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Final

from PySide6.QtCore import QCoreApplication, QElapsedTimer, QEventLoop

from register.errors import Unavailable
from ui.look import theme
from ui.pages import MAKERS
from ui.program import Program
from ui.window import application, open_program

SIZE: Final = (1440, 900)
LONGEST_MS: Final = 60_000


def write_pictures(path: Path, folder: Path, today: date, now: Callable[[], datetime]) -> list[Path]:
    """Save a picture of each page of a register in both tables of colours; return where they are."""
    app = application()
    folder.mkdir(parents=True, exist_ok=True)
    program = open_program(path, today, now)
    written = []
    try:
        program.frame.resize(*SIZE)
        program.frame.show()
        for tokens in (theme.LIGHT, theme.DARK):
            theme.wear(app, tokens)
            for maker in MAKERS:
                program.frame.go(maker.key)
                settle(program)
                picture = folder / f"{maker.key}-{tokens.name}.png"
                program.frame.grab().save(str(picture))
                written.append(picture)
    finally:
        program.frame.close()
        program.jobs.close()
    return written


def settle(program: Program) -> None:
    """Let the window finish what it asked the register."""
    clock = QElapsedTimer()
    clock.start()
    quiet = 0
    while quiet < _QUIET_ROUNDS:
        QCoreApplication.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 20)
        quiet = quiet + 1 if program.jobs.idle else 0
        if clock.elapsed() > LONGEST_MS:
            raise Unavailable("The pages did not settle within a minute, so no picture was taken. Try again.")


_QUIET_ROUNDS: Final = 5
