"""Passwords of servers, kept by the system's keyring where there is one, and nowhere else."""

from importlib import import_module
from typing import Any, Final

from register.store.address import Address

_SERVICE: Final = "Retest Register"


def kept_password(address: Address) -> str | None:
    """Return the password that the keyring keeps for an address; None where it keeps none, or there is no keyring."""
    keyring = _keyring()
    try:
        return None if keyring is None else keyring.get_password(_SERVICE, str(address))
    except keyring.errors.KeyringError:
        return None


def keep_password(address: Address, password: str) -> bool:
    """Let the keyring keep a password; False where there is none that can."""
    keyring = _keyring()
    if keyring is None:
        return False
    try:
        keyring.set_password(_SERVICE, str(address), password)
    except keyring.errors.KeyringError:
        return False
    return True


def _keyring() -> Any:  # noqa: ANN401 - a module that need not be installed
    try:
        import_module("keyring.errors")
        return import_module("keyring")
    except ImportError:
        return None
