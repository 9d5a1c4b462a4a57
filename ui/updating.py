"""Bringing a register of an earlier version up to date, once that is wanted, and opening it."""

from collections.abc import Callable
from concurrent.futures import Future
from functools import partial
from pathlib import Path
from typing import Final

from register.errors import Refused, Unavailable
from register.services.upgrading import Upgraded, upgrade
from ui.away import Away
from ui.putting_back import Moment

ASKED: Final = (
    "Bring the register up to date",
    "{name} was made by an earlier version. It is copied, then brought up to date; that version can open the copy.",
    "Bring it up to date",
)
"""What is asked before: title, text and deed."""


class Updating:
    """Asks, brings up to date away from the window's thread, and opens.

    `confirm` asks with a title, a text and a deed, `say` tells what is going on, `enter` opens a register.
    """

    def __init__(
        self, confirm: Callable[[str, str, str], bool], say: Callable[[str], None], enter: Callable[[Path], None],
        moment: Callable[[], Moment],
    ) -> None:  # fmt: skip
        self._confirm, self._say, self._enter, self._moment = confirm, say, enter, moment
        self._away = Away("updating")

    def offer(self, path: Path) -> None:
        """Ask whether to bring a register up to date, and do it."""
        title, text, deed = ASKED
        if not self._confirm(title, text.format(name=path.name), deed):
            return
        self._say(f"Bringing {path.name} up to date…")
        now = self._moment()
        work = partial(upgrade, path, actor=now.actor, at=now.at, today=now.today)
        self._away.run(work, partial(self._open, path))

    def close(self) -> None:
        """Wait for what is under way."""
        self._away.close()

    def _open(self, path: Path, done: "Future[Upgraded]") -> None:
        error = done.exception()
        if isinstance(error, Refused | Unavailable):
            self._say(str(error))
            return
        upgraded = done.result()
        self._enter(path)
        kept = f" As it was before, it is kept as {upgraded.copy.name}." if upgraded.copy is not None else ""
        self._say(f"{path.name} is up to date.{kept}")
