"""A program at work that is to be killed: it records tests, takes sheets in and undoes both, and says what was kept.

It is started once and forks a worker for each line that it reads (the register's file, and a number to begin at), so
that a kill does not cost a start of Python. Each deed has a name, said before ("doing", "undoing") and after it was
kept ("done", "undone"); when the worker was killed, "dead" follows.
"""

import os
import sys
from collections.abc import Callable
from datetime import time, timedelta
from pathlib import Path
from typing import Final

from register.services.intake import IntakeChoices
from register.services.recording import record_tests
from register.services.undo import Steps
from register.store.engine import open_register
from tests.desk import QUICK, SOUND, Desk, entry
from tests.services.sheet import item, sheet_test, take

SWITCHES: Final = 12
ROWS: Final = 25
TURN, SHEET, UNDONE = 40, 9, (10, 20, 30)
"""Of forty deeds the tenth is a sheet; it and two of the tests are undone at once."""


def work(path: Path, start: int) -> None:
    """Work on a register without end."""
    desk, steps = Desk(open_register(path)), Steps()
    desk.register.watch(steps)
    say("ready", str(os.getpid()))
    name = ""
    for number in range(start, start + 100_000):
        if number % TURN in UNDONE and name:
            say("undoing", name)
            with desk.change() as change:
                steps.undo(change)
            say("undone", name)
            continue
        name, deed = a_sheet(desk, number) if number % TURN == SHEET else a_test(desk, number)
        say("doing", name)
        deed()
        say("done", name)


def a_sheet(desk: Desk, number: int) -> tuple[str, Callable[[], object]]:
    """Return the name of a sheet of leads, each with a test, and what takes it in."""
    tags = [f"L-{number}-{each:02}" for each in range(ROWS)]
    rows = [item(tag) for tag in tags], [sheet_test(tag) for tag in tags]
    return f"L-{number}-", lambda: take(desk, *rows, IntakeChoices(site="YARD"))


def a_test(desk: Desk, number: int) -> tuple[str, Callable[[], object]]:
    """Return the id of the test of a switch, and what records it."""
    on, minute = desk.today - timedelta(days=number // 1_440), number % 1_440
    tag, at = f"S-{number % SWITCHES:03}", time(minute // 60, minute % 60)
    made = entry(tag, on, readings=[*SOUND, *QUICK], at=at)

    def record() -> None:
        with desk.change() as change:
            record_tests(change, [made])

    return made.id, record


def say(*words: str) -> None:
    """Say one thing in one write, which is not cut in two by a kill."""
    os.write(1, f"{' '.join(words)}\n".encode())


if __name__ == "__main__":
    for line in sys.stdin:
        file, begin = line.rstrip("\n").rsplit(" ", 1)
        child = os.fork()
        if child == 0:
            work(Path(file), int(begin))
        os.waitpid(child, 0)
        say("dead")
