"""Planning a week: nothing that presses is left out silently, and every number can be worked out again."""

from dataclasses import replace
from datetime import timedelta

import pytest

from register.errors import Refused, Unavailable
from register.planning import routes as routes_module
from register.planning.asked import Pin, Van
from register.planning.planned import difference, fixed_days, move, plan, take_out
from register.planning.travel import Leg, Place
from tests.planning.weeks import MONDAY, asked, made_up, site, wrong_with

FRIDAY = MONDAY + timedelta(days=4)


@pytest.mark.parametrize(("sites", "seed", "vans"), [(8, 1, 1), (40, 2, 2), (60, 3, 1)])
def test_every_number_of_a_plan_can_be_worked_out_again(sites: int, seed: int, vans: int) -> None:
    week = plan(made_up(sites, seed, vans), effort=0.2)
    assert wrong_with(week) == []
    assert week.quality.lower_bound <= week.quality.cost
    assert all(stop.past == 0 for stop in week.stops)
    assert all(day.late == 0 for day in week.days)


def test_the_same_question_and_seed_give_the_same_plan() -> None:
    one, other = (plan(made_up(30, 4), effort=0.2, seed=7) for _ in range(2))
    assert one.routes == other.routes


def test_the_search_makes_the_first_plan_no_worse() -> None:
    first = []
    week = plan(made_up(40, 5), effort=0.3, first_plan=first.append)
    assert wrong_with(first[0]) == []
    assert len([each for each in week.left_out if each.pressing]) <= len(
        [each for each in first[0].left_out if each.pressing]
    )


def test_without_the_solver_a_plan_is_sought_all_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "register.planning.solver_pyvrp", None)
    week = plan(made_up(30, 6), effort=0.5)
    assert routes_module.solver_name() == week.quality.solver == "reworking"
    assert week.quality.tries == 400 + 600
    assert wrong_with(week) == []
    assert not any(each.pressing for each in week.left_out)


def test_a_plan_is_stopped_by_whoever_watches_it() -> None:
    def stop(_done: int, _all: int) -> None:
        raise Unavailable("The work was stopped.")

    with pytest.raises(Unavailable):
        plan(made_up(20, 7), progress=stop)


def test_what_falls_due_within_the_week_is_visited_in_time() -> None:
    week = plan(asked(site("A", 1), site("B", -3), vans=2), effort=0.1)
    stop = next(stop for stop in week.stops if stop.code == "A")
    assert stop.day <= MONDAY + timedelta(days=1)
    assert not stop.late
    assert "overdue since 27 Nov 2026" in next(stop for stop in week.stops if stop.code == "B").why


def test_a_near_site_is_visited_early_only_where_that_pays() -> None:
    soon = site("SOON", 9, 9, minutes=5.0, months=12)
    far = site("FAR", 9, minutes=5.0, months=12, place=Place(-37.2, 146.0))
    late = site("LATE", 300, minutes=60.0)
    week = plan(asked(site("A", 0), soon, far, late), effort=0.2)
    early = next(stop for stop in week.stops if stop.code == "SOON")
    assert early.must == ()
    assert "saves" in early.why
    assert "days early gives away" in early.early[0].why
    assert {stop.code for stop in week.stops} == {"A", "SOON"}


def test_pins_hold_and_sites_are_left_out_as_asked() -> None:
    question = asked(site("A", -1), site("B", 60), site("C", -1), vans=2)
    question = replace(question, pins={"A": Pin(FRIDAY, 1), "B": Pin(FRIDAY)}, leave_out=frozenset({"C"}))
    week = plan(question, effort=0.1)
    where = {stop.code: (stop.day, stop.van) for stop in week.stops}
    assert where["A"] == (FRIDAY, 1)
    assert where["B"][0] == FRIDAY
    assert [(each.code, each.pressing) for each in week.left_out] == [("C", True)]
    assert wrong_with(week) == []


def test_two_people_are_sent_where_it_takes_two() -> None:
    question = asked(site("A", -1, crew=2), site("B", -1))
    assert "takes 2 people" in plan(question, effort=0.1).left_out[0].reason
    pair = plan(replace(question, vans=(Van("One"), Van("Two", crew=2))), effort=0.1)
    assert {stop.code: stop.van for stop in pair.stops}["A"] == 1


def test_work_beyond_a_day_is_split_and_told() -> None:
    week = plan(asked(site("BIG", *[-1] * 60, minutes=20.0), vans=2), effort=0.2)
    visits = [stop for stop in week.stops if stop.code == "BIG"]
    assert len(visits) == 3
    assert sum(len(stop.must) for stop in visits) == 60
    assert any("split into 3 visits" in note for note in week.notes)
    assert wrong_with(week) == []


def test_sites_without_coordinates_come_last_and_are_listed() -> None:
    week = plan(asked(site("A", -1), site("LOST", -1, place=None)), effort=0.1)
    assert [stop.code for day in week.days for stop in day.stops if day.stops][-1] == "LOST"
    assert any("Site LOST has no coordinates" in note for note in week.notes)


def test_a_site_without_coordinates_comes_on_a_day_that_goes_out_anyway() -> None:
    week = plan(asked(site("A", -1), site("LOST", -1, place=None), vans=2), effort=0.1)
    assert [[stop.code for stop in day.stops] for day in week.days if day.stops] == [["A", "LOST"]]


def test_a_site_without_coordinates_is_visited_by_enough_people_or_not_at_all() -> None:
    question = asked(site("A", -1), site("LOST", -1, place=None, crew=2))
    assert [each.code for each in plan(question, effort=0.1).left_out] == ["LOST"]
    pair = plan(replace(question, vans=(Van("One"), Van("Two", crew=2))), effort=0.1)
    assert {stop.code: stop.van for stop in pair.stops}["LOST"] == 1


def test_what_need_not_be_visited_yet_makes_way_for_a_site_without_coordinates() -> None:
    """One day, filled by one site that is due and one that is worth an early visit."""
    lost = site("LOST", -1, place=None, minutes=150.0)
    soon = site("SOON", *[9] * 20, minutes=10.0, months=12)
    question = replace(asked(site("A", -1, minutes=60.0), soon), worked=frozenset({MONDAY}))
    assert {stop.code for stop in plan(question, effort=0.1).stops} == {"A", "SOON"}
    week = plan(replace(question, sites=(*question.sites, lost)), effort=0.1)
    assert {stop.code for stop in week.stops} == {"A", "LOST"}
    assert [each.code for each in week.left_out] == ["SOON"]


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"vans": ()}, "There is no van"),
        ({"worked": frozenset()}, "No van works on any day"),
    ],
)
def test_without_vans_or_working_days_everything_is_left_out_with_the_reason(change: dict, reason: str) -> None:  # type: ignore[type-arg]
    week = plan(replace(asked(site("A", -1)), **change), effort=0.1)
    assert week.stops == ()
    assert reason in week.left_out[0].reason


def test_impossible_hours_are_told() -> None:
    closed = site("SHUT", -1, hours={})
    short = site("SHORT", -1, hours=dict.fromkeys(range(5), (480, 485)))
    reasons = {each.code: each.reason for each in plan(asked(closed, short), effort=0.1).left_out}
    assert "can't be entered" in reasons["SHUT"]
    assert "not open long enough" in reasons["SHORT"]


def test_when_everything_is_overdue_the_longest_overdue_go_first_and_the_rest_are_told() -> None:
    sites = [site(f"S{n:02}", -n * 3 - 1, minutes=200.0) for n in range(20)]
    week = plan(asked(*sites), effort=0.3)
    done = {stop.code for stop in week.stops}
    assert len(done) == 5 * 2
    assert done == {f"S{n:02}" for n in range(10, 20)}
    assert all("No van has 210 min left" in each.reason for each in week.left_out)
    assert wrong_with(week) == []


def test_a_table_with_holes_serves() -> None:
    given = {("", "A"): Leg(10.0, 15.0), ("A", "B"): Leg(3.0)}
    week = plan(asked(site("A", -1), site("B", -1, place=None), given=given), effort=0.1)
    assert {stop.code for stop in week.stops} == {"A", "B"}
    assert any("lacks 1 of 3 drives" in note for note in week.notes)
    assert {stop.drive for stop in week.stops} == {15, 4}


def test_a_stop_is_moved_by_hand_and_the_difference_told() -> None:
    before = plan(asked(site("A", -1), site("B", -1), vans=2), effort=0.1)
    after = move(before, "A", FRIDAY, 1)
    assert wrong_with(after) == []
    assert next(stop for stop in after.stops if stop.code == "A").day == FRIDAY
    told = difference(before, after)
    assert told.minutes > 0
    assert "min more to drive" in told.words
    assert difference(after, move(after, "A", FRIDAY, 1)).words == "The drives stay as long."
    assert [stop.code for stop in take_out(after, "A").stops] == ["B"]


def test_hours_missed_by_a_move_are_told() -> None:
    question = asked(site("A", -1, hours={0: (480, 600)}), site("B", -1))
    after = move(plan(question, effort=0.1), "A", FRIDAY, 0)
    assert "would end" in difference(after, after).words


def test_a_stop_is_moved_only_to_days_that_are_worked() -> None:
    week = plan(asked(site("A", -1)), effort=0.1)
    with pytest.raises(Refused, match="does not work on"):
        move(week, "A", MONDAY + timedelta(days=6), 0)
    with pytest.raises(Refused, match="no stop at X"):
        move(week, "X", MONDAY, 0)


def test_a_locked_day_stays_and_the_rest_is_planned_around_it() -> None:
    question = made_up(12, 8, 1)
    first = plan(question, effort=0.1)
    locked = frozenset({(first.stops[0].day, 0)})
    again = plan(replace(question, locked=locked), effort=0.1, seed=3, fixed=fixed_days(first, locked))
    held = [day for day in again.days if day.locked]
    assert [stop.key for stop in held[0].stops] == [s.key for s in first.stops if s.day == held[0].day]
    assert wrong_with(again) == []
