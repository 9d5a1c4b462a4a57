"""Opens the window and runs until it is closed."""

import getpass
import sys
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

from PySide6.QtWidgets import QApplication

from register.store.engine import open_register
from ui import settings
from ui.jobs import Clock
from ui.look import theme, typeface
from ui.pages import MAKERS
from ui.program import Program, assemble


def application() -> QApplication:
    """Return the application, dressed: its style, its type, its colours."""
    found = QApplication.instance()
    if isinstance(found, QApplication):
        app = found
    else:
        app = QApplication(sys.argv[:1])
        typeface.set_scale(typeface.scale_of(app.font()))
    app.setStyle("Fusion")
    app.setApplicationName("retest-register")
    typeface.load_fonts()
    app.setFont(typeface.font())
    theme.wear(app, theme.system_tokens())
    return app


def open_program(path: Path, today: date, now: Callable[[], datetime]) -> Program:
    """Return the program on a register, its window not yet shown."""
    return assemble(open_register(path), Clock(today, now), MAKERS, actor=getpass.getuser())


def run_window(path: Path | None, today: date, now: Callable[[], datetime]) -> int:
    """Open the window and run until it is closed."""
    from ui.opening import Opening, tell_faults

    app = application()
    opening = Opening(app, today, now, remembered=settings.place())
    tell_faults(opening.messages)
    opening.start(path)
    code = app.exec()
    opening.close()
    return code
