"""The routes of a week: a first plan at once, then a search for better ones that ends after a set number of steps."""

from collections.abc import Callable
from typing import Final

from register.planning.insertion import insert_all
from register.planning.problem import Problem, Progress, Routes
from register.planning.timing import cost_of

EFFORT: Final = 5.0
"""How many seconds the search takes on a computer of 2026, about: its steps are counted, not its time."""

_STEPS_A_SECOND: Final = 2_000
"""How many steps of the search take a second, about; a step changes few stops, so their number matters little."""

FirstPlan = Callable[[Routes], None]


def solver_name() -> str:
    """Return what seeks the routes here."""
    try:
        from register.planning.solver_pyvrp import NAME
    except ImportError:
        return "insertion"
    return NAME


def steps_for(effort: float) -> int:
    """Return the steps of a search that takes so many seconds, about."""
    return int(effort * _STEPS_A_SECOND)


def solve(
    problem: Problem,
    *,
    seed: int = 1,
    effort: float = EFFORT,
    progress: Progress | None = None,
    first_plan: FirstPlan | None = None,
) -> Routes:
    """Return the best routes found; the same for the same problem, seed and effort.

    `first_plan` is given the plan made at once. `progress` is told the steps done, and stops it by raising.
    """
    first = insert_all(problem)
    if first_plan is not None:
        first_plan(first)
    if effort <= 0 or not problem.shifts or not any(stop.ways for stop in problem.stops):
        return first
    try:
        from register.planning.solver_pyvrp import improve
    except ImportError:
        return first
    found = improve(problem, first, iterations=steps_for(effort), seed=seed, progress=progress)
    return min(first, insert_all(problem, routes=found), key=lambda routes: cost_of(problem, routes))
