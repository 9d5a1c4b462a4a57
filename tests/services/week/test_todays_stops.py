"""The stops of today: what is left at each, in which area, and where to begin."""

from dataclasses import replace
from datetime import timedelta

import pytest

from register.services.places import known_site
from register.services.week.kept import keep_week
from register.services.week.plan import WeekAsk, plan_week
from register.services.week.todays_stops import stop_to_begin, todays_stops
from register.services.week.visiting import VanFacts, Visiting, keep_van, keep_visiting
from tests.desk import Desk
from tests.registers import TODAY


@pytest.fixture
def crew(desk: Desk) -> Desk:
    """Two sites with work today for one van; at the yard most is in the shed."""
    for code in ("MILL", "YARD"):
        desk.site(code)
    desk.item("M-1", site="MILL", area="Bakehouse")
    desk.item("Y-1", area="Office")
    for number in (2, 3):
        desk.item(f"Y-{number}", area="Shed")
    with desk.change() as change:
        keep_van(change, VanFacts("Van 1"))
        for code in ("MILL", "YARD"):
            keep_visiting(change, known_site(change.session.connection(), code), Visiting("-37.9, 148.6"))
    keep(desk)
    return desk


def keep(desk: Desk) -> None:
    with desk.read() as connection:
        week = plan_week(connection, TODAY, WeekAsk(TODAY, effort=0))
    with desk.change() as change:
        keep_week(change, week)


def test_each_stop_of_today_says_what_is_left_and_where_most_of_it_is(crew: Desk) -> None:
    with crew.read() as connection:
        stops = {stop.visit.code: stop for stop in todays_stops(connection, TODAY)}
        assert todays_stops(connection, TODAY + timedelta(days=30)) == ()
    assert (stops["YARD"].area, stops["YARD"].left, stops["MILL"].area) == ("Shed", 6, "Bakehouse")
    assert stops["YARD"].progress == "0 of 6 done, Van 1"
    for tag in ("Y-2", "Y-3"):
        crew.test(tag, on=TODAY)
    with crew.read() as connection:
        stops = {stop.visit.code: stop for stop in todays_stops(connection, TODAY)}
    assert (stops["YARD"].area, stops["YARD"].left) == ("Office", 2)
    assert stops["YARD"].progress == "4 of 6 done, Van 1"


def test_work_begins_at_the_next_stop_of_a_single_van_or_where_it_was_begun(crew: Desk) -> None:
    with crew.read() as connection:
        first, second = todays_stops(connection, TODAY)
    assert stop_to_begin((first, second)) == first
    for tag in ("M-1", "Y-1", "Y-2", "Y-3"):
        crew.test(tag, on=TODAY)
    with crew.read() as connection:
        assert stop_to_begin(todays_stops(connection, TODAY)) is None


def test_with_two_vans_it_is_open_where_to_begin(crew: Desk) -> None:
    with crew.read() as connection:
        first, second = todays_stops(connection, TODAY)
    other = replace(second, visit=replace(second.visit, van="Van 2"))
    assert stop_to_begin((first, other)) is None
    begun = replace(other, visit=replace(other.visit, done=1))
    assert stop_to_begin((first, begun)) == (begun if begun.left else None)
