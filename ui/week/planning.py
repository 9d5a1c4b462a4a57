"""The planner at work away from the window's thread: its first plan, how far it is, the best one, and being stopped."""

import threading
from collections.abc import Callable
from datetime import date
from typing import Any

from PySide6.QtCore import QObject, Qt, Signal

from register.planning.week_rows import PlannedWeek
from register.services.week.plan import WeekAsk, coming_week, kept_week, plan_week
from register.stopping import go_on
from register.store.engine import Register
from ui.jobs import Jobs


class Planner(QObject):
    """Plans weeks, one at a time.

    Signals: `found` with a plan and whether it is the last; `went` with a share of 100; `stopped`; `failed` with why
    there is no plan.
    """

    found = Signal(object, bool)
    went = Signal(int)
    stopped = Signal()
    failed = Signal(object)

    _first = Signal(object, object)
    _step = Signal(object, int)

    def __init__(self, parent: QObject, jobs: Jobs) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self._stop: threading.Event | None = None
        self._first.connect(self._take_first, Qt.ConnectionType.QueuedConnection)
        self._step.connect(self._take_step, Qt.ConnectionType.QueuedConnection)

    @property
    def busy(self) -> bool:
        """Whether a plan is being made."""
        return self._stop is not None

    def plan(self, ask: WeekAsk, before: PlannedWeek | None) -> None:
        """Start to plan a week; `before` is the plan whose locked days stay."""
        self.stop()
        today, run = self._jobs.today, object()
        self._run = run

        def work(register: Register) -> PlannedWeek:
            shown = -1

            def progress(done: int, of: int) -> None:
                nonlocal shown
                go_on()
                share = done * 100 // max(of, 1)
                if share != shown:
                    shown = share
                    self._step.emit(run, share)

            with register.read() as connection:
                return plan_week(
                    connection, today, ask, before=before, progress=progress,
                    first_plan=lambda week: self._first.emit(run, week),
                )  # fmt: skip

        self._stop = self._jobs.run(work, self._take, failed=self._fail, keeps=False)

    def stop(self) -> None:
        """Stop looking for a better plan; the one that was found first stays."""
        if self._stop is not None:
            self._stop.set()
            self._stop = None
            self.stopped.emit()

    def _take_first(self, run: object, week: PlannedWeek) -> None:
        if self.busy and run is self._run:
            self.found.emit(week, False)  # noqa: FBT003 - a signal's

    def _take_step(self, run: object, share: int) -> None:
        if self.busy and run is self._run:
            self.went.emit(share)

    def _take(self, week: PlannedWeek) -> None:
        self._stop = None
        self.found.emit(week, True)  # noqa: FBT003 - a signal's

    def _fail(self, why: Exception) -> None:
        self._stop = None
        self.failed.emit(why)


def kept_or_first(today: date, monday: date, *, opening: bool) -> Callable[[Any], tuple[PlannedWeek, bool]]:
    """Return the question for a week as it was kept, or else as it is planned at once; and which of the two it is.

    On `opening` the present week comes first where it is under way: it was kept, and the next is not yet planned.
    """

    def question(connection: Any) -> tuple[PlannedWeek, bool]:  # noqa: ANN401 - the worker's own
        for each in (coming_week(today), monday) if opening else (monday,):
            kept = kept_week(connection, today, each)
            if kept is not None:
                return kept, True
        return plan_week(connection, today, WeekAsk(monday, effort=0)), False

    return question
