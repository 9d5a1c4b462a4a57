"""The one worker that owns the register: pages ask it and let it change things, and it answers on the window's thread.

Work never touches a widget: a page gathers what it needs from the screen before it asks.
"""

import logging
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeVar

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from register.services.undo import Steps
from register.store.engine import Change, Register
from ui.messages import Messages

_Answer = TypeVar("_Answer")
log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Clock:
    """What day it is for the user, and what gives the moment; the only place the window learns either from."""

    today: date
    now: Callable[[], datetime]


class Jobs(QObject):
    """Runs work on the register, one piece after the other, away from the window's thread.

    `steps` are the changes that can be undone. Signals: `changed` after each change that was kept; `copied`
    when there are other copies of the register; `busy` with whether work has been under way for a while.
    """

    changed = Signal()
    copied = Signal()
    busy = Signal(bool)
    _done = Signal(object, object, object)

    def __init__(self, register: Register, messages: Messages, clock: Clock, actor: str) -> None:
        super().__init__()
        self._register = register
        self._messages = messages
        self._clock = clock
        self._actor = actor
        self.steps = Steps()
        register.watch(self.steps)
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="register")
        self._open = 0
        self._closed = False
        self._stops: dict[threading.Event, bool] = {}
        self._slow = QTimer(singleShot=True, interval=400)
        self._slow.timeout.connect(self._tell_busy)
        self._done.connect(self._deliver, Qt.ConnectionType.QueuedConnection)

    @property
    def today(self) -> date:
        """What day it is for the user."""
        return self._clock.today

    def now(self) -> datetime:
        """Return the moment it is, in the user's own time."""
        return self._clock.now().astimezone()

    @property
    def moment(self) -> Callable[[], datetime]:
        """What gives the moment, for longer work that opens its own transactions."""
        return self._clock.now

    @property
    def actor(self) -> str:
        """Who is at work, for the history."""
        return self._actor

    @property
    def only_looking(self) -> str:
        """Why nothing in the register can be changed; empty where it can."""
        return self._register.only_looking

    @property
    def idle(self) -> bool:
        """Whether nothing is under way."""
        return self._open == 0

    @property
    def at_risk(self) -> bool:
        """Whether longer work is under way that would be dropped by closing now."""
        return any(self._stops.values())

    def ask(
        self,
        question: Callable[[Any], _Answer],
        then: Callable[[_Answer], None],
        *,
        failed: Callable[[Exception], None] | None = None,
    ) -> threading.Event:
        """Run a question on a connection that sees one state, and give its answer to `then` on this thread.

        Setting the event that is returned stops a question whose answer nobody waits for any more.
        """
        stop = threading.Event()

        def work() -> _Answer:
            with self._register.read() as connection:
                return question(connection)

        self._submit(work, then, failed, stop)
        return stop

    def change(
        self,
        deed: Callable[[Change], _Answer],
        then: Callable[[_Answer], None],
        *,
        failed: Callable[[Exception], None] | None = None,
    ) -> None:
        """Run a deed in one transaction, give its answer to `then`, and tell everybody that the register changed."""

        def work() -> _Answer:
            moment = self._clock.now()
            with self._register.change(actor=self._actor, at=moment, today=self._clock.today) as change:
                return deed(change)

        self._submit(work, then, failed, None, changes=True)

    def rehearse(
        self,
        deed: Callable[[Change], _Answer],
        then: Callable[[_Answer], None],
        *,
        failed: Callable[[Exception], None] | None = None,
    ) -> None:
        """Run a deed in a transaction that is dropped, and give `then` what the deed would have answered."""

        def work() -> _Answer:
            with self._register.change(
                actor=self._actor, at=self._clock.now(), today=self._clock.today, keep=False
            ) as change:
                return deed(change)

        self._submit(work, then, failed, threading.Event())

    def run(
        self,
        work: Callable[[Register], _Answer],
        then: Callable[[_Answer], None],
        *,
        failed: Callable[[Exception], None] | None = None,
        changes: bool = False,
    ) -> threading.Event:
        """Run longer work that opens its own transactions, such as taking in a file or writing a workbook.

        Setting the event that is returned stops it at its next step, with nothing of it kept.
        """
        stop = threading.Event()
        self._submit(lambda: work(self._register), then, failed, stop, changes=changes)
        return stop

    def close(self, last: Callable[[Register], object] | None = None) -> None:
        """Stop questions and longer work, finish the deeds that were asked for, then let go of the register.

        `last` is work that is done after all else, and before the register is let go.
        """
        self._closed = True
        for stop in self._stops:
            stop.set()
        done = self._pool.submit(last, self._register) if last is not None else None
        self._pool.shutdown(wait=True)
        self._register.close()
        if done is not None and (error := done.exception()) is not None:
            log.error("what was to be done last was not: %s", error)

    def _tell_busy(self) -> None:
        self.busy.emit(not self.idle)

    def _submit(
        self, work: Callable[[], Any], then: Callable[[Any], None], failed: Callable[[Exception], None] | None,
        stop: threading.Event | None, *, changes: bool = False,
    ) -> None:  # fmt: skip
        """Queue work. A deed has no `stop`: once asked for it is done."""
        if self._closed:
            return
        heeded = stop or threading.Event()
        if stop is not None:
            self._stops[stop] = changes

        def heeding() -> Any:  # noqa: ANN401 - whatever the work answers
            self._register.heed(heeded)
            try:
                self._register.go_on()
                return work()
            finally:
                self._register.heed(threading.Event())

        self._open += 1
        self._slow.start()
        future = self._pool.submit(heeding)
        future.add_done_callback(lambda done: self._done.emit(done, then, (failed, changes, stop)))

    def _deliver(self, done: "Future[Any]", then: Callable[[Any], None], rest: tuple[Any, bool, Any]) -> None:
        failed, changes, stop = rest
        self._stops.pop(stop, None)
        self._open -= 1
        if self._open == 0:
            self._slow.stop()
            self._tell_busy()
        error = done.exception()
        if self._closed:
            if error is not None and stop is None:
                self._messages.failure(error)
            return
        if error is None:
            if changes:
                self.changed.emit()
            then(done.result())
        elif failed is not None and isinstance(error, Exception):
            failed(error)
        else:
            self._messages.failure(error)
