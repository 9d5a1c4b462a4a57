"""Planning a week of a register: asked, bent, kept, and seen to be done."""

from datetime import date, timedelta

import pytest

from register.domain.explain import day_words
from register.errors import Refused
from register.planning.kept_settings import PlanSettings
from register.planning.travel import Leg, Place
from register.services.history import history
from register.services.places import known_site
from register.services.settings import set_setting
from register.services.step_words import step_words
from register.services.week.kept import keep_week, todays_visits, week_visits
from register.services.week.plan import PinTo, WeekAsk, drop_stop, kept_week, move_stop, plan_week, week_code, week_from
from register.services.week.plan_settings import (
    days_off,
    drives,
    keep_drives,
    keep_plan_settings,
    plan_settings,
    worked_days,
)  # fmt: skip
from register.services.week.text import cards, week_lines
from register.services.week.visiting import VanFacts, Visiting, end_van, keep_van, keep_visiting, vans, visiting
from register.store.engine import Register
from tests.desk import Desk
from tests.planning.weeks import wrong_with
from tests.registers import TODAY, changing

MONDAY = date(2026, 11, 23)
ASK = WeekAsk(MONDAY, effort=0.1)


def _id(desk: Desk, code: str) -> str:
    with desk.read() as connection:
        return known_site(connection, code)


@pytest.fixture
def crew(desk: Desk, register: Register) -> Desk:
    """A register with two sites that have work, a base and a van."""
    for code, place in (("DEPOT", "-37.90, 148.61"), ("YARD", "-37.95, 148.70")):
        desk.site(code)
        desk.item(f"{code}-1", site=code)
        with changing(register) as change:
            keep_visiting(change, _id(desk, code), Visiting(place))
    with changing(register) as change:
        keep_plan_settings(change, PlanSettings(base=Place(-37.9, 148.6)))
        keep_van(change, VanFacts("Van 1"))
    return desk


def test_a_week_is_planned_from_what_the_register_knows(crew: Desk) -> None:
    crew.test("YARD-1", on=TODAY)
    with crew.read() as connection:
        week = plan_week(connection, TODAY, ASK)
    assert {stop.code for stop in week.stops} == {"DEPOT"}
    depot = next(stop for stop in week.stops if stop.code == "DEPOT")
    assert {task.duty for task in depot.must} == {"inspection-and-test", "operating-time"}
    assert {task.tag for task in depot.must} == {"DEPOT-1"}
    assert wrong_with(week) == []


def test_weeks_are_named_by_year_and_number() -> None:
    assert week_from("2026-W48") == MONDAY
    assert week_code(MONDAY) == "2026-W48"
    for wrong in ("2026", "2026-W60", "next", "2026-Wx"):
        with pytest.raises(Refused, match="is no week"):
            week_from(wrong)


@pytest.mark.parametrize(
    ("ask", "why"),
    [
        (WeekAsk(MONDAY - timedelta(days=14)), "is over"),
        (WeekAsk(MONDAY, pins={"YARD": PinTo(date(2026, 12, 25))}), "not in the week"),
        (WeekAsk(MONDAY, pins={"YARD": PinTo(MONDAY, "Van 9")}), "no van “Van 9”"),
        (WeekAsk(MONDAY, leave_out=frozenset({"NOWHERE"})), "no site NOWHERE"),
    ],
)
def test_what_can_not_be_asked_of_a_week_is_refused(crew: Desk, ask: WeekAsk, why: str) -> None:
    with crew.read() as connection, pytest.raises(Refused, match=why):
        plan_week(connection, TODAY, ask)


def test_a_plan_that_is_kept_reads_back_as_it_was_and_changes_are_counted(crew: Desk, register: Register) -> None:
    with crew.read() as connection:
        week = plan_week(connection, TODAY, ASK)
    with changing(register) as change:
        assert keep_week(change, week).new == 2
    with changing(register) as change:
        assert keep_week(change, week).same == 2
    with crew.read() as connection:
        again = kept_week(connection, TODAY, MONDAY)
        first = {visit.code: visit for visit in week_visits(connection, MONDAY)}
    assert again is not None
    assert [(stop.code, stop.day, stop.arrive) for stop in again.stops] == [
        (stop.code, stop.day, stop.arrive) for stop in week.stops
    ]
    moved, cost = move_stop(again, "YARD", MONDAY + timedelta(days=4), 0)
    assert cost.words
    dropped, _ = drop_stop(moved, "DEPOT")
    with changing(register) as change:
        kept = keep_week(change, dropped)
    with crew.read() as connection:
        after = {visit.code: visit for visit in week_visits(connection, MONDAY)}
    assert kept.cancelled == 1
    assert after["DEPOT"].cancelled
    assert after["YARD"].id == first["YARD"].id
    assert after["YARD"].sequence == first["YARD"].sequence + (kept.changed == 1)


def test_a_plan_with_vans_one_does_not_have_is_tried_but_not_kept(crew: Desk, register: Register) -> None:
    with crew.read() as connection:
        week = plan_week(connection, TODAY, WeekAsk(MONDAY, vans=3, effort=0.1))
    assert len(week.draft.asked.vans) == 3
    with changing(register) as change, pytest.raises(Refused, match="One more van 1"):
        keep_week(change, week)


def test_the_history_names_a_week_that_was_kept_by_its_monday(crew: Desk, register: Register) -> None:
    with crew.read() as connection:
        week = plan_week(connection, TODAY, ASK)
    with changing(register) as change:
        keep_week(change, week)
    with crew.read() as connection:
        kept = next(each for each in history(connection) if each.what == "Week planned")
        assert kept.to == day_words(MONDAY)
        assert step_words(connection, kept.seq - 1, kept.seq)[0] == f"Week planned, {day_words(MONDAY)}"


def test_what_is_done_at_a_visit_is_seen_at_once(crew: Desk, register: Register) -> None:
    with crew.read() as connection:
        week = plan_week(connection, TODAY, ASK)
    with changing(register) as change:
        keep_week(change, week)
    day = next(stop.day for stop in week.stops if stop.code == "YARD")
    with crew.read() as connection:
        before = {visit.code: (visit.duties, visit.done) for visit in todays_visits(connection, day)}
    crew.on(day).test("YARD-1")
    with crew.read() as connection:
        after = {visit.code: (visit.duties, visit.done) for visit in todays_visits(connection, day)}
    assert before["YARD"] == (2, 0)
    assert after["YARD"] == (2, 2)


def test_a_plan_says_the_same_in_cards_and_in_lines(crew: Desk) -> None:
    with crew.read() as connection:
        week = plan_week(connection, TODAY, ASK)
    columns = cards(week)
    assert len(columns) == len(week.days)
    shown = [card for column in columns for card in column.cards]
    assert {card.code for card in shown} == {"DEPOT", "YARD"}
    assert all(card.place is not None and card.why and card.times for card in shown)
    assert any("Depot of the bay: 2 due" in line for line in week_lines(week))


def test_holidays_of_the_state_and_days_of_ones_own_are_not_worked(desk: Desk, register: Register) -> None:
    cup_day, sunday = date(2026, 11, 3), date(2026, 11, 8)
    with desk.read() as connection:
        assert days_off(connection, date(2026, 11, 2), sunday) == []
    with changing(register) as change:
        set_setting(change, "state", "VIC")
        keep_plan_settings(change, PlanSettings(days_off={date(2026, 11, 4): "Stocktaking"}))
    with desk.read() as connection:
        found = {each.day: each for each in days_off(connection, date(2026, 11, 2), sunday)}
        assert set(found) == {cup_day, date(2026, 11, 4)}
        assert "VIC" in found[cup_day].source
        assert cup_day not in worked_days(connection, date(2026, 11, 2))
    with changing(register) as change:
        keep_plan_settings(change, PlanSettings(days_on=frozenset({cup_day})))
    with desk.read() as connection:
        assert days_off(connection, date(2026, 11, 2), sunday) == []


def test_what_is_kept_about_planning_reads_back(desk: Desk, register: Register) -> None:
    kept = PlanSettings(base=Place(-37.9, 148.6), days_off={MONDAY: "Move"})
    legs = {("", "YARD"): Leg(12.5, 20.0), ("YARD", "DEPOT"): Leg(3.0)}
    with changing(register) as change:
        keep_plan_settings(change, kept)
        keep_drives(change, legs)
    with desk.read() as connection:
        assert plan_settings(connection) == kept
        assert drives(connection) == legs


def test_vans_are_entered_changed_and_taken_out_of_use(crew: Desk, register: Register) -> None:
    with changing(register) as change:
        keep_van(change, VanFacts("Ute", people=2))
    with crew.read() as connection:
        first, second = vans(connection)
    with changing(register) as change, pytest.raises(Refused, match="a van “Ute” already"):
        keep_van(change, VanFacts("Ute"), opened=first)
    with changing(register) as change, pytest.raises(Refused, match="no stretch of a day"):
        keep_van(change, VanFacts("Late", start=900, until=600))
    with changing(register) as change:
        end_van(change, first)
    with crew.read() as connection:
        assert [row.facts.name for row in vans(connection)] == [second.facts.name] == ["Ute"]


def test_how_a_site_is_visited_is_checked(crew: Desk, register: Register) -> None:
    yard = _id(crew, "YARD")
    with changing(register) as change, pytest.raises(Refused, match="latitude"):
        keep_visiting(change, yard, Visiting("148.6, -37.9"))
    with changing(register) as change, pytest.raises(Refused, match="number of people"):
        keep_visiting(change, yard, Visiting(people=0))
    with crew.read() as connection:
        assert visiting(connection, yard).place == "-37.95000, 148.70000"
        assert visiting(connection, _id(crew, "DEPOT")).people == 1


def test_a_week_kept_again_leaves_the_visits_of_days_that_are_over(crew: Desk) -> None:
    with crew.read() as connection:
        week = plan_week(connection, MONDAY, ASK)
    with crew.on(MONDAY).change() as change:
        keep_week(change, week)
    over = {stop.code for stop in week.stops if stop.day == MONDAY}
    assert over
    for code in over:
        crew.on(MONDAY).test(f"{code}-1", on=MONDAY)
    later = crew.on(MONDAY + timedelta(days=2))
    with later.read() as connection:
        rest = plan_week(connection, later.today, ASK)
    with later.change() as change:
        assert keep_week(change, rest).cancelled == 0
    with later.read() as connection:
        assert over <= {row.code for row in week_visits(connection, MONDAY) if not row.cancelled}
