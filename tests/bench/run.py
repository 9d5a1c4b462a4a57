"""Runs the measurements on one register, part by part."""

import sys
from collections.abc import Collection, Iterator
from pathlib import Path
from typing import Final

from register.store.engine import Register, open_register
from tests.bench import intake, lists, rules, tags, week, whole, window
from tests.bench.build import Size, kept_register
from tests.bench.timing import FEW, Effort, Line

PARTS: Final = ("rules", "tags", "lists", "whole", "import", "plan", "window")
JUDGED: Final = 1_000


def measured(folder: Path, *, items: int, rows: int, parts: Collection[str] = PARTS) -> list[Line]:
    """Return the lines of these parts on a register of so many items and a workbook of so many rows."""
    folder.mkdir(parents=True, exist_ok=True)
    path = kept_register(Size(items), folder)
    register = open_register(path)
    try:
        return list(_lines(register, path, rows, parts))
    finally:
        register.close()


def _lines(register: Register, path: Path, rows: int, parts: Collection[str]) -> Iterator[Line]:
    folder = path.parent
    found = {
        "rules": lambda: rules.lines(Effort(), JUDGED),
        "tags": lambda: tags.lines(FEW),
        "lists": lambda: lists.lines(register, path, Effort()),
        "whole": lambda: whole.lines(register, path, folder, FEW),
        "import": lambda: intake.lines(folder, rows, FEW),
        "plan": lambda: week.lines(FEW),
        "window": lambda: window.lines(path, FEW),
    }
    for part in PARTS:
        if part in parts:
            print(f"Measuring: {part} ...", file=sys.stderr)
            yield from found[part]()
