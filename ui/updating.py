"""Bringing a register of an earlier version up to date, once that is wanted, and opening it."""

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, Qt, Signal

from register.errors import Refused, Unavailable
from register.services.upgrading import Upgraded, upgrade
from ui.putting_back import Moment

ASKED: Final = (
    "Bring the register up to date",
    "{name} was made by an earlier version. It is copied, then brought up to date; that version can open the copy.",
    "Bring it up to date",
)
"""What is asked before: title, text and deed."""


class Updating(QObject):
    """Asks, brings up to date away from the window's thread, and opens.

    `confirm` asks with a title, a text and a deed, `say` tells what is going on, `enter` opens a register.
    """

    _done = Signal(object, object)

    def __init__(
        self, confirm: Callable[[str, str, str], bool], say: Callable[[str], None], enter: Callable[[Path], None],
        moment: Callable[[], Moment],
    ) -> None:  # fmt: skip
        super().__init__()
        self._confirm, self._say, self._enter, self._moment = confirm, say, enter, moment
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="updating")
        self._done.connect(self._open, Qt.ConnectionType.QueuedConnection)

    def offer(self, path: Path) -> None:
        """Ask whether to bring a register up to date, and do it."""
        title, text, deed = ASKED
        if not self._confirm(title, text.format(name=path.name), deed):
            return
        self._say(f"Bringing {path.name} up to date…")
        now = self._moment()
        future = self._pool.submit(upgrade, path, actor=now.actor, at=now.at, today=now.today)
        future.add_done_callback(lambda done: self._done.emit(done, path))

    def close(self) -> None:
        """Wait for what is under way."""
        self._pool.shutdown(wait=True)

    def _open(self, done: "Future[Upgraded]", path: Path) -> None:
        error = done.exception()
        if isinstance(error, Refused | Unavailable):
            self._say(str(error))
            return
        upgraded = done.result()
        self._enter(path)
        kept = f" As it was before, it is kept as {upgraded.copy.name}." if upgraded.copy is not None else ""
        self._say(f"{path.name} is up to date.{kept}")
