"""A plan made better piece by piece: what must be visited finds its place, and no hours are ever missed."""

from dataclasses import replace
from random import Random

import pytest

from register.planning.insertion import insert_all
from register.planning.problem import Problem, Routes, Shift, Stop, Way, allowed
from register.planning.reworking import rework
from register.planning.routes import solve
from register.planning.timing import cost_of, timed
from register.planning.travel import Travel
from register.planning.week import Draft, draft
from tests.planning.weeks import made_up

MUST = 10_000


def odd_problem(seed: int, stops: int = 14) -> Problem:
    """Return three short days among places whose drives know no geometry: one through another may be shorter."""
    random = Random(seed)  # noqa: S311 - the same problems each time
    drives = tuple(tuple(0 if i == j else random.randint(1, 60) for j in range(stops + 1)) for i in range(stops + 1))
    made = []
    for place in range(1, stops + 1):
        minutes = random.randint(10, 60)
        opens = [day * 1440 + random.randrange(480, 720, 15) for day in range(3) if random.random() < 0.7]
        ways = tuple(Way(minutes, at, at + minutes + random.randint(0, 240), random.choice([40, MUST])) for at in opens)
        made.append(Stop(f"S{place}", place, ways))
    shifts = tuple(Shift(0, day, day * 1440 + 480, day * 1440 + 900, 0, 0) for day in range(3))
    return Problem(Travel(tuple(tuple(map(float, row)) for row in drives), drives), tuple(made), shifts)


def left_out(week: Draft, routes: Routes) -> int:
    """Return how many stops are left out at which something must be done."""
    there = {stop for route in routes for stop, _ in route}
    return sum(bool(part.must) and number not in there for number, part in enumerate(week.parts))


@pytest.mark.parametrize("seed", range(12))
def test_no_hours_are_missed_and_no_plan_gets_worse_whatever_the_drives_are(seed: int) -> None:
    problem = odd_problem(seed)
    first = insert_all(problem)
    found = rework(problem, first, steps=150, seed=1)
    assert all(timed(problem, shift, route).fits for shift, route in zip(problem.shifts, found, strict=True))
    assert cost_of(problem, found) <= cost_of(problem, first)
    served = [stop for route in found for stop, _ in route]
    assert len(set(served)) == len(served)
    assert found == rework(problem, first, steps=150, seed=1)


@pytest.mark.parametrize("seed", range(6))
def test_the_solver_too_sends_each_stop_by_a_van_that_may(seed: int) -> None:
    """Three vans with crews of one to three; some stops are kept to one of the vans, some take more people."""
    random = Random(seed)  # noqa: S311 - the same problems each time
    plain = odd_problem(seed, 18)
    stops = tuple(
        replace(stop, crew=random.choice([1, 1, 2, 3]), ways=tuple(
            replace(way, van=random.choice([None, seed % 3])) for way in stop.ways
        )) for stop in plain.stops
    )  # fmt: skip
    shifts = tuple(replace(shift, van=van, crew=van + 1) for shift in plain.shifts for van in range(3))
    problem = replace(plain, stops=stops, shifts=shifts)
    found = solve(problem, effort=0.3)
    assert sum(map(len, found)) > 5
    for shift, route in zip(shifts, found, strict=True):
        assert all(allowed(stops[stop], stops[stop].ways[way], shift) for stop, way in route)
        assert timed(problem, shift, route).fits


def test_what_must_be_visited_finds_its_place_where_others_make_room() -> None:
    week = draft(made_up(100, 0, 3))
    first = insert_all(week.problem)
    assert left_out(week, first) > 0
    found = rework(week.problem, first, steps=400, seed=1)
    assert left_out(week, found) == 0
    assert all(timed(week.problem, shift, route).fits for shift, route in zip(week.problem.shifts, found, strict=True))


def test_one_that_need_not_be_visited_makes_way_for_one_that_must() -> None:
    """One day with room for one of the two: the one that is put in first is worth less."""
    drives = ((0, 10, 10), (10, 0, 10), (10, 10, 0))
    stops = (Stop("EXTRA", 1, (Way(60, 480, 600, 40),)), Stop("MUST", 2, (Way(60, 480, 600, MUST),)))
    travel = Travel(tuple(tuple(map(float, row)) for row in drives), drives)
    problem = Problem(travel, stops, (Shift(0, 0, 480, 580, 0, 0),))
    assert rework(problem, (((0, 0),),), steps=10, seed=1) == (((1, 0),),)


def test_where_nothing_can_be_served_nothing_is_sought() -> None:
    problem = odd_problem(1)
    bare = Problem(problem.travel, (), problem.shifts)
    assert rework(bare, ((), (), ()), steps=50, seed=1) == ((), (), ())
    assert rework(Problem(problem.travel, problem.stops, ()), (), steps=50, seed=1) == ()
