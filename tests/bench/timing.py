"""Timing one thing beside its floor, and what came of it."""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from statistics import median
from time import perf_counter
from typing import Any, Final

UNITS: Final = {"s": 1.0, "ms": 1e-3, "µs": 1e-6, "ns": 1e-9, "MB": 1e6}
Work = Callable[[], object]


@dataclass(frozen=True, slots=True)
class Effort:
    """How often to repeat: at least and at most so many runs, within so many seconds."""

    least: int = 5
    most: int = 41
    seconds: float = 1.0


ONCE: Final = Effort(1, 1, 0)
FEW: Final = Effort(3, 5, 12)


@dataclass(frozen=True, slots=True)
class Line:
    """One thing measured. Times are medians in seconds, memory is in bytes.

    `goal` and `goal_ratio` are None where nothing is promised. The ratio counts as reached, too, where
    the time is at most `slack` seconds above the floor.
    """

    what: str
    seconds: float
    unit: str = "ms"
    floor: float | None = None
    floor_is: str = ""
    goal: float | None = None
    goal_ratio: float | None = None
    slack: float = 0.0

    @property
    def ratio(self) -> float | None:
        """How many times as long as its floor it takes."""
        return self.seconds / self.floor if self.floor else None

    @property
    def reached(self) -> bool | None:
        """Whether every goal is reached; None where there is none."""
        if self.goal is None and self.goal_ratio is None:
            return None
        in_time = self.goal is None or self.seconds <= self.goal
        floor, most = self.floor or 0.0, self.goal_ratio
        return in_time and (most is None or self.seconds <= max(floor * most, floor + self.slack))

    def as_json(self) -> dict[str, Any]:
        """Return the line as it is printed with `--json`, times in seconds."""
        return {**asdict(self), "ratio": self.ratio, "reached": self.reached}


def timed(work: Work, clock: Callable[[], float] = perf_counter) -> float:
    """Return how many seconds one run takes by a clock."""
    start = clock()
    work()
    return clock() - start


def medians(*works: Work, effort: Effort, clock: Callable[[], float] = perf_counter) -> list[float]:
    """Return each work's median, all run in turn so that what else the computer does falls on all of them alike."""
    for work in works:
        if effort is not ONCE:
            work()
    runs: list[list[float]] = [[] for _ in works]
    end = perf_counter() + effort.seconds
    while len(runs[0]) < effort.least or (perf_counter() < end and len(runs[0]) < effort.most):
        for found, work in zip(runs, works, strict=True):
            found.append(timed(work, clock))
    return [median(found) for found in runs]


def table(lines: list[Line]) -> str:
    """Return the lines as a table to read."""
    rows = [("what", "median", "floor", "ratio", "goal", "reached"), *(_cells(line) for line in lines)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return "\n".join(
        "  ".join(
            cell.ljust(width) if column in {0, 4} else cell.rjust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    )


def _cells(line: Line) -> tuple[str, ...]:
    goals = []
    if line.goal is not None:
        goals.append(f"<= {_time(line.goal, line.unit)}")
    if line.goal_ratio is not None:
        more = f" or +{_time(line.slack, line.unit)}" if line.slack else ""
        goals.append(f"<= {line.goal_ratio:g}x{more}")
    return (
        line.what,
        _time(line.seconds, line.unit),
        "" if line.floor is None else _time(line.floor, line.unit),
        "" if line.ratio is None else f"{line.ratio:.2f}x",
        ", ".join(goals),
        {True: "yes", False: "NO", None: ""}[line.reached],
    )


def _time(seconds: float, unit: str) -> str:
    value = seconds / UNITS[unit]
    return f"{value:,.0f} {unit}" if value >= 100 or value == int(value) else f"{value:.2f} {unit}"
