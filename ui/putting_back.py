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

    def offer(self, path: Path, why: str = "", *, is_open: bool = False) -> None:
        """Offer the copies of a register; without a reason it is somebody's wish, who is told where there are none.

        One that `is_open`, as it is whenever somebody wishes it, is let go of first.
        """
        asked = _Asked(path, why, is_open or not why)
        self._away.run(partial(ways_back, path), partial(self._ask, asked))

    def close(self) -> None:
        """Wait for what is under way."""
        self._away.close()

    def _ask(self, asked: "_Asked", done: "Future[list[WayBack]]") -> None:
        error = done.exception()
        if error is not None and not isinstance(error, Refused | Unavailable):
            raise error
        ways = [] if error is not None else done.result()
        if ways:
            deed = partial(self._put_back, asked)
            PutBackDialog(self._window(), asked.path.name, asked.why or WANTED, ways, deed).open()
        elif not asked.why:
            said = f"There is no good copy of {asked.path.name} to put back yet."
            self._say(str(error) if error is not None else said)

    def _put_back(self, asked: "_Asked", copy: KeptCopy) -> None:
        if asked.is_open and not self._leave():
            return
        self._say(f"Putting back the copy of {copy_time(copy)}…")
        now = self._moment()
        work = partial(put_back, asked.path, copy, actor=now.actor, at=now.at, today=now.today)
        self._away.run(work, partial(self._open, asked))

    def _open(self, asked: "_Asked", done: "Future[Restored]") -> None:
        error = done.exception()
        if isinstance(error, Refused | Unavailable):
            if asked.is_open:
                self._enter(asked.path)  # it is as it was
            self._say(str(error))
            return
        restored = done.result()
        self._enter(asked.path)
        aside = f" What was there is kept as {restored.kept_aside.name}." if restored.kept_aside is not None else ""
        earlier = " and was brought up to date" if restored.earlier else ""
        self._say(f"The copy of {copy_time(restored.copy)} is in its place{earlier}.{aside}")


@dataclass(frozen=True, slots=True)
class _Asked:
    """What was asked for: whose copies are offered, why, and whether that register is open."""

    path: Path
    why: str
    is_open: bool
