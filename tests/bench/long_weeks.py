"""`python3 -m tests.bench.long_weeks`: how much worse the usual plan of a week is than the best of longer searches.

It takes weeks x seeds x seconds at the processor, 25 minutes as the goal has it. What was found is kept in a file, so
that a run that was stopped goes on where it was.
"""

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from statistics import median
from typing import Final

from register.planning.routes import EFFORT, solve
from register.planning.timing import cost_of
from register.planning.week import draft
from tests.planning.weeks import made_up

SITES: Final = 100
VANS: Final = 3
GOAL: Final = 0.03

Search = tuple[int, int, float]
"""A week, by its number, the seed, and the seconds that the search takes, about."""


def cost_found(search: Search) -> int:
    """Return the cost of the plan that a search finds."""
    week, seed, seconds = search
    problem = draft(made_up(SITES, week, VANS)).problem
    return cost_of(problem, solve(problem, seed=seed, effort=seconds))


def all_found(searches: Sequence[Search], kept: Path | None) -> dict[Search, int]:
    """Return what each search finds; what a file holds is not sought again, and what is sought is added to it."""
    found: dict[Search, int] = {}
    if kept is not None and kept.exists():
        for line in kept.read_text(encoding="utf-8").splitlines():
            week, seed, seconds, cost = json.loads(line)
            found[week, seed, seconds] = cost
    for search in searches:
        if search not in found:
            found[search] = cost_found(search)
            if kept is not None:
                with kept.open("a", encoding="utf-8") as file:
                    file.write(json.dumps([*search, found[search]]) + "\n")
    return {search: found[search] for search in searches}


def main(arguments: Sequence[str]) -> int:
    """Search and print; return 1 where the median of the gaps is above the goal."""
    parser = argparse.ArgumentParser(prog="python3 -m tests.bench.long_weeks", description=__doc__)
    parser.add_argument("--weeks", type=int, default=5, help="how many made-up weeks (5)")
    parser.add_argument("--seeds", type=int, default=5, help="how many longer searches of each (5)")
    parser.add_argument("--seconds", type=float, default=60.0, help="how long each of those takes, about (60)")
    parser.add_argument("--kept", type=Path, help="a file for what was found")
    chosen = parser.parse_args(arguments)
    weeks, seeds = range(chosen.weeks), range(1, chosen.seeds + 1)
    usual = all_found([(week, 1, EFFORT) for week in weeks], chosen.kept)
    longer = all_found([(week, seed, chosen.seconds) for seed in seeds for week in weeks], chosen.kept)
    gaps = []
    for week in weeks:
        cost = usual[week, 1, EFFORT]
        best = min(cost, *(longer[week, seed, chosen.seconds] for seed in seeds))
        gaps.append(cost / best - 1)
        print(f"week {week}: {cost} min as usual, {best} at best, {gaps[-1]:.1%} above")
    print(f"in the median {median(gaps):.1%} above; the goal is {GOAL:.0%}")
    return int(median(gaps) > GOAL)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
