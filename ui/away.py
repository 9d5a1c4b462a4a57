"""Work away from the window's thread that needs no register that is open: its answer comes back on the window's own."""

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any, TypeVar

from PySide6.QtCore import QObject, Qt, Signal

_Answer = TypeVar("_Answer")


class Away(QObject):
    """Runs one piece of work after the other on a thread of its own, which bears a name."""

    _done = Signal(object, object)

    def __init__(self, name: str) -> None:
        super().__init__()
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix=name)
        self._closed = False
        self._done.connect(self._deliver, Qt.ConnectionType.QueuedConnection)

    def run(self, work: Callable[[], _Answer], then: Callable[["Future[_Answer]"], None]) -> None:
        """Do work, and give `then` what came of it: its answer, or what it raised; nothing once it was closed."""
        if self._closed:
            return
        self._pool.submit(work).add_done_callback(lambda done: self._done.emit(done, then))

    def close(self) -> None:
        """Wait for what is under way; nobody is told of it any more."""
        self._closed = True
        self._pool.shutdown(wait=True, cancel_futures=True)

    def _deliver(self, done: "Future[Any]", then: Callable[["Future[Any]"], None]) -> None:
        if not self._closed:
            then(done)
