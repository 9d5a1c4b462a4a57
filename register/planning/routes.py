"""The routes of a week: a first plan at once, then a search for better ones that ends after a set number of steps.

The search begins with reworking, which soon has everything in that must be, and goes on with the solver, which is
thorough. Where the solver is not installed, reworking takes all of the time.
"""

from collections.abc import Callable
from typing import Final

from register.planning.insertion import insert_all
from register.planning.problem import Problem, Progress, Routes
from register.planning.reworking import lacks, rework
from register.planning.timing import cost_of

EFFORT: Final = 5.0
"""How many seconds the search takes on a computer of 2026, about: its steps are counted, not its time."""

_FIRST_STEPS: Final = 400
"""How many steps of reworking a first plan gets: a third of a second, about."""

_REWORKED_SHARE: Final = 0.3
_REWORKED_A_SECOND: Final = 1_200
_SEARCHED_A_SECOND: Final = 2_000
"""How many steps take a second, about. A step of the solver changes few stops, so their number matters little."""

_USUAL_SHIFTS: Final = 15
"""Three vans on five days: where there are more, each step of reworking takes longer, and there are fewer of them."""

FirstPlan = Callable[[Routes], None]


def solver_name() -> str:
    """Return what seeks the routes here."""
    try:
        from register.planning.solver_pyvrp import NAME
    except ImportError:
        return "reworking"
    return NAME


def tries_for(problem: Problem, effort: float) -> int:
    """Return how many tries a plan is the best of: the steps of all its searches."""
    return sum((_reworked(problem, _FIRST_STEPS), *_steps(problem, effort)))


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
    inserted = insert_all(problem)
    first = rework(problem, inserted, steps=_reworked(problem, _FIRST_STEPS), seed=seed)
    if first_plan is not None:
        first_plan(first)
    if effort <= 0 or not problem.shifts or not any(stop.ways for stop in problem.stops):
        return first
    reworked, searched = _steps(problem, effort)

    def went(before: int) -> Progress | None:
        return None if progress is None else lambda done, _of: progress(before + done, reworked + searched)

    found = rework(problem, first, steps=reworked, seed=seed, progress=went(0))
    if searched:
        from register.planning.solver_pyvrp import improve

        # A start that could be better leaves the solver more freedom, one that lacks something too much of it.
        start = found if lacks(problem, inserted) else inserted
        best = improve(problem, start, iterations=searched, seed=seed, progress=went(reworked))
        found = min(found, insert_all(problem, best), key=lambda routes: cost_of(problem, routes))
    return found


def _steps(problem: Problem, effort: float) -> tuple[int, int]:
    """Return the steps of reworking, and of the solver, that take so many seconds together."""
    if effort <= 0:
        return 0, 0
    share = 1.0 if solver_name() == "reworking" else _REWORKED_SHARE
    reworked = _reworked(problem, effort * share * _REWORKED_A_SECOND)
    return reworked, int(effort * (1 - share) * _SEARCHED_A_SECOND)


def _reworked(problem: Problem, steps: float) -> int:
    return int(steps * min(1.0, _USUAL_SHIFTS / max(1, len(problem.shifts))))
