"""Passwords of servers, kept by the system's keyring where there is one, and nowhere else.

The package `keyring` hands a password to whatever stands in for a keyring on the computer, which may be a file that
anybody can read, or nothing. So only the keyrings of the systems themselves are asked.
"""

from importlib import import_module
from typing import Any, Final

from register.store.address import Address

_SERVICE: Final = "Retest Register"
_OF_SYSTEMS: Final = frozenset(
    f"keyring.backends.{name}" for name in ("macOS", "Windows", "SecretService", "kwallet", "libsecret")
)
"""The modules of the keyrings that keep a password encrypted, by the user's own login to the computer."""

NO_KEYRING: Final = (
    "The password was not kept, because no keyring of the system's is there to keep it safely; {what} stands in for"
    " one. It will be asked for each time."
)
NOT_TAKEN: Final = "The system's keyring did not take the password, so it will be asked for each time."


def kept_password(address: Address) -> str | None:
    """Return the password that the system's keyring keeps for an address; None where it keeps none, or is none."""
    keyring, errors = _keyring(), _module("keyring.errors")
    try:
        return None if keyring is None else keyring.get_password(_SERVICE, str(address))
    except errors.KeyringError:
        return None


def keep_password(address: Address, password: str) -> str:
    """Let the system's keyring keep a password; return, in a sentence, why it was not kept although one stands there.

    Empty where it was kept, or where the package for keyrings is missing.
    """
    keyring, errors = _keyring(), _module("keyring.errors")
    if keyring is None:
        return _stands_in()
    try:
        keyring.set_password(_SERVICE, str(address), password)
    except errors.KeyringError:
        return NOT_TAKEN
    return ""


def _keyring() -> Any:  # noqa: ANN401 - of a package that need not be installed
    """Return the system's keyring; None where there is none, or the package for it is missing."""
    package = _module("keyring")
    if package is None:
        return None
    chosen = package.get_keyring()
    return next((each for each in getattr(chosen, "backends", [chosen]) if type(each).__module__ in _OF_SYSTEMS), None)


def _stands_in() -> str:
    """Return what stands in for the system's keyring, in a sentence; empty where nothing does."""
    package = _module("keyring")
    if package is None:
        return ""
    chosen = type(package.get_keyring())
    return NO_KEYRING.format(what=f"{chosen.__module__}.{chosen.__qualname__}")


def _module(name: str) -> Any:  # noqa: ANN401 - of a package that need not be installed
    try:
        return import_module(name)
    except ImportError:
        return None
