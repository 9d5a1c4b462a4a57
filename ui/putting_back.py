"""Putting a copy of a register in its place: where it is damaged, and when somebody wants an older state."""

from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import Final

from PySide6.QtWidgets import QWidget

from register.errors import Damaged, Refused, Unavailable
from register.services.putting_back import WayBack, put_back, ways_back
from register.store.kept_copies import KeptCopy
from register.store.restoring import Restored, is_spoilt
from ui.asking.put_back import PutBackDialog, copy_time
from ui.away import Away

WANTED: Final = "The register as it is now gives way to a copy of it: whatever was entered since is not in the copy."


@dataclass(frozen=True, slots=True)
class Moment:
    """Who puts a copy back, and when."""

    actor: str
    at: datetime
    today: date


class PuttingBack:
    """Finds the copies, asks which, puts it back and opens it, away from the window's thread.

    `window` is what is asked over, `say` tells what is going on, `leave` lets go of the register that is open (False
    where the user would not), `enter` opens one.
    """

    def __init__(
        self, window: Callable[[], QWidget], say: Callable[[str], None], leave: Callable[[], bool],
        enter: Callable[[Path], None], moment: Callable[[], Moment],
    ) -> None:  # fmt: skip
        self._window, self._say, self._leave, self._enter, self._moment = window, say, leave, enter, moment
        self._away = Away("putting-back")

    def offer_where_spoilt(self, path: Path, reason: Exception) -> None:
        """Offer the copies of a register that could not be opened because it is damaged, or not there any more."""
        if isinstance(reason, Damaged) or is_spoilt(path):
            self.offer(path, str(reason))

    def offer(self, path: Path, why: str = "") -> None:
        """Offer the copies of a register; without a reason it is somebody's wish, who is told where there are none."""
        self._away.run(partial(ways_back, path), partial(self._ask, path, why))

    def close(self) -> None:
        """Wait for what is under way."""
        self._away.close()

    def _ask(self, path: Path, why: str, done: "Future[list[WayBack]]") -> None:
        error = done.exception()
        if error is not None and not isinstance(error, Refused | Unavailable):
            raise error
        ways = [] if error is not None else done.result()
        if ways:
            deed = partial(self._put_back, path, why)
            PutBackDialog(self._window(), path.name, why or WANTED, ways, deed).open()
        elif not why:
            self._say(str(error) if error is not None else f"There is no good copy of {path.name} to put back yet.")

    def _put_back(self, path: Path, why: str, copy: KeptCopy) -> None:
        if not why and not self._leave():
            return
        self._say(f"Putting back the copy of {copy_time(copy)}…")
        now = self._moment()
        work = partial(put_back, path, copy, actor=now.actor, at=now.at, today=now.today)
        self._away.run(work, partial(self._open, path, why))

    def _open(self, path: Path, why: str, done: "Future[Restored]") -> None:
        error = done.exception()
        if isinstance(error, Refused | Unavailable):
            if not why:
                self._enter(path)  # it is as it was
            self._say(str(error))
            return
        restored = done.result()
        self._enter(path)
        aside = f" What was there is kept as {restored.kept_aside.name}." if restored.kept_aside is not None else ""
        earlier = " and was brought up to date" if restored.earlier else ""
        self._say(f"The copy of {copy_time(restored.copy)} is in its place{earlier}.{aside}")
