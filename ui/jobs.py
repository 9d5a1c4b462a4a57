"""The one worker that owns the register: pages ask it and let it change things, and it answers on the window's thread.

Work never touches a widget: a page gathers what it needs from the screen before it asks.
"""

import logging
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Final, TypeVar

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from register.errors import Refused, Unavailable
from register.services.saving import save
from register.services.undo import Steps
from register.stopping import Stopped, go_on, stopped_by
from register.store.engine import Change, Register
from ui.messages import Messages

_Answer = TypeVar("_Answer")
SLOW_MS: Final = 400
"""Work that takes longer is told of, with the way to cancel it."""

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Clock:
    """What day it is for the user, and what gives the moment; the only place the window learns either from."""

    today: date
    now: Callable[[], datetime]


@dataclass(eq=False, slots=True)
class _Work:
    """One piece of work: who gets its answer or why there is none, and what ends it early.

    Of work that keeps nothing the answer is of no use to anybody once it was stopped. `said` names work that the
    status line tells of; a `deed` is done once it was asked for, even where the window closes. Work that `yields` is
    stopped by whatever is asked after it.
    """

    then: Callable[[Any], None]
    failed: Callable[[Exception], None] | None
    keeps: bool = True
    changes: bool = False
    deed: bool = False
    said: str = ""
    yields: bool = False
    stop: threading.Event = field(default_factory=threading.Event)


class Jobs(QObject):
    """Runs work on the register, one piece after the other, away from the window's thread.

    Each piece comes with an event that cancels it: it ends at its next step, and nothing of it is kept.

    `steps` are the changes that can be undone. Signals: `changed` after each change that was kept; `copied` when
    there are other copies of the register; `under_way` with the name of longer work, empty when it has ended.
    """

    changed = Signal()
    copied = Signal()
    under_way = Signal(str)
    _done = Signal(object, object)

    def __init__(self, register: Register, messages: Messages, clock: Clock, actor: str) -> None:
        super().__init__()
        self._register = register
        self._messages = messages
        self._clock = clock
        self._actor = actor
        self.steps = Steps()
        register.watch(self.steps)
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="register")
        self._open: list[_Work] = []
        self._closed, self._asked = False, 0
        self._told = ""
        self._slow = QTimer(singleShot=True, interval=SLOW_MS)
        self._slow.timeout.connect(self._tell)
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
        """Whether nothing is under way that anybody waits for."""
        return all(work.yields for work in self._open)

    @property
    def asked(self) -> int:
        """How many pieces of work were asked for so far; while it stays the same, nobody does anything."""
        return self._asked

    @property
    def at_risk(self) -> bool:
        """Whether longer work is under way that would be dropped by closing now."""
        return any(work.changes and not work.deed for work in self._open)

    def ask(
        self,
        question: Callable[[Any], _Answer],
        then: Callable[[_Answer], None],
        *,
        failed: Callable[[Exception], None] | None = None,
        yields: bool = False,
    ) -> threading.Event:
        """Run a question on a connection that sees one state, and give its answer to `then` on this thread.

        Setting the event that is returned stops a question whose answer nobody waits for any more: nobody is told.
        One that `yields` is stopped so by whatever is asked after it.
        """

        def work() -> _Answer:
            with self._register.read() as connection:
                return question(connection)

        return self._submit(work, _Work(then, failed, keeps=False, yields=yields))

    def change(
        self,
        deed: Callable[[Change], _Answer],
        then: Callable[[_Answer], None],
        *,
        failed: Callable[[Exception], None] | None = None,
    ) -> threading.Event:
        """Run a deed in one transaction, give its answer to `then`, and tell everybody that the register changed."""

        def work() -> _Answer:
            return save(self._register, deed, actor=self._actor, at=self._clock.now(), today=self._clock.today)

        return self._submit(work, _Work(then, failed, changes=True, deed=True))

    def rehearse(
        self,
        deed: Callable[[Change], _Answer],
        then: Callable[[_Answer], None],
        *,
        failed: Callable[[Exception], None] | None = None,
    ) -> threading.Event:
        """Run a deed in a transaction that is dropped, and give `then` what the deed would have answered."""

        def work() -> _Answer:
            with self._register.change(
                actor=self._actor, at=self._clock.now(), today=self._clock.today, keep=False
            ) as change:
                return deed(change)

        return self._submit(work, _Work(then, failed, keeps=False))

    def run(
        self,
        work: Callable[[Register], _Answer],
        then: Callable[[_Answer], None],
        *,
        failed: Callable[[Exception], None] | None = None,
        changes: bool = False,
        keeps: bool = True,
        said: str = "",
        yields: bool = False,
    ) -> threading.Event:
        """Run longer work that opens its own transactions, such as taking in a file or writing a workbook.

        Without `keeps` it is a rehearsal. `said` names work that no dialog waits for, such as "Checking the register".
        What `yields` is stopped by whatever is asked after it.
        """
        asked = _Work(then, failed, keeps=keeps, changes=changes, said=said, yields=yields)
        return self._submit(lambda: work(self._register), asked)

    def cancel(self) -> None:
        """Cancel the longer work that is told of."""
        for work in self._named():
            work.stop.set()

    def close(self, last: Callable[[Register], object] | None = None) -> None:
        """Stop questions and longer work, finish the deeds that were asked for, then let go of the register.

        `last` is work that is done after all else, and before the register is let go.
        """
        self._closed = True
        self._slow.stop()
        for work in self._open:
            if not work.deed:
                work.stop.set()
        done = self._pool.submit(last, self._register) if last is not None else None
        self._pool.shutdown(wait=True)
        self._register.close()
        if done is not None and (error := done.exception()) is not None:
            log.error("what was to be done last was not: %s", error)

    def _named(self) -> list[_Work]:
        return [work for work in self._open if work.said]

    def _tell(self) -> None:
        """Tell what is under way, where that is news."""
        named = self._named()
        if not named:
            self._slow.stop()
        said = named[0].said if named else ""
        if said != self._told and not self._closed:
            self._told = said
            self.under_way.emit(said)

    def _submit(self, task: Callable[[], Any], work: _Work) -> threading.Event:
        """Queue work, and return what cancels it."""
        if self._closed:
            return work.stop

        def heeding() -> Any:  # noqa: ANN401 - whatever the work answers
            with stopped_by(work.stop):
                go_on()
                return task()

        for each in self._open:
            if each.yields:
                each.stop.set()
        self._open.append(work)
        self._asked += 1
        if work.said:
            self._slow.start()
        future = self._pool.submit(heeding)
        future.add_done_callback(lambda done: self._done.emit(done, work))
        return work.stop

    def _deliver(self, done: "Future[Any]", work: _Work) -> None:
        self._open.remove(work)
        if work.said:
            self._tell()
        error = done.exception()
        if self._closed:
            if error is not None and work.deed:
                self._messages.failure(error)
        elif work.stop.is_set() and not work.keeps:
            if error is not None and not isinstance(error, Refused | Unavailable):
                self._messages.failure(error)
        elif error is None:
            if work.changes:
                self.changed.emit()
            work.then(done.result())
        elif work.failed is not None and isinstance(error, Exception):
            work.failed(error)
        elif isinstance(error, Stopped):
            self._messages.tell(str(error))
        else:
            self._messages.failure(error)
