"""Reading the register and its newest copies whole once a week, in a moment in which nobody does anything."""

from datetime import datetime, timedelta
from functools import partial
from typing import Final

from PySide6.QtCore import QObject, QTimer

from register.domain.words import counted
from register.errors import Damaged, Refused, Unavailable
from register.services.looking_after import LookedAfter, is_due, last_check, look_after
from register.stopping import Stopped
from register.store.read_whole import ReadWhole
from ui.dates import shown
from ui.program import Program

QUIET_MS: Final = 5 * 60 * 1000
"""So long nothing must have been asked for."""

NOT_BEFORE: Final = timedelta(hours=1)
"""So long after it gave way, or was cancelled, it is not begun again."""


class LookingAfter(QObject):
    """Begins the reading, gives way to whatever is asked meanwhile, and warns for as long as the register is damaged.

    `at_once` begins in the first quiet moment, whenever it was last done: the program before did not end as it should.
    """

    def __init__(self, program: Program, *, at_once: bool = False) -> None:
        super().__init__(program.frame)
        self._program, self._at_once = program, at_once
        self._asked, self._warned = -1, False
        self._put_off: datetime | None = None
        self.quiet = QTimer(self, interval=QUIET_MS)
        self.quiet.timeout.connect(self.look)
        self.quiet.start()
        program.jobs.copied.connect(self._mind)
        self._mind()

    def look(self) -> None:
        """Begin where it is due and nothing was asked since the last time."""
        jobs = self._program.jobs
        put_off = self._put_off is not None and jobs.now() < self._put_off
        if jobs.idle and jobs.asked == self._asked and not put_off and not jobs.only_looking:
            jobs.ask(partial(is_due, now=jobs.now()), self._begin, yields=True)
        self._asked = jobs.asked

    def _begin(self, due: bool) -> None:  # noqa: FBT001 - an answer
        if due or self._at_once:
            jobs = self._program.jobs
            work = partial(look_after, now=jobs.now())
            jobs.run(work, self._looked, failed=self._failed, said="Checking the register", yields=True)
            self._asked = jobs.asked

    def _looked(self, done: LookedAfter) -> None:
        self._at_once = False
        messages = self._program.messages
        for each in done.spoilt:
            copied = " A new one was made." if done.made is not None and done.made.copies else ""
            messages.tell(f"{each.copy.path.name} was found damaged, so it is no copy any more.{copied}")
        self._program.jobs.copied.emit()

    def _failed(self, error: Exception) -> None:
        if isinstance(error, Stopped):
            self._put_off = self._program.jobs.now() + NOT_BEFORE
        elif isinstance(error, Damaged):
            self._say(str(error))
        elif isinstance(error, Refused | Unavailable):
            self._program.messages.tell(str(error))
        else:
            self._program.messages.failure(error)

    def _mind(self) -> None:
        """Ask what was found last; what can only be looked at says that instead."""
        if not self._program.jobs.only_looking:
            self._program.jobs.ask(last_check, self._warn)

    def _warn(self, last: ReadWhole | None) -> None:
        if last is not None and last.faults:
            self._say(found_wrong(last))
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
    """Say how much is wrong, since when that is known, and what to do."""
    wrong = counted(len(last.faults) + last.more, "thing is wrong", "things are wrong")
    on = shown(last.at.astimezone().date())
    return f"The check of {on} found that {wrong} in this register. Keep your copies, and see what can be done."
