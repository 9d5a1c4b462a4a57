"""Stopping longer work from outside: whoever waits for it sets an event, and the work ends at its next step.

What is heeded belongs to the thread at work, so that a step needs no way handed down to it through every layer.
"""

import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TypeVar

from register.errors import Unavailable

_Row = TypeVar("_Row")
_here = threading.local()


class Stopped(Unavailable):
    """The work was told to stop, and nothing of it was kept."""

    def __init__(self) -> None:
        super().__init__("The work was stopped; nothing of it was kept. Start it again when you want it.")


@contextmanager
def stopped_by(stop: threading.Event) -> Iterator[None]:
    """Let what this thread does in the block end at its next step once `stop` is set."""
    before = getattr(_here, "stop", None)
    _here.stop = stop
    try:
        yield
    finally:
        _here.stop = before


def is_stopped() -> bool:
    """Whether the work of this thread was told to stop."""
    stop = getattr(_here, "stop", None)
    return stop is not None and stop.is_set()


def go_on() -> None:
    """Take a step: raise Stopped where the work of this thread was told to stop."""
    if is_stopped():
        raise Stopped


def step_by_step(rows: Iterable[_Row]) -> Iterator[_Row]:
    """Yield the rows, each of them a step."""
    for row in rows:
        go_on()
        yield row
