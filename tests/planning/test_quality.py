"""How good a plan is, in words: only what was shown, and nothing of a bound that says little."""

from dataclasses import replace

import pytest

from register.planning.explain import Quality
from register.planning.planned import plan
from register.planning.travel import Place
from tests.planning.weeks import MONDAY, asked, site, wrong_with


@pytest.mark.parametrize(
    ("cost", "bound", "tries", "words"),
    [
        (0, 0, 9, "Nothing has to be visited."),
        (400, 400, 9, "No shorter plan exists for what must be visited."),
        (404, 400, 9, "At most 1 % above the shortest there can be for what must be visited."),
        (433, 400, 9, "At most 9 % above the shortest there can be for what must be visited."),
        (500, 400, 9, "At most 25 % above the shortest there can be for what must be visited."),
        (501, 400, 1_234, "No better plan was found in 1,234 tries."),
        (900, 400, 7, "No better plan was found in 7 tries."),
        (501, 400, 0, "As it was kept or moved by hand; no better plan was sought."),
    ],
)
def test_a_plan_is_praised_no_more_than_was_shown(cost: int, bound: int, tries: int, words: str) -> None:
    assert Quality(cost, bound, tries, "x").words == words


def test_where_hours_force_a_plan_far_above_the_bound_only_the_tries_are_told() -> None:
    """Sites at two far ends that open in turns: the bound knows nothing of hours, so it lies far below any plan."""
    east, west = Place(-37.80, 145.10), Place(-37.80, 144.90)
    sites = [
        site(f"S{n}", -1, minutes=5.0, place=east if n % 2 else west,
             hours={0: (8 * 60 + 65 * n, 8 * 60 + 65 * n + 40)})
        for n in range(6)
    ]  # fmt: skip
    week = plan(replace(asked(*sites), worked=frozenset({MONDAY})), effort=0.3)
    assert wrong_with(week) == []
    assert len(week.stops) >= 5
    gap = week.quality.gap
    assert gap is not None
    assert gap > 0.25
    assert week.quality.words == f"No better plan was found in {week.quality.tries:,} tries."
    assert "%" not in week.quality.words
