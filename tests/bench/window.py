"""The window on a large register: how soon it stands, how long each list takes, and whether it ever stops answering."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from typing import Final

from tests.bench.made_up import TODAY
from tests.bench.timing import Effort, Line

START_GOAL: Final = 3.0
PAINT_RATIO: Final = 3.5
LIST_GOAL: Final = 0.3
TYPED_GOAL: Final = 0.15
GAP_GOAL: Final = 0.1
KEY_GOAL: Final = 0.1
CODE_GOAL: Final = 0.05
"""Twenty codes a second."""


def lines(path: Path, effort: Effort) -> Iterator[Line]:
    """Measure the window on a register, each run in a process of its own and beside a bare window of Qt."""
    floors, runs = [], []
    for _ in range(effort.least):
        floors.append(_run()["first paint"])
        runs.append(_run(path))
    found = {name: median(run[name] for run in runs) for name in runs[0]}
    floor = median(floors)
    first = found.pop("first paint")
    yield Line("window: first paint", first, "ms", floor, "a bare window of Qt", goal_ratio=PAINT_RATIO)
    yield Line("window: the horizon stands after starting", found.pop("start"), "s", goal=START_GOAL)
    memory = found.pop("memory")
    for name, seconds in found.items():
        goal = GAP_GOAL if name.startswith("gap") else TYPED_GOAL if name.startswith("typed") else LIST_GOAL
        yield Line(f"window: {name}", seconds, "ms", goal=goal)
    print(f"The window took {memory / 1e6:,.0f} MB at most.", file=sys.stderr)
    for name, seconds in _run(path, "tests.bench.at_bench").items():
        yield Line(f"bench: {name}", seconds, "ms", goal=CODE_GOAL if name.startswith("each code") else KEY_GOAL)


def _run(path: Path | None = None, module: str = "tests.bench.at_window") -> dict[str, float]:
    """Return what one window was waited for."""
    command = [sys.executable, "-m", module, *([str(path), TODAY.isoformat()] if path is not None else [])]
    done = subprocess.run(
        command, env={**os.environ, "QT_QPA_PLATFORM": "offscreen"}, capture_output=True, text=True, check=True
    )
    found: dict[str, float] = json.loads(done.stdout)
    return found
