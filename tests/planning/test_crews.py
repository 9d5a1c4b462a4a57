"""Lunch, where vans start and end, and who goes along: as asked, by the search and by the plan made at once alike."""

from dataclasses import replace
from datetime import timedelta

import pytest

from register.planning.asked import Van
from register.planning.planned import plan
from register.planning.problem import LunchClock
from register.planning.travel import Place
from tests.planning.weeks import BASE, MONDAY, asked, drive, made_up, site, wrong_with

EFFORTS = pytest.mark.parametrize("effort", [0.0, 0.2], ids=["at once", "sought"])
NOON = LunchClock(12 * 60, 30)


@EFFORTS
def test_work_over_noon_goes_on_after_lunch(effort: float) -> None:
    long = site("LONG", -1, minutes=300.0, hours={0: (10 * 60, 16 * 60)})
    question = replace(asked(long), worked=frozenset({MONDAY}), lunch=NOON)
    (stop,) = plan(question, effort=effort).stops
    assert stop.lunch
    assert stop.leave - stop.begin == stop.minutes + 30
    (without,) = plan(replace(question, lunch=LunchClock(12 * 60, 0)), effort=effort).stops
    assert without.leave - without.begin == without.minutes


@EFFORTS
def test_lunch_takes_its_part_of_the_day(effort: float) -> None:
    """What fills the hours without lunch does not fit with it, and that is said."""
    full = site("FULL", -1, minutes=470.0, hours={0: (8 * 60, 16 * 60)})
    question = replace(asked(full, vans=0), vans=(Van("One", end=17 * 60),), worked=frozenset({MONDAY}))
    assert len(plan(replace(question, lunch=LunchClock(12 * 60, 0)), effort=effort).stops) == 1
    week = plan(replace(question, lunch=NOON), effort=effort)
    assert week.stops == ()
    assert [each.pressing for each in week.left_out] == [True]


@EFFORTS
def test_a_van_starts_and_ends_where_its_crew_lives_and_others_at_the_base(effort: float) -> None:
    home, bed = Place(-37.80, 145.30), Place(-37.70, 145.30)
    near_home = site("HOME", -1, place=Place(-37.80, 145.31))
    near_base = site("BASE", -1, place=Place(-37.80, 145.01))
    question = replace(asked(near_home, near_base), vans=(Van("One"), Van("Two", start_place=home, end_place=bed)))
    week = plan(question, effort=effort)
    days = {stop.code: day for day in week.days for stop in day.stops}
    assert (days["HOME"].van_name, days["BASE"].van_name) == ("Two", "One")
    (stop,) = days["HOME"].stops
    there, back = drive(home, near_home.place, question), drive(near_home.place, bed, question)
    assert (stop.drive, days["HOME"].drive_minutes) == (there[1], there[1] + back[1])
    assert days["HOME"].drive_km == pytest.approx(there[0] + back[0])
    assert days["HOME"].back == stop.leave + back[1]
    assert days["BASE"].drive_km == pytest.approx(2 * drive(BASE, near_base.place, question)[0])


@EFFORTS
def test_what_takes_two_goes_with_two_even_where_one_is_nearer_and_three_with_nobody(effort: float) -> None:
    far = Place(-37.80, 145.40)
    question = asked(site("PAIR", -1, crew=2), site("TRIO", -1, crew=3), site("SOLO", -1, place=Place(-37.80, 145.01)))
    question = replace(question, vans=(Van("One"), Van("Two", crew=2, start_place=far, end_place=far)))
    week = plan(question, effort=effort)
    assert {stop.code: stop.van for stop in week.stops} == {"PAIR": 1, "SOLO": 0}
    assert [(each.code, "3 people; no van has so many" in each.reason) for each in week.left_out] == [("TRIO", True)]


@EFFORTS
def test_three_go_where_three_are_needed_and_two_never_do(effort: float) -> None:
    sites = [site(f"S{number}", -1, crew=number, minutes=60.0) for number in (1, 2, 3)]
    vans = (Van("One"), Van("Two", crew=2), Van("Three", crew=3, days=frozenset({4})))
    week = plan(replace(asked(*sites), vans=vans), effort=effort)
    where = {stop.code: (stop.van, stop.day) for stop in week.stops}
    assert where["S3"] == (2, MONDAY + timedelta(days=4))
    assert where["S2"][0] in {1, 2}
    assert len(where) == 3


@EFFORTS
def test_a_single_van_is_at_one_place_at_a_time(effort: float) -> None:
    week = plan(made_up(25, 9, vans=1), effort=effort)
    assert wrong_with(week) == []
    days = [day for day in week.days if day.stops]
    assert len({day.day for day in days}) == len(days)
    assert all(one.leave <= other.arrive for day in days for one, other in zip(day.stops, day.stops[1:], strict=False))


def test_crews_of_several_sizes_are_kept_apart_by_the_search() -> None:
    """A crew of two is not sent where three are needed, however near it is and however much there is to do."""
    sites = [site(f"S{number}", -1, crew=1 + number % 3, minutes=30.0) for number in range(18)]
    far = Place(-37.80, 145.30)
    vans = (Van("One"), Van("Two", crew=2), Van("Three", crew=3, start_place=far, end_place=far))
    week = plan(replace(asked(*sites), vans=vans), effort=0.3)
    crews = {each.key: each.crew for each in sites}
    assert len(week.stops) == 18
    assert all(vans[stop.van].crew >= crews[stop.code] for stop in week.stops)
