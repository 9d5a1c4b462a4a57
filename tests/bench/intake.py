"""Taking in a workbook of 20,000 rows: reading it beside openpyxl alone, then keeping it."""

import shutil
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Final

import openpyxl

from register.exchange.taking_in import read_file, take_in_reading
from register.services.intake.taking_in import IntakeChoices
from register.services.undo import Steps
from register.store.engine import create_register, open_register
from tests.bench.build import ACTOR, AT
from tests.bench.made_up import TODAY
from tests.bench.sheet import HEADINGS, write_sheet
from tests.bench.timing import Effort, Line, medians, timed

ROWS: Final = 20_000
DRY_RUN_GOAL: Final = 10.0
COMMIT_GOAL: Final = 5.0
CHOICES: Final = IntakeChoices(site="NEW1", site_name="New Works", owner="New Works Pty", environment="workshop")


def lines(folder: Path, rows: int, effort: Effort) -> Iterator[Line]:
    """Measure the rehearsal and the intake of such a workbook into an empty register."""
    sheet = folder / f"{rows}-rows.xlsx"
    write_sheet(sheet, rows)
    empty = folder / "empty.register"
    empty.unlink(missing_ok=True)
    create_register(empty).close()
    whole, reading, floor = medians(
        lambda: take_in(empty, sheet, dry_run=True), lambda: read(empty, sheet), lambda: bare(sheet), effort=effort
    )
    what = f"import of {rows:,} rows x {len(HEADINGS)}"
    yield Line(f"{what}, dry run", whole, "s", floor, "openpyxl reading the file", DRY_RUN_GOAL)
    yield Line(f"{what}, reading alone", reading, "s", floor, "openpyxl reading the file")
    yield Line(f"{what}, everything after reading", _commits(empty, sheet, effort), "s", goal=COMMIT_GOAL)


def _commits(empty: Path, sheet: Path, effort: Effort) -> float:
    """Return the median of keeping what was read, each time in a register of its own."""
    own = empty.with_name("own.register")
    found = []
    for _ in range(effort.least):
        shutil.copy(empty, own)
        found.append(take_in(own, sheet, dry_run=False))
    return sorted(found)[len(found) // 2]


def read(path: Path, sheet: Path) -> object:
    """Read the workbook as the program does."""
    register = open_register(path)
    try:
        return read_file(register, sheet, CHOICES, today=TODAY)
    finally:
        register.close()


def take_in(path: Path, sheet: Path, *, dry_run: bool) -> float:
    """Read and take in the workbook; return how many seconds everything after the reading took.

    What is to be kept is rehearsed before, and can be undone after, as in the window.
    """
    register = open_register(path)
    try:
        reading = read_file(register, sheet, CHOICES, today=TODAY)
        once = partial(take_in_reading, register, sheet, reading, CHOICES, actor=ACTOR, at=AT, today=TODAY)
        if not dry_run:
            once(dry_run=True)
            register.watch(Steps())
        return timed(partial(once, dry_run=dry_run))
    finally:
        register.close()


def bare(sheet: Path) -> int:
    """Read every cell with openpyxl and do nothing with it."""
    book = openpyxl.load_workbook(sheet, read_only=True)
    read = sum(len(row) for each in book.worksheets for row in each.iter_rows(values_only=True))
    book.close()
    return read
