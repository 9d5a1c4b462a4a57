"""Opening a register on a server, from the window: asked for once, with the password that the keyring may keep."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtWidgets import QWidget

from register.errors import Refused, Unavailable
from register.store.address import Address, Place, place_of
from register.store.engine import Register
from register.store.on_share import open_file
from register.store.opening import open_place
from register.store.passwords import keep_password, kept_password
from register.store.server_faults import PasswordWanted
from ui.asking.server import ServerDialog


def opened(place: Place, only_looking: str = "") -> Register:
    """Open a register wherever it is; a server gets the password that comes with the place, else the one kept."""
    if not isinstance(place, Address):
        return open_file(place, only_looking)
    if place.password is None:
        return open_place(replace(place, password=kept_password(place)))
    register = open_place(place)
    keep_password(place, place.password)
    return register


def ask_where_wanted(window: QWidget, show: Callable[[Place], None], place: Address, reason: Exception) -> None:
    """Ask for the password of a register that could not be opened for want of it."""
    if isinstance(reason, PasswordWanted):
        ask(window, show, str(place))


def put_back(place: Place, offer: Callable[[Path], None], say: Callable[[str], None]) -> None:
    """Offer the copies of a register in a file; say of one on a server whose they are."""
    if isinstance(place, Address):
        say("A register on a server is put back with the server's own tools, by whoever keeps it.")
    else:
        offer(place)


def remembered(place: Place) -> str:
    """Return how a place is remembered for the next time: never with a password."""
    return str(place) if isinstance(place, Address) else str(place.resolve())


def ask(window: QWidget, show: Callable[[Place], None], address: str = "") -> None:
    """Ask for an address and show what is there; where that can't be done, the dialog says why and keeps it."""

    def enter(typed: str, password: str) -> None:
        try:
            show(named(typed, password))
        except (Refused, Unavailable) as reason:
            dialog.complain(str(reason))
        else:
            dialog.accept()

    dialog = ServerDialog(window, address, enter)
    dialog.open()


def named(address: str, password: str) -> Place:
    """Return the place that somebody typed."""
    place = place_of(address)
    return replace(place, password=password) if isinstance(place, Address) and password else place
