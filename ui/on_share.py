"""A register on a network drive, in the window: asked once whether it is changed there all the same."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

from register.errors import Refused, Unavailable
from register.services.on_share import change_on_share
from register.store.address import Place
from register.store.on_share import is_barred
from ui.program import Program
from ui.putting_back import Moment

ACTION: Final = "register.share"
WHY: Final = (
    "When the connection drops in the middle of a change, the change can be lost or the file spoilt. Use it from one"
    " computer at a time, and let copies go to a disk of this one. It is asked once for this register."
)
ASKED: Final = ("Change it on the network drive?", WHY, "Change it there")
"""What is asked: title, text and deed."""


def offer(program: Program, path: Place, moment: Callable[[], Moment], enter: Callable[[Path], None]) -> None:
    """Offer to change a register that is only looked at because it lies on a network drive; then open it anew."""
    barred = isinstance(path, Path) and is_barred(program.jobs.only_looking)

    def change() -> None:
        if not isinstance(path, Path) or not program.messages.confirm(*ASKED):
            return
        now = moment()
        try:
            change_on_share(path, allowed=True, actor=now.actor, at=now.at, today=now.today)
        except (Refused, Unavailable) as reason:
            program.messages.failure(reason)
        else:
            enter(path)

    program.frame.deeds.offer(ACTION, change, enabled=barred)
    if barred:
        program.frame.banner.let("Change it there…", lambda: program.frame.deeds.do(ACTION))
