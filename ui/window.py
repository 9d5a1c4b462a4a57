"""Opens the window and runs until it is closed."""

import getpass
import sys
from collections.abc import Callable
from concurrent.futures import Future
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QAbstractScrollArea, QApplication

from register.errors import Unavailable
from ui import settings
from ui.away import Away
from ui.frame import Frame
from ui.garbage import collector, spare_what_is_there
from ui.look import theme, typeface
from ui.pages import MAKERS, fetch_first, fetch_rest

if TYPE_CHECKING:  # the window stands before these are there
    from ui.opening import Opening
    from ui.program import Program

PAINTED_MS: Final = 20
"""How long a window has to be painted before the rest is fetched, which slows it down."""
AT_REST_MS: Final = 500
"""How long after the first page was asked for the others are fetched."""
TURN_S: Final = 0.001
"""How long another thread may go on in Python once the window wants its turn, as it does for each widget it paints."""


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
    collector(app)
    return app


def open_program(path: Path, today: date, now: Callable[[], datetime]) -> "Program":
    """Return the program on a register, its window not yet shown."""
    from register.store.engine import open_register
    from ui.jobs import Clock
    from ui.program import assemble

    return assemble(open_register(path), Clock(today, now), MAKERS, actor=getpass.getuser())


class Starting:
    """Shows the window empty, fetches the rest of the program behind it, and opens the register in it."""

    def __init__(self, app: QApplication, today: date, now: Callable[[], datetime], *, remembered: Path) -> None:
        sys.setswitchinterval(TURN_S)
        self._app, self._today, self._now, self._remembered = app, today, now, remembered
        self.frame: Frame | None = None
        self.opening: Opening | None = None
        self._path: Path | None = None
        self._away = Away("fetching")
        self.at_rest = False
        """Whether everything of the program is there."""
        self._garbage = collector(app)
        self._garbage.wait()

    def begin(self, path: Path | None) -> None:
        """Start with a register; without one, with that of last time or the first window."""
        self._path = path
        memory = settings.recall(self._remembered)
        if path is not None or memory.register:
            self.frame = Frame(MAKERS, self._today)
            settings.put_back(self.frame, memory.window)
            self.frame.show()
        QTimer.singleShot(PAINTED_MS, self._fetch)

    def close(self) -> None:
        """Let go of everything."""
        self._away.close()
        self._garbage.begin()
        if self.opening is not None:
            self.opening.close()

    def _fetch(self) -> None:
        QAbstractScrollArea().viewport()  # whoever asks first waits until all classes of widgets are made known
        self._away.run(fetch_first, self._open)

    def _open(self, fetched: "Future[None]") -> None:
        if fetched.exception() is not None:
            self._app.exit(1)
        fetched.result()
        from ui.messages import WindowMessages
        from ui.opening import Opening, tell_faults
        from ui.self_test import check_itself

        try:
            check_itself()
        except Unavailable as reason:
            WindowMessages().failure(reason)
            self._app.exit(1)
            return
        if self.frame is not None and not self.frame.isVisible():
            return  # closed before there was anything in it
        self.opening = Opening(self._app, self._today, self._now, remembered=self._remembered, empty=self.frame)
        tell_faults(self.opening.messages)
        self.opening.start(self._path)
        QTimer.singleShot(AT_REST_MS, self._fetch_rest)

    def _fetch_rest(self) -> None:
        self._away.run(fetch_rest, self._rest)

    def _rest(self, _done: "Future[None]") -> None:
        self.at_rest = True
        spare_what_is_there()
        self._garbage.begin()


def run_window(path: Path | None, today: date, now: Callable[[], datetime]) -> int:
    """Open the window and run until it is closed."""
    app = application()
    starting = Starting(app, today, now, remembered=settings.place())
    starting.begin(path)
    code = app.exec()
    starting.close()
    return code
