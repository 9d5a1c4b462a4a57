"""Saving through a connection that can break: once more where nothing was kept, never twice."""

from collections.abc import Callable
from datetime import date, datetime
from typing import TypeVar

from register.store.engine import Change, Register
from register.store.server_faults import KeptAfterAll, Lost, Unsure

_Answer = TypeVar("_Answer")


def save(register: Register, deed: Callable[[Change], _Answer], *, actor: str, at: datetime, today: date) -> _Answer:
    """Do a deed in one transaction and return its answer.

    Where the connection to a server breaks before anything is kept, the deed is done once more, over another one. Where
    it breaks while it is kept, the register is asked whether it was, by the deed's last event. Where the server is not
    back to say, that is told, and asked before the next change (see `ServerRegister.change`).
    """
    answers: list[_Answer] = []

    def once() -> _Answer:
        with register.change(actor=actor, at=at, today=today) as change:
            answers.append(deed(change))
        return answers[-1]

    try:
        return once()
    except Unsure:
        try:
            return once()
        except KeptAfterAll:
            return answers[0]
    except Lost:
        return once()
