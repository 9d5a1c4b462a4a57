"""Bringing a register of an earlier version up to date, once that is wanted, and opening it."""

import threading
from collections.abc import Callable
from concurrent.futures import Future
from functools import partial

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QWidget

from register.services.upgrading import Upgraded, folder_for_copies, upgrade
from register.stopping import stopped_by
from register.store.address import Address, Place
from ui.asking.bring_up import BringUpDialog
from ui.away import Away
from ui.putting_back import Moment


class Updating(QObject):
    """Asks, brings up to date away from the window's thread, and opens.

    `window` is what is asked over, `say` tells what was done, `enter` opens a register. One on a server is not opened:
    the login that brings it up to date is not for work.
    """

    _step = Signal(object, int)

    def __init__(
        self, window: Callable[[], QWidget], say: Callable[[str], None], enter: Callable[[Place], None],
        moment: Callable[[], Moment],
    ) -> None:  # fmt: skip
        super().__init__()
        self._window, self._say, self._enter, self._moment = window, say, enter, moment
        self._away, self._stop = Away("updating"), threading.Event()
        self._step.connect(_show_step, Qt.ConnectionType.QueuedConnection)

    def offer(self, place: Place) -> None:
        """Ask whether to bring a register up to date, and do it; it can be cancelled, and is then as it was."""
        folder = folder_for_copies(place) if isinstance(place, Address) else None
        dialog = BringUpDialog(self._window(), place.name, lambda: self._bring_up(place, dialog), folder)
        dialog.open()

    def close(self) -> None:
        """Stop what is under way: the register is as it was."""
        self._stop.set()
        self._away.close()

    def _bring_up(self, place: Place, dialog: BringUpDialog) -> None:
        self._stop = stop = threading.Event()
        dialog.works(stop.set)
        now = self._moment()
        work = partial(
            upgrade, place, actor=now.actor, at=now.at, today=now.today, step=partial(self._step.emit, dialog)
        )
        self._away.run(partial(_stopped_by, stop, work), partial(self._open, place, dialog))

    def _open(self, place: Place, dialog: BringUpDialog, done: "Future[Upgraded]") -> None:
        error = done.exception()
        if isinstance(error, Exception):
            dialog.show_step(-1)
            if not dialog.refused(error):
                raise error
            return
        dialog.accept()
        copy = done.result().copy
        if isinstance(place, Address):
            kept = f" As it was before, it is kept as {copy}." if copy is not None else ""
            self._say(f"{place.name} is up to date.{kept} Open it with a login of the team's to work in it.")
            return
        self._enter(place)
        kept = f" As it was before, it is kept as {copy.name}." if copy is not None else ""
        self._say(f"{place.name} is up to date.{kept}")


def _show_step(dialog: BringUpDialog, step: int) -> None:
    if not dialog.gone:
        dialog.show_step(step)


def _stopped_by(stop: threading.Event, work: Callable[[], Upgraded]) -> Upgraded:
    with stopped_by(stop):
        return work()
