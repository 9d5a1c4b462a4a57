"""Copies that nobody has to think of, every half an hour and on closing; and what the status line says of them."""

import logging
from collections.abc import Callable
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, QTimer

from register.errors import Refused, Unavailable
from register.services.copying import Made, Safety, copy_if_changed, safety
from register.store.engine import Register
from ui.dates import shown, shown_time
from ui.holding import Held
from ui.looking_after import LookingAfter
from ui.program import Program

EVERY_MS: Final = 30 * 60 * 1000
log = logging.getLogger(__name__)


class Safekeeping(QObject):
    """Copies an open register from time to time where it changed, and says in the status line how safe it is.

    A file that is `held` is read whole as well; `mend` is called with it, and the reason, where that finds damage.
    """

    def __init__(self, program: Program, held: Held | None, mend: Callable[[Path, str], None]) -> None:
        super().__init__(program.frame)
        self._program = program
        self.again = QTimer(self, interval=EVERY_MS)
        self.again.timeout.connect(self.copy)
        self.again.start()
        program.jobs.copied.connect(self.refresh)
        self.refresh()
        if held is not None:
            LookingAfter(program, partial(mend, held[0]), cut_off=held[1].cut_off)

    def copy(self) -> None:
        """Copy the register, unless nothing changed since the last copy; a fault is said in the status line."""
        jobs = self._program.jobs
        if not jobs.only_looking:
            said = "Copying the register"
            jobs.run(partial(copy_if_changed, now=jobs.now()), self._copied, failed=self._failed, said=said)

    def refresh(self) -> None:
        """Say how safe the register is at present."""
        jobs = self._program.jobs
        jobs.ask(partial(safety, now=jobs.now()), self._show)

    def _copied(self, made: Made | None) -> None:
        for fault in made.faults if made is not None else ():
            self._program.messages.tell(fault)
        self.refresh()

    def _failed(self, error: Exception) -> None:
        if isinstance(error, Refused | Unavailable):
            self._program.messages.tell(str(error))
        else:
            self._program.messages.failure(error)

    def _show(self, found: Safety | None) -> None:
        if found is not None:
            self._program.frame.status.safe(in_short(found), found.words, calm=found.calm)


def in_short(found: Safety) -> str:
    """Say in a few words when the last good copy was made, and what it lacks."""
    if found.newest is None:
        return "No good copy" if found.spoilt else "No copy yet"
    local = found.newest.at.astimezone()
    said = f"Last good copy {shown(local.date())}, {shown_time(local)}"
    return said if found.elsewhere is not None else f"{said}, on this disk only"


def copy_at_last(register: Register, now: datetime) -> None:
    """Copy a register that is closed now, where something changed; the window is gone, so a fault goes into the log."""
    if register.only_looking:
        return
    try:
        made = copy_if_changed(register, now)
    except (Refused, Unavailable) as reason:
        log.warning("%s", reason)
        return
    for fault in made.faults if made is not None else ():
        log.warning("%s", fault)
