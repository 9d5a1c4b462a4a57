"""`python -m tests.bench.at_window`: one window on a register, worked once; prints what was waited for as JSON.

Its arguments are a register and what day it is. Without them it shows a bare window of Qt, the floor of how soon
anything can be painted. Times are in seconds, `memory` in bytes. It runs in a process of its own, because a window is
started once.
"""

from time import perf_counter

BEGUN = perf_counter()

import json  # noqa: E402 - the clock runs before anything is fetched
import sys  # noqa: E402
from collections.abc import Callable  # noqa: E402
from datetime import UTC, date, datetime  # noqa: E402
from pathlib import Path  # noqa: E402
from typing import TYPE_CHECKING, Any  # noqa: E402

from PySide6.QtCore import QCoreApplication, QEvent, QEventLoop, QObject, QTimer  # noqa: E402
from PySide6.QtWidgets import QApplication, QWidget  # noqa: E402

if TYPE_CHECKING:
    from ui.program import Program
    from ui.window import Starting

LONGEST = 60.0


class Eye(QObject):
    """Sees when a window is first painted."""

    def __init__(self) -> None:
        super().__init__()
        self.painted = 0.0

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        if event.type() is QEvent.Type.Paint and not self.painted:
            self.painted = perf_counter() - BEGUN
        return False


class Heartbeat(QObject):
    """Beats on the window's thread; `longest` is the longest it had to wait since it was last asked."""

    def __init__(self) -> None:
        super().__init__()
        self._last, self._longest = perf_counter(), 0.0
        self._timer = QTimer(self, interval=5)
        self._timer.timeout.connect(self._beat)
        self._timer.start()

    def _beat(self) -> None:
        now = perf_counter()
        self._longest, self._last = max(self._longest, now - self._last), now

    def longest(self) -> float:
        """Return the longest gap since the last time, and begin anew."""
        self._beat()
        found, self._longest = self._longest, 0.0
        return found


def until(done: Callable[[], object]) -> None:
    """Let the window work until something is so; in between it sleeps, or it would take the worker's time."""
    begun = perf_counter()
    while not done():
        QCoreApplication.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents)
        if perf_counter() - begun > LONGEST:
            raise TimeoutError(done)


def bare() -> dict[str, float]:
    """Show a window with nothing in it."""
    app, eye, window = QApplication([]), Eye(), QWidget()
    heart = Heartbeat()
    window.installEventFilter(eye)
    window.resize(1440, 900)
    window.show()
    until(lambda: eye.painted)
    app.quit()
    return {"first paint": eye.painted, "gap at the start": heart.longest()}


def worked(path: Path, today: date) -> dict[str, float]:
    """Start the program on a register, use its lists, and close it."""
    from ui.window import Starting, application

    app, eye = application(), Eye()
    heart = Heartbeat()
    starting = Starting(app, today, lambda: datetime.now(UTC), remembered=path.with_suffix(".toml"))
    starting.begin(path)
    assert starting.frame is not None
    starting.frame.installEventFilter(eye)
    until(lambda: eye.painted)
    until(lambda: _stands(starting))
    found = {"first paint": eye.painted, "start": perf_counter() - BEGUN}
    assert starting.opening is not None
    program = starting.opening.program
    assert program is not None
    until(lambda: program.jobs.idle and starting.at_rest)
    found["gap at the start"] = heart.longest()
    found |= _used(program, heart)
    found |= {"gap in the lists": heart.longest(), "memory": _memory()}
    program.frame.close()
    starting.close()
    return found


def _stands(starting: "Starting") -> bool:
    """Whether the horizon shows its sites."""
    program = starting.opening.program if starting.opening is not None else None
    return bool(program and getattr(program.frame.front, "_horizon", None))


def _used(program: "Program", heart: Heartbeat) -> dict[str, float]:
    """Show each list, sort and narrow one; each time ends when the rows stand."""
    frame, found = program.frame, {}

    def timed(name: str, deed: Callable[[], object], done: Callable[[], object]) -> None:
        begun = perf_counter()
        deed()
        until(done)
        found[name] = perf_counter() - begun
        until(lambda: program.jobs.idle)

    def idle() -> bool:
        return program.jobs.idle

    timed("horizon", frame.front.refresh, idle)
    timed("register", lambda: frame.go("register"), lambda: _rows(frame.front))
    page: Any = frame.front
    for column in page.model.columns:
        if column.sort:
            timed(f"sort by {column.sort}", lambda column=column: page.view._sort_by(column), _anew(page))
    for typed in ("d", "dr", "dri", "drill", ""):
        timed(f"typed “{typed}”", lambda typed=typed: page.filters.search.setText(typed), _anew(page))
    found["gap in the register"] = heart.longest()
    timed("withdrawn", lambda: frame.go("withdrawn"), idle)
    return found


def _rows(page: Any) -> bool:  # noqa: ANN401 - the page of the register
    return bool(not page._asking and page._total >= 0 and (page.model._pages or not page.model.keys))


def _anew(page: Any) -> Callable[[], bool]:  # noqa: ANN401 - the page of the register
    before = page.model._round
    return lambda: page.model._round > before and _rows(page)


def _memory() -> float:
    """Return the most memory that the process ever had."""
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024.0


if __name__ == "__main__":
    asked = sys.argv[1:]
    print(json.dumps(worked(Path(asked[0]), date.fromisoformat(asked[1])) if asked else bare()))
