"""Reading the register whole once it is open, and with its newest copies once a week, while nobody does anything."""

import logging
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial
from typing import Final

from PySide6.QtCore import QObject, QTimer

from register.domain.words import counted
from register.errors import Damaged, Refused, Unavailable
from register.services.looking_after import Due, LookedAfter, last_check, look_after, what_is_due
from register.stopping import Stopped
from register.store.read_whole import ReadWhole
from ui.dates import shown
from ui.program import Program

SOON_MS: Final = 500
"""So long nothing must have been asked for, where the register was just opened and is soon read."""

QUIET_MS: Final = 5 * 60 * 1000
"""So long otherwise."""

NOT_BEFORE: Final = timedelta(hours=1)
"""So long after it gave way, or was cancelled, the weekly reading is not begun again."""

log = logging.getLogger(__name__)


class LookingAfter(QObject):
    """Begins the reading, gives way to whatever is asked meanwhile, and warns for as long as the register is damaged.

    `cut_off` says that the program before did not end as it should. `mend` is called with the reason where damage is
    found that was not known.
    """

    def __init__(self, program: Program, mend: Callable[[str], None], *, cut_off: bool = False) -> None:
        super().__init__(program.frame)
        self._program, self._mend, self._cut_off = program, mend, cut_off
        self._opened, self._asked, self._warned = True, -1, False
        self._known: tuple[str, ...] = ()
        self._put_off: datetime | None = None
        self.quiet = QTimer(self, interval=SOON_MS)
        self.quiet.timeout.connect(self.look)
        self.quiet.start()
        program.jobs.copied.connect(self._mind)
        self._mind()

    def look(self) -> None:
        """Begin where something is due and nothing was asked since the last time."""
        jobs = self._program.jobs
        put_off = self._put_off is not None and jobs.now() < self._put_off
        if jobs.idle and jobs.asked == self._asked and not put_off and not jobs.only_looking:
            what = partial(what_is_due, now=jobs.now(), opened=self._opened, cut_off=self._cut_off)
            jobs.ask(what, self._begin, yields=True)
        self._asked = jobs.asked

    def _begin(self, due: Due) -> None:
        if due is Due.NOTHING:
            self._go_on_weekly()
            return
        jobs = self._program.jobs
        work = partial(look_after, now=jobs.now(), copies=due is Due.ALL)
        jobs.run(work, self._looked, failed=self._failed, said="Checking the register", yields=True)
        self._asked = jobs.asked

    def _go_on_weekly(self) -> None:
        self._opened = False
        self.quiet.setInterval(QUIET_MS)

    def _looked(self, done: LookedAfter) -> None:
        self._go_on_weekly()
        messages, known = self._program.messages, self._known
        for each in done.spoilt:
            copied = " A new one was made." if done.made is not None and done.made.copies else ""
            messages.tell(f"{each.copy.path.name} was found damaged, so it is no copy any more.{copied}")
        self._program.jobs.copied.emit()
        if done.found.faults[:1] != known[:1] and done.found.faults:
            self._mend(f"{found_wrong(done.found)} {done.found.faults[0]}")

    def _failed(self, error: Exception) -> None:
        gave_way = isinstance(error, Stopped) and self._program.jobs.asked != self._asked
        if gave_way and self._opened:
            return  # it begins anew once nothing is asked for that long
        self._put_off = self._program.jobs.now() + NOT_BEFORE
        self._go_on_weekly()
        if isinstance(error, Damaged):
            self._say(str(error))
            self._mend(str(error))
        elif isinstance(error, Refused | Unavailable):
            log.info("the register was not read whole: %s", error)
        else:
            self._program.messages.failure(error)

    def _mind(self) -> None:
        """Ask what was found last; what can only be looked at says that instead."""
        if not self._program.jobs.only_looking:
            self._program.jobs.ask(last_check, self._warn)

    def _warn(self, last: ReadWhole | None) -> None:
        self._known = last.faults if last is not None else ()
        if last is not None and last.faults:
            self._say(f"{found_wrong(last)} Keep your copies, and see what can be done.")
        elif self._warned:
            self._program.frame.banner.say("")
            self._program.frame.banner.other.hide()

    def _say(self, said: str) -> None:
        """Say it above the pages for as long as it is so, with the way to what can be done."""
        frame = self._program.frame
        frame.banner.say(said)
        if not self._warned:
            frame.banner.let("Care of the register", partial(frame.go, "firm", "care"))
        frame.banner.other.show()
        self._warned = True


def found_wrong(last: ReadWhole) -> str:
    """Say how much is wrong, and since when that is known."""
    wrong = counted(len(last.faults) + last.more, "thing is wrong", "things are wrong")
    on = shown(last.at.astimezone().date())
    return f"The check of {on} found that {wrong} in this register."
