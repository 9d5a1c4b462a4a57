"""What an error of a PostgreSQL server means to the user, by the code that it comes with."""

from typing import Final

from register.errors import Refused, Unavailable
from register.stopping import Stopped, is_stopped


class Lost(Unavailable):
    """The connection broke before a change was kept: nothing of it is there, and it can be made again."""


class Unsure(Lost):
    """The connection broke while a change was being kept, and the server is not back to say whether it was."""


class KeptAfterAll(Refused):
    """A change of which it was not known whether it was kept was kept, so it must not be made again unseen."""


class PasswordWanted(Unavailable):
    """The server wants a password, or another one."""


_LOST: Final = (
    "The server of {name} can't be reached, or the connection to it broke; nothing of this change was kept. Check the"
    " network, then do it again."
)
_BUSY: Final = "Somebody else is changing {name} at this moment. Try again when that is done."
_NOT_LET_IN: Final = "The server of {name} does not let you in: check the login and the password."
_STAYS_OUT: Final = (
    "Your login to {name} has no right to that, so nothing was changed. Ask whoever keeps the register, or leave it to"
    " somebody who has."
)
_NOT_IN: Final = "so the program did not log in to {name}"
_NO_VOUCHER: Final = (
    f"This computer knows nobody who vouches for the server, {_NOT_IN}. Ask whoever keeps the server for the"
    " certificate of its authority, and name the file in the address: ?sslrootcert=FILE."
)
_NO_FILE: Final = (
    f"The address names a file with the certificate of an authority that is not there, {_NOT_IN}. Check ?sslrootcert=."
)
_ANOTHER: Final = (
    f"The server proves to be another than the address says, {_NOT_IN}. Write the address with the name that its"
    " certificate has, or ask whoever keeps the server."
)
_IN_CLEAR: Final = (
    f"The server offers no encryption, and others could read along, {_NOT_IN}. Ask whoever keeps the server to switch"
    " it on."
)
_ENCRYPTED_ALONE: Final = (
    "The server of {name} takes nobody in without encryption, or not from this computer. Leave sslmode out of the"
    " address, or ask whoever keeps the server."
)
_ENDED: Final = "57014"
_THERE: Final = (
    "The same stands in {name} already: somebody else entered it just now, or it is where you have no right to look."
    " Look again, or choose another name."
)

_FULL: Final = "The server of {name} has as many connections as it can bear. Try again in a moment."

_BY_CLASS: Final[dict[str, tuple[type[Exception], str]]] = {
    "08": (Lost, _LOST),
    "28": (PasswordWanted, _NOT_LET_IN),
    "57": (Lost, _LOST),
}
_BY_CODE: Final[dict[str, tuple[type[Exception], str]]] = {
    "25P03": (Lost, _LOST),
    "25006": (Unavailable, "{name} is a copy of a register that can only be read. Open the register itself."),
    "3D000": (Refused, "There is no database {name}. Check the address."),
    "23505": (Refused, _THERE),
    "40001": (Unavailable, _BUSY),
    "40P01": (Unavailable, _BUSY),
    "42501": (Refused, _STAYS_OUT),
    "53100": (
        Unavailable,
        "The disk of the server of {name} is full; nothing of this change was kept. Ask whoever keeps it to make room.",
    ),
    "53300": (Unavailable, _FULL),
    "55P03": (Unavailable, _BUSY),
    _ENDED: (Unavailable, "The server of {name} took longer than it may, so nothing was changed. Try again later."),
}
_BY_WORDS: Final[dict[str, tuple[type[Exception], str]]] = {
    "no password supplied": (PasswordWanted, _NOT_LET_IN),
    "password authentication failed": (PasswordWanted, _NOT_LET_IN),
    'role "': (PasswordWanted, _NOT_LET_IN),
    "no encryption": (Unavailable, _ENCRYPTED_ALONE),
    "no pg_hba.conf entry": (Unavailable, _NOT_LET_IN),
    "server does not support SSL": (Unavailable, _IN_CLEAR),
    "does not match host name": (Unavailable, _ANOTHER),
    "certificate verify failed": (Unavailable, _NO_VOUCHER),
    "could not read root certificate": (Unavailable, _NO_FILE),
    "root certificate file": (Unavailable, _NO_FILE),
    "permission denied for database": (Unavailable, _NOT_LET_IN),
    'database "': (Refused, "There is no database {name}. Check the address."),
    "too many clients": (Unavailable, _FULL),
    "remaining connection slots": (Unavailable, _FULL),
}
"""What a server says, without a code, while nobody is connected to it yet."""


def told_by_server(name: str, error: object) -> Exception | None:
    """Return what to raise for an error of the driver; None where it is our own fault."""
    code = error.sqlstate if hasattr(error, "sqlstate") else None
    if code == _ENDED and is_stopped():
        return Stopped()
    kind, sentence = _BY_CODE.get(code or "", _BY_CLASS.get((code or "")[:2], (None, "")))
    if kind is None and code is None and type(error).__name__ == "OperationalError":  # no code: it came to no answer
        said = str(error)
        kind, sentence = next((told for words, told in _BY_WORDS.items() if words in said), (Lost, _LOST))
    return None if kind is None else kind(sentence.format(name=name))
