"""Saving through a connection that can break: once more where nothing was kept, never twice."""

from collections.abc import Callable
from datetime import date, datetime
from typing import TypeVar

from register.store.engine import Change, Register
from register.store.server_faults import Lost

_Answer = TypeVar("_Answer")


def save(register: Register, deed: Callable[[Change], _Answer], *, actor: str, at: datetime, today: date) -> _Answer:
    """Do a deed in one transaction and return its answer.

    Where the connection to a server breaks before anything is kept, the deed is done once more, over another one. Where
    it breaks while it is kept, the register is asked whether it was, by the deed's last event.
    """
    try:
        with register.change(actor=actor, at=at, today=today) as change:
            return deed(change)
    except Lost:
        with register.change(actor=actor, at=at, today=today) as change:
            return deed(change)
