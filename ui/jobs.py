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

    Signals: `changed` after each change that was kept; `busy` with whether work has been under way for a while.
    """

    changed = Signal()
    busy = Signal(bool)
    _done = Signal(object, object, object)

    def __init__(self, register: Register, messages: Messages, clock: Clock, actor: str) -> None:
        super().__init__()
        self._register = register
        self._messages = messages
        self._clock = clock
        self._actor = actor
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="register")
        self._open = 0
        self._cancelled = threading.Event()
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
    def idle(self) -> bool:
        """Whether nothing is under way."""
        return self._open == 0

    def ask(
        self,
        question: Callable[[Any], _Answer],
        then: Callable[[_Answer], None],
        *,
        failed: Callable[[Exception], None] | None = None,
    ) -> None:
        """Run a question on a connection that sees one state, and give its answer to `then` on this thread."""

        def work() -> _Answer:
            with self._register.read() as connection:
                return question(connection)

        self._submit(work, then, failed, changes=False)

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

        self._submit(work, then, failed, changes=True)

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

        self._submit(work, then, failed, changes=False)

    def run(
        self,
        work: Callable[[Register], _Answer],
        then: Callable[[_Answer], None],
        *,
        failed: Callable[[Exception], None] | None = None,
        changes: bool = False,
    ) -> None:
        """Run longer work that opens its own transactions, such as taking in a file or writing a workbook."""
        self._submit(lambda: work(self._register), then, failed, changes=changes)

    def close(self) -> None:
        """Finish what is under way, then let go of the register."""
        self._pool.shutdown(wait=True, cancel_futures=True)
        self._register.close()

    def _tell_busy(self) -> None:
        self.busy.emit(not self.idle)

    def _submit(
        self, work: Callable[[], Any], then: Callable[[Any], None], failed: Callable[[Exception], None] | None, *,
        changes: bool,
    ) -> None:  # fmt: skip
        self._open += 1
        self._slow.start()
        future = self._pool.submit(work)
        future.add_done_callback(lambda done: self._done.emit(done, then, (failed, changes)))

    def _deliver(self, done: "Future[Any]", then: Callable[[Any], None], rest: tuple[Any, bool]) -> None:
        failed, changes = rest
        self._open -= 1
        if self._open == 0:
            self._slow.stop()
            self._tell_busy()
        if done.cancelled():
            return
        error = done.exception()
        if error is None:
            if changes:
                self.changed.emit()
            then(done.result())
        elif failed is not None and isinstance(error, Exception):
            failed(error)
        else:
            self._messages.failure(error)
