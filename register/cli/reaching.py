"""Reaching a register wherever it is: a server's password is known by the system's keyring, or asked for."""

import getpass
import sys
from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from register.cli.output import notice
from register.store.address import Address, Place
from register.store.passwords import keep_password, kept_password
from register.store.server_faults import PasswordWanted

_T = TypeVar("_T")


def reached(place: Place, way: Callable[[Place], _T]) -> _T:
    """Do something with a place; where a server wants a password that nobody knows, ask whoever is at the keyboard."""
    if not isinstance(place, Address):
        return way(place)
    try:
        return way(replace(place, password=kept_password(place)))
    except PasswordWanted:
        if not sys.stdin.isatty():
            raise
    typed = getpass.getpass(f"Password of {place.login or 'your login'} for {place.name}: ", stream=sys.stderr)
    done = way(replace(place, password=typed))
    why_not = keep_password(place, typed)
    if why_not:
        notice(why_not)
    return done
