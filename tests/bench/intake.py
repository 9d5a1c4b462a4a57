"""Taking in a workbook of 20,000 rows: reading it beside openpyxl alone, then keeping it."""

import shutil
from collections.abc import Iterator
from contextlib import closing
from functools import partial
from pathlib import Path
from statistics import median
from typing import Final

import openpyxl

from register.exchange.taking_in import read_file, take_in_reading
from register.services.intake.taking_in import IntakeChoices
from register.services.undo import Steps
from register.store.engine import Register, create_register, open_register
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
        lambda: rehearse(empty, sheet), lambda: read(empty, sheet), lambda: bare(sheet), effort=effort
    )
    what = f"import of {rows:,} rows x {len(HEADINGS)}"
    yield Line(f"{what}, dry run", whole, "s", floor, "openpyxl reading the file", DRY_RUN_GOAL)
    yield Line(f"{what}, reading alone", reading, "s", floor, "openpyxl reading the file")
    own = empty.with_name("own.register")
    kept, undone = zip(*(keep(shutil.copy(empty, own), sheet) for _ in range(effort.least)), strict=True)
    yield Line(f"{what}, everything after reading", median(kept), "s", goal=COMMIT_GOAL)
    yield Line(f"{what}, undone", median(undone), "s")


def read(path: Path, sheet: Path) -> object:
    """Read the workbook as the program does."""
    with closing(open_register(path)) as register:
        return read_file(register, sheet, CHOICES, today=TODAY)


def rehearse(path: Path, sheet: Path) -> None:
    """Read the workbook and take it in without keeping anything."""
    with closing(open_register(path)) as register:
        reading = read_file(register, sheet, CHOICES, today=TODAY)
        take_in_reading(register, sheet, reading, CHOICES, actor=ACTOR, at=AT, today=TODAY, dry_run=True)


def keep(path: Path, sheet: Path) -> tuple[float, float]:
    """Read and rehearse the workbook; return how many seconds keeping it takes, as in the window, and undoing that."""
    steps = Steps()
    with closing(open_register(path)) as register:
        reading = read_file(register, sheet, CHOICES, today=TODAY)
        once = partial(take_in_reading, register, sheet, reading, CHOICES, actor=ACTOR, at=AT, today=TODAY)
        once(dry_run=True)
        register.watch(steps)
        return timed(once), timed(partial(_undo, register, steps))


def _undo(register: Register, steps: Steps) -> None:
    with register.change(actor=ACTOR, at=AT, today=TODAY) as change:
        steps.undo(change)


def bare(sheet: Path) -> int:
    """Read every cell with openpyxl and do nothing with it."""
    book = openpyxl.load_workbook(sheet, read_only=True)
    read = sum(len(row) for each in book.worksheets for row in each.iter_rows(values_only=True))
    book.close()
    return read
