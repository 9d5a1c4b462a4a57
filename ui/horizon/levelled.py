"""Works out, while nobody asks for anything else, what the year plan would have the crew do in each week shown."""

from datetime import date
from functools import partial
from threading import Event
from typing import Any, Final

from PySide6.QtCore import QObject, QTimer, Signal

from register.services.horizon import WEEKS
from register.services.week.forecast import forecast
from register.stopping import go_on
from ui.jobs import Jobs

REST_MS: Final = 1_200
"""So long the cursor has to rest: whoever runs through the weeks is not held up by a year."""

Levelled = tuple[float, ...]
"""The minutes of work in each week of the horizon, with peaks moved to earlier weeks."""


class Levelling(QObject):
    """Signal `found` with what the weeks are levelled to. Any other question takes precedence; `begin` then anew."""

    found = Signal(object)

    def __init__(self, jobs: Jobs, parent: QObject) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self._wanted = False
        self._asked: Event | None = None
        self._rest = QTimer(self, interval=REST_MS)
        self._rest.timeout.connect(self._ask)

    def forget(self) -> None:
        """Let what was found be worked out anew: the register has changed."""
        self._wanted = True
        if self._asked is not None:
            self._asked.set()

    def begin(self) -> None:
        """Work it out once nothing has been asked for a moment, if it is not known."""
        if self._wanted:
            self._rest.start()

    def _ask(self) -> None:
        if not self._jobs.idle:
            return
        self._rest.stop()
        if self._wanted and (self._asked is None or self._asked.is_set()):
            question = partial(_levelled, self._jobs.today)
            self._asked = self._jobs.ask(question, self._take, failed=self._fail, yields=True)

    def _take(self, levelled: Levelled) -> None:
        self._wanted, self._asked = False, None
        self.found.emit(levelled)

    def _fail(self, _error: Exception) -> None:
        """Leave the marks out: whoever looks at the year ahead is told why it can't be worked out."""
        self._wanted, self._asked = False, None


def _levelled(today: date, connection: Any) -> Levelled:  # noqa: ANN401 - pages don't name a connection
    year = forecast(connection, today, progress=lambda _done, _all: go_on())
    return tuple(week.minutes for week in year.weeks[:WEEKS])
