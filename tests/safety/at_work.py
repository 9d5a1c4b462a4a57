"""A program at work that is to be killed: it enters, tests, takes sheets in and undoes, and says what was kept.

It is started once and forks a worker for each line that it reads (the register's file, a number to begin at, and how
many rows its sheets have), so that a kill does not cost a start of Python. Each deed has a name, said before ("doing",
"undoing") and after it was kept ("done", "undone"); when the worker was killed, "dead" follows. With large sheets it
takes in one after the other, and undoes every second one.
"""

import os
import sys
from collections.abc import Callable
from datetime import time, timedelta
from functools import cache
from itertools import count
from pathlib import Path
from typing import Final

from register.services.intake.taking_in import IntakeChoices
from register.services.places import owner_named
from register.services.recording import record_tests
from register.services.undo import Steps
from register.store.engine import open_register
from tests.desk import QUICK, SOUND, Desk, entry
from tests.services.sheet import item, sheet_test, take

SWITCHES: Final = 12
ROWS: Final = 25
TURN, SHEET, UNDONE, TEST = 40, 9, (10, 21, 32), 4
"""Of forty deeds the tenth is a sheet; it and two others are undone at once. Of four one is a test, the rest small."""


@cache
def desk_at(path: Path) -> Desk:
    """Return a desk at a register at which each sort of deed was done once: SQLAlchemy then knows every statement."""
    desk = Desk(open_register(path))
    work(desk, 900_000, TURN, lambda *_words: None)
    return desk


def large_sheets(desk: Desk, start: int, rows: int, say: Callable[..., None]) -> None:
    """Take in sheets of so many rows and undo every second one, on and on, and say so of each."""
    steps = Steps()
    desk.register.watch(steps)
    for number in count(start):
        name, deed = a_sheet(desk, number, rows)
        say("doing", name)
        deed()
        say("done", name)
        if number % 2:
            say("undoing", name)
            with desk.change() as change:
                steps.undo(change)
            say("undone", name)


def work(desk: Desk, start: int, deeds: int, say: Callable[..., None]) -> None:
    """Do so many deeds, and say so of each."""
    steps, name = Steps(), ""
    desk.register.watch(steps)
    for number in range(start, start + deeds):
        if number % TURN in UNDONE and name:
            say("undoing", name)
            with desk.change() as change:
                steps.undo(change)
            say("undone", name)
            continue
        name, deed = some_deed(desk, number)
        say("doing", name)
        deed()
        say("done", name)


def some_deed(desk: Desk, number: int) -> tuple[str, Callable[[], object]]:
    """Return the name of a deed and what does it."""
    if number % TURN == SHEET:
        return a_sheet(desk, number)
    return a_test(desk, number) if number % TEST == 0 else an_owner(desk, number)


def an_owner(desk: Desk, number: int) -> tuple[str, Callable[[], object]]:
    """Return the name of an owner, and what enters him: the smallest of changes."""
    name = f"O-{number}"

    def enter() -> None:
        with desk.change() as change:
            owner_named(change, name)

    return name, enter


def a_sheet(desk: Desk, number: int, many: int = ROWS) -> tuple[str, Callable[[], object]]:
    """Return the name of a sheet of leads, each with a test, and what takes it in."""
    tags = [f"L-{number}-{each:04}" for each in range(many)]
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


def tell(*words: str) -> None:
    """Say one thing in one write, which is not cut in two by a kill."""
    os.write(1, f"{' '.join(words)}\n".encode())


if __name__ == "__main__":
    for line in sys.stdin:
        file, begin, in_a_sheet = line.rstrip("\n").rsplit(" ", 2)
        at = desk_at(Path(file))
        child = os.fork()
        if child == 0:
            tell("ready", str(os.getpid()))
            if int(in_a_sheet) > ROWS:
                large_sheets(at, int(begin), int(in_a_sheet), tell)
            else:
                work(at, int(begin), 1_000, tell)
        os.waitpid(child, 0)
        tell("dead")
