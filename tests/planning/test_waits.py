"""Waiting for a site to open costs the crew's time as driving does, and a day begins no earlier than it has to."""

from collections.abc import Callable
from dataclasses import replace
from random import Random

import pytest

from register.planning.insertion import insert_all
from register.planning.planned import plan
from register.planning.problem import Problem, Routes, Shift, Stop, Way
from register.planning.routes import solve
from register.planning.stretch import Stretch
from register.planning.timing import cost_of, timed
from register.planning.travel import Place, Travel
from register.services.week.text import cards
from tests.planning.weeks import MONDAY, asked, site, wrong_with

MUST = 10_000
Find = Callable[[Problem], Routes]
WAYS: list[Find] = [insert_all, lambda problem: solve(problem, effort=0.1)]


def problem_of(*stops: tuple[int, int, int], drive: int = 10, waits_cost: bool = True) -> Problem:
    """Return a day from 8:00 to 16:00 with stops of some minutes, opening and closing, all as far from one another."""
    size = len(stops) + 1
    matrix = tuple(tuple(0 if i == j else drive for j in range(size)) for i in range(size))
    made = tuple(
        Stop(str(place), place, (Way(minutes, opens, closes, MUST),))
        for place, (minutes, opens, closes) in enumerate(stops, 1)
    )
    travel = Travel(tuple(tuple(map(float, row)) for row in matrix), matrix)
    return Problem(travel, made, (Shift(0, 0, 480, 960, 0, 0),), waits_cost)


def test_a_day_begins_as_late_as_the_hours_of_its_stops_allow() -> None:
    problem = problem_of((60, 480, 960), (60, 660, 960))
    day = timed(problem, problem.shifts[0], ((0, 0), (1, 0)))
    assert [(stop.arrive, stop.begin, stop.leave) for stop in day.stops] == [(590, 590, 650), (660, 660, 720)]
    assert (day.leave_base, day.waits, day.back) == (580, 0, 730)


def test_a_day_begins_early_where_the_first_stop_closes_and_only_then_is_waited() -> None:
    problem = problem_of((60, 480, 570), (60, 660, 960))
    day = timed(problem, problem.shifts[0], ((0, 0), (1, 0)))
    assert day.fits
    assert (day.leave_base, day.stops[0].leave) == (500, 570)
    assert day.stops[1].waits == day.waits == 80


def test_a_day_that_misses_hours_anyway_is_made_no_later_by_it() -> None:
    problem = problem_of((60, 480, 500), (60, 660, 960))
    day = timed(problem, problem.shifts[0], ((0, 0), (1, 0)))
    assert day.leave_base == 480
    assert day.stops[0].late == 50


@pytest.mark.parametrize("find", WAYS, ids=["at once", "sought"])
def test_the_order_that_waits_least_is_taken_where_the_drives_are_alike(find: Find) -> None:
    problem = problem_of((120, 480, 960), (60, 480, 620), (60, 720, 960))
    routes = find(problem)
    day = timed(problem, problem.shifts[0], routes[0])
    assert [stop for stop, _ in routes[0]] == [1, 0, 2]
    assert day.waits == 0


@pytest.mark.parametrize("find", WAYS, ids=["at once", "sought"])
def test_a_visit_that_is_worth_less_than_its_wait_is_not_made(find: Find) -> None:
    """Two hours of waiting for something worth one."""
    first, late = (60, 480, 580), (30, 720, 960)
    for waits_cost, there in ((True, 1), (False, 2)):
        problem = problem_of(first, late, waits_cost=waits_cost)
        stops = (problem.stops[0], replace(problem.stops[1], ways=(replace(problem.stops[1].ways[0], worth=60),)))
        problem = replace(problem, stops=stops)
        assert len(find(problem)[0]) == there


def test_stretches_joined_take_as_long_as_the_day_they_are() -> None:
    """Against the times of whole days, worked out stop by stop, on 400 days of a seed."""
    random = Random(5)  # noqa: S311 - the same days each time
    fitting = 0
    for _ in range(400):
        stops = [
            (random.randint(5, 90), opens, opens + random.randint(60, 400))
            for opens in (random.randrange(420, 800, 15) for _ in range(random.randint(1, 5)))
        ]
        problem = problem_of(*stops, drive=random.randint(0, 25))
        shift = problem.shifts[0]
        day = timed(problem, shift, [(number, 0) for number in range(len(stops))])
        whole: Stretch | None = Stretch(0, shift.start, shift.end)
        for minutes, opens, closes in stops:
            if whole is not None:
                whole = whole.then(problem.travel.minutes[0][1], Stretch(minutes, opens, closes - minutes))
        if whole is not None:
            whole = whole.then(problem.travel.minutes[1][0], Stretch(0, shift.start, shift.end))
        assert (whole is not None) == day.fits
        if whole is not None:
            fitting += 1
            assert whole.minutes == day.back - day.leave_base
            assert whole.earliest == day.leave_base
    assert 50 < fitting < 350


def test_the_cost_is_that_of_drives_and_waits() -> None:
    problem = problem_of((60, 480, 570), (60, 660, 960))
    routes = (((0, 0), (1, 0)),)
    assert cost_of(problem, routes) == 30 + 80
    assert cost_of(replace(problem, waits_cost=False), routes) == 30
    assert cost_of(problem, ((),)) == 2 * MUST


def test_a_wait_that_nothing_spares_is_told_on_the_card() -> None:
    early, late = {0: (8 * 60, 9 * 60)}, {0: (11 * 60, 16 * 60)}
    question = asked(site("A", -1, hours=early), site("B", -1, hours=late, place=Place(-37.80, 145.07)))
    week = plan(replace(question, worked=frozenset({MONDAY})), effort=0.1)
    assert wrong_with(week) == []
    second = week.stops[1]
    assert (second.code, second.begin) == ("B", 11 * 60)
    assert second.waits == second.begin - second.arrive > 0
    marks = cards(week)[0].cards[1].marks
    assert marks[0].startswith("Waits 1 h ")
    assert marks[0].endswith(" until it opens")


def test_lunch_is_no_wait() -> None:
    early, late = {0: (8 * 60, 9 * 60)}, {0: (13 * 60, 16 * 60)}
    question = asked(site("A", -1, hours=early), site("B", -1, hours=late))
    week = plan(replace(question, worked=frozenset({MONDAY})), effort=0.1)
    second = week.stops[1]
    assert second.lunch
    assert second.waits == second.begin - second.arrive - question.lunch.minutes
