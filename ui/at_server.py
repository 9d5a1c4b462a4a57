"""Opening a register on a server, from the window: asked for, and reached away from the window's thread."""

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QWidget

from register.errors import Earlier, Refused, Unavailable
from register.store.address import Address, Place, place_of
from register.store.engine import Register
from register.store.opening import open_place
from register.store.passwords import keep_password, kept_password
from register.store.server_faults import PasswordWanted
from ui.asking.server import EXAMPLE, ServerDialog

AT_ONCE: Final = 4
"""So many servers are waited for at most: one that does not answer is left, and another tried."""

_LEFT: Final = "The server had not answered yet; nothing was opened. Open it again when you want it."


def opened(place: Address) -> tuple[Register, str]:
    """Open a register on a server by the password that comes with the place, else by the one kept.

    Beside the register it returns why the password was not kept, where there is something to say of it.
    """
    register = open_place(with_password(place))
    return register, "" if place.password is None else keep_password(place, place.password)


def with_password(place: Address) -> Address:
    """Return a place with the password that is kept for it, where it comes without one."""
    return place if place.password is not None else replace(place, password=kept_password(place))


@dataclass(eq=False, slots=True)
class _Attempt:
    """One attempt to open what a dialog names; of one that was left nobody waits for the answer."""

    dialog: ServerDialog
    place: Address
    left: bool = False


class AtServer(QObject):
    """Asks for the address of a register on a server, reaches it, and shows it.

    `window` is what is asked over; `show` shows a register that was opened, or lets go of it; `say` tells something;
    `earlier` is given one of an earlier version that this login can bring up to date.
    """

    _done = Signal(object, object)

    def __init__(
        self, window: Callable[[], QWidget], show: Callable[[Register, Address], None], say: Callable[[str], None],
        earlier: Callable[[Address], None],
    ) -> None:  # fmt: skip
        super().__init__()
        self._window, self._show, self._say, self._earlier = window, show, say, earlier
        self._pool = ThreadPoolExecutor(max_workers=AT_ONCE, thread_name_prefix="server")
        self._done.connect(self._deliver, Qt.ConnectionType.QueuedConnection)

    def ask(self, address: str = "") -> ServerDialog:
        """Ask which register, and open it; where that can't be done, the dialog says why and keeps what was typed."""
        dialog = ServerDialog(self._window(), address, lambda typed, password: self._reach(dialog, typed, password))
        dialog.open()
        return dialog

    def enter(self, place: Address) -> None:
        """Open a register that is known already; the dialog tells what is under way, and can cancel it."""
        self._reach(self.ask(str(place)), str(place), place.password or "")

    def close(self) -> None:
        """Wait for no server any more."""
        self._pool.shutdown(wait=True, cancel_futures=True)

    def _reach(self, dialog: ServerDialog, typed: str, password: str) -> None:
        try:
            attempt = _Attempt(dialog, named(typed, password))
        except Refused as reason:
            dialog.complain(str(reason))
            return

        def leave() -> None:
            attempt.left = True
            dialog.refused(Unavailable(_LEFT))

        dialog.works(leave)
        future = self._pool.submit(opened, attempt.place)
        future.add_done_callback(lambda done: self._done.emit(done, attempt))

    def _deliver(self, done: "Future[tuple[Register, str]]", attempt: _Attempt) -> None:
        if done.cancelled():
            return
        error, dialog = done.exception(), attempt.dialog
        if attempt.left or dialog.gone:
            if error is None:
                done.result()[0].close()
        elif isinstance(error, Earlier):
            dialog.accept()
            self._earlier(with_password(attempt.place))
        elif isinstance(error, Exception):
            if not dialog.refused(error):
                raise error
            if isinstance(error, PasswordWanted):
                dialog.password.setFocus()
        else:
            register, why_not_kept = done.result()
            self._show(register, attempt.place)
            dialog.accept()
            if why_not_kept:
                self._say(why_not_kept)


def put_back(place: Place, offer: Callable[[Path], None], say: Callable[[str], None]) -> None:
    """Offer the copies of a register in a file; say of one on a server whose they are."""
    if isinstance(place, Address):
        say("A register on a server is put back with the server's own tools, by whoever keeps it.")
    else:
        offer(place)


def remembered(place: Place) -> str:
    """Return how a place is remembered for the next time: never with a password."""
    return str(place) if isinstance(place, Address) else str(place.resolve())


def named(address: str, password: str) -> Address:
    """Return the place on a server that somebody typed."""
    place = place_of(address)
    if not isinstance(place, Address):
        raise Refused(f"That names a file, not a server. Open files by Open a register, or write {EXAMPLE}.")
    return replace(place, password=password) if password else place
