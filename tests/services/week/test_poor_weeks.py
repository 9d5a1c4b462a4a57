"""A week asked of a register that lacks something: as good a plan as can be, and a sentence for what is amiss."""

from datetime import date, timedelta

import pytest

from register.errors import Refused
from register.planning.kept_settings import PlanSettings
from register.planning.travel import Leg, Place
from register.planning.week_rows import PlannedWeek
from register.services.places import known_site
from register.services.week.bent import ask_again
from register.services.week.kept import keep_week
from register.services.week.plan import PinTo, WeekAsk, kept_week, plan_week
from register.services.week.plan_settings import add_days_off, keep_drives, keep_plan_settings
from register.services.week.text import week_lines
from register.services.week.visiting import VanFacts, Visiting, end_van, keep_van, keep_visiting, vans
from tests.desk import Desk
from tests.planning.weeks import wrong_with
from tests.registers import TODAY

MONDAY = date(2026, 11, 23)
WHERE = {"DEPOT": "-37.90, 148.61", "MILL": "-37.80, 148.66", "YARD": "-37.95, 148.70"}


@pytest.fixture
def crew(desk: Desk) -> Desk:
    """Three sites with work that was never done, a base and a van."""
    for code, place in WHERE.items():
        desk.site(code)
        desk.item(f"{code}-1", site=code)
        visited(desk, code, Visiting(place))
    with desk.change() as change:
        keep_plan_settings(change, PlanSettings(base=Place(-37.9, 148.6)))
        keep_van(change, VanFacts("Van 1"))
    return desk


def visited(desk: Desk, code: str, facts: Visiting) -> None:
    with desk.change() as change:
        keep_visiting(change, known_site(change.session.connection(), code), facts)


def planned(desk: Desk, ask: WeekAsk | None = None, *, drives_known: bool = True) -> tuple[PlannedWeek, str]:
    """Return a plan, worked out again where its drives can be, and all that is said of it."""
    with desk.read() as connection:
        week = plan_week(connection, TODAY, ask or WeekAsk(MONDAY, effort=0.1))
    assert not drives_known or wrong_with(week) == []
    return week, "\n".join(week_lines(week))


def codes(week: PlannedWeek) -> list[str]:
    return sorted({stop.code for stop in week.stops})


def test_a_site_without_coordinates_is_planned_last_and_named(crew: Desk) -> None:
    visited(crew, "MILL", Visiting(""))
    week, said = planned(crew, drives_known=False)
    assert codes(week) == sorted(WHERE)
    assert "Mill of the bay has no coordinates: planned last, with an assumed drive." in said


def test_a_site_whose_hours_no_van_has_is_left_out_with_the_reason(crew: Desk) -> None:
    visited(crew, "MILL", Visiting(WHERE["MILL"], hours={0: (5 * 60, 6 * 60)}))
    week, said = planned(crew)
    assert codes(week) == ["DEPOT", "YARD"]
    assert "Left out: Mill of the bay (MILL)." in said
    assert [each.pressing for each in week.left_out] == [True]


def test_work_beyond_a_day_is_split_and_said(crew: Desk) -> None:
    for number in range(90):
        crew.item(f"D-{number}", site="DEPOT")
    week, said = planned(crew)
    parts = [stop for stop in week.stops if stop.code == "DEPOT"]
    assert len({(stop.day, stop.van) for stop in parts}) == len(parts) > 1
    assert "Depot of the bay has" in said
    assert f"it was split into {parts[0].parts} visits" in said


def test_without_a_van_nothing_is_planned_and_the_next_step_is_named(crew: Desk) -> None:
    with crew.change() as change:
        (van,) = vans(change.session.connection())
        end_van(change, van)
    week, said = planned(crew)
    assert week.stops == ()
    assert len(week.left_out) == 3
    assert "There is no van, so nothing can be planned. Enter one under Firm." in said


def test_a_week_of_days_off_leaves_all_out(crew: Desk) -> None:
    with crew.change() as change:
        add_days_off(change, MONDAY, MONDAY + timedelta(days=6), "Yard shut")
    week, said = planned(crew)
    assert week.stops == ()
    assert said.count("Left out:") == 3


def test_with_everything_overdue_as_much_is_done_as_fits_and_the_rest_is_said(crew: Desk) -> None:
    with crew.change() as change:
        (van,) = vans(change.session.connection())
        keep_van(change, VanFacts("Van 1", start=8 * 60, until=9 * 60, days=frozenset({0, 1})), opened=van)
    week, said = planned(crew)
    assert codes(week)
    assert all(day.at_work <= day.room for day in week.days)
    assert any(each.pressing for each in week.left_out)
    assert "it comes first next week." in said


def test_a_table_of_drives_with_holes_is_filled_and_the_holes_told(crew: Desk) -> None:
    with crew.change() as change:
        keep_drives(change, {("", "DEPOT"): Leg(4, 9), ("DEPOT", "YARD"): Leg(11, 15)})
    week, said = planned(crew, drives_known=False)
    assert codes(week) == sorted(WHERE)
    assert "The table of distances lacks 4 of 6 drives" in said
    assert "they were estimated over the globe." in said


def test_a_pin_to_a_day_on_which_the_site_is_closed_is_told(crew: Desk) -> None:
    friday = MONDAY + timedelta(days=4)
    visited(crew, "MILL", Visiting(WHERE["MILL"], hours=dict.fromkeys(range(4), (8 * 60, 16 * 60))))
    week, said = planned(crew, WeekAsk(MONDAY, {"MILL": PinTo(friday)}, effort=0.1))
    assert codes(week) == ["DEPOT", "YARD"]
    assert "Pinned to a day on which no van works or the site is closed. Pin it to another day." in said
    assert wrong_with(week) == []


@pytest.mark.parametrize(
    ("pin", "why"),
    [
        (PinTo(MONDAY), "MILL is pinned to 23 Nov 2026, but the first day that can be planned is 25 Nov 2026."),
        (PinTo(MONDAY + timedelta(days=1)), "the first day that can be planned is 25 Nov 2026. Choose another day."),
        (PinTo(MONDAY + timedelta(days=3)), "MILL is pinned to 26 Nov 2026, which is a day off."),
        (PinTo(MONDAY + timedelta(days=5)), "MILL is pinned to 28 Nov 2026, on which no van works."),
        (PinTo(MONDAY + timedelta(days=4), "Van 2"), "on which Van 2 does not work. Choose another day."),
    ],
)
def test_a_pin_to_a_day_that_is_over_or_not_worked_is_refused(crew: Desk, pin: PinTo, why: str) -> None:
    with crew.change() as change:
        keep_van(change, VanFacts("Van 2", days=frozenset({2})))
        add_days_off(change, MONDAY + timedelta(days=3), MONDAY + timedelta(days=3), "Stocktaking")
    with crew.read() as connection, pytest.raises(Refused, match=why):
        plan_week(connection, MONDAY + timedelta(days=2), WeekAsk(MONDAY, {"MILL": pin}))


def test_a_pin_of_a_day_that_is_over_hinders_no_later_plan_of_the_week(crew: Desk) -> None:
    with crew.change() as change:
        keep_week(change, planned(crew, WeekAsk(MONDAY, {"MILL": PinTo(MONDAY)}, effort=0.1))[0])
    tuesday = MONDAY + timedelta(days=1)
    with crew.read() as connection:
        kept = kept_week(connection, tuesday, MONDAY)
        assert kept is not None
        assert not any("Pinned" in each.reason for each in kept.left_out)
        again = plan_week(connection, tuesday, ask_again(kept), before=kept)
    assert "MILL" in codes(again)
