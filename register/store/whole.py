"""Whether a register is what its program wrote: every page, every reference, the chain, and each row by its history."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from sqlalchemy.engine import Connection, Engine

from register.errors import Damaged
from register.store import integrity
from register.store.faults import DAMAGED
from register.store.sealing import differing


def spoilt(connection: Connection, *, of_today: bool = True) -> Iterator[str]:
    """Yield a sentence for each thing in which a register is not whole.

    One that is not `of_today`'s layout is not held row for row against its history.
    """
    yield from (integrity.damage if of_today else integrity.pages_damaged)(connection)
    yield from integrity.faults(connection)
    try:
        for row in differing(connection) if of_today else ():
            yield f"A row of its table {row.table} is not as its history says."
    except ValueError as error:
        yield f"What it keeps can't be understood: {error}."


_MAKES_NO_SENSE: Final = (ValueError, LookupError, ArithmeticError, TypeError, AttributeError)
"""What reading a row raises that was overwritten with what can't stand there; or a fault of the program."""


@contextmanager
def understood(engine: Engine, name: str, path: Path | None) -> Iterator[None]:
    """Turn what reading a spoilt file raises into Damaged; whether it is spoilt is looked up only then."""
    try:
        yield
    except _MAKES_NO_SENSE as error:
        if path is not None and not isinstance(error, UnicodeDecodeError) and _is_spoilt(engine):
            raise Damaged(DAMAGED.format(name=name)) from error
        raise


def _is_spoilt(engine: Engine) -> bool:
    with engine.connect() as connection, connection.begin():
        return next(spoilt(connection), None) is not None
