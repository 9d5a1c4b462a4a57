"""What a visit has besides its duties: what nobody found before, numbers for new tags, the field pack."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import openpyxl
import pytest

from register.exchange.week.day_sheet import write_day_sheets
from register.planning.week_rows import PlannedWeek
from register.services.packs.packing import begin_pack
from register.services.places import known_site
from register.services.tag_ranges import add_range
from register.services.week.day_sheets import StopLine, day_sheets
from register.services.week.kept import keep_week
from register.services.week.plan import WeekAsk, plan_week
from register.services.week.stop_extras import NO_EXTRAS
from register.services.week.visiting import VanFacts, Visiting, keep_van, keep_visiting
from register.services.whereabouts import mark_missing
from tests.desk import Desk
from tests.registers import TODAY

MONDAY = date(2026, 11, 23)


@pytest.fixture
def crew(desk: Desk) -> Desk:
    """Two sites with work and a van with numbers of its own; at the yard one item was not found before."""
    for code in ("MILL", "YARD"):
        desk.site(code)
        desk.item(f"{code}-1", site=code)
    desk.item("LOST-1", site="YARD", area="Shed", description="Drill")
    desk.test("LOST-1", on=TODAY)
    with desk.change() as change:
        keep_van(change, VanFacts("Van 1"))
        add_range(change, holder="Van 1", prefix="V-", digits=4, first=100, last=199)
        for code in ("MILL", "YARD"):
            keep_visiting(change, known_site(change.session.connection(), code), Visiting("-37.9, 148.6"))
        mark_missing(change, desk.id("LOST-1"))
    return desk


def planned(desk: Desk) -> PlannedWeek:
    with desk.read() as connection:
        return plan_week(connection, TODAY, WeekAsk(MONDAY, effort=0))


def stops(desk: Desk, week: PlannedWeek) -> dict[str, StopLine]:
    with desk.read() as connection:
        return {stop.code: stop for stop in day_sheets(connection, week).stops}


def test_what_was_not_found_is_on_the_sheet_though_nothing_is_due_of_it(crew: Desk) -> None:
    found = stops(crew, planned(crew))
    (said,) = found["YARD"].extras.look_for
    assert said.startswith("LOST-1 Drill, Shed, not found on ")
    assert found["MILL"].extras == NO_EXTRAS


def test_numbers_are_told_once_the_week_is_kept(crew: Desk) -> None:
    week = planned(crew)
    assert {stop.extras.tags for stop in stops(crew, week).values()} == {""}
    with crew.change() as change:
        keep_week(change, week)
    told = {stop.extras.tags for stop in stops(crew, week).values()}
    assert told == {"V-0100 to V-0104", "V-0105 to V-0109"}


def test_a_pack_is_told_while_it_is_out_and_good_on_the_day(crew: Desk) -> None:
    week = planned(crew)
    day = stops(crew, week)["YARD"].day
    for until, there in ((day - timedelta(days=1), False), (day, True)):
        if until >= TODAY:
            with crew.change() as change:
                begin_pack(change, ["YARD"], "Ruth", until)
            assert bool(stops(crew, week)["YARD"].extras.pack) is there
    assert stops(crew, week)["YARD"].extras.pack.startswith("Made for Ruth on ")
    assert stops(crew, week)["MILL"].extras.pack == ""


def test_the_workbook_of_the_sheets_has_them_too(crew: Desk, tmp_path: Path) -> None:
    week = planned(crew)
    with crew.change() as change:
        keep_week(change, week)
        begin_pack(change, ["YARD", "MILL"], "Ruth", TODAY + timedelta(days=7))
    with crew.read() as connection:
        sheets = day_sheets(connection, week)
    write_day_sheets(sheets, tmp_path / "days.xlsx")
    cells = [str(cell) for row in openpyxl.load_workbook(tmp_path / "days.xlsx")["Work"].values for cell in row]
    for said in ("Look for again", "New tags", "V-0100 to V-0104", "Field pack"):
        assert said in cells, said
    assert any(cell.startswith("LOST-1 Drill") for cell in cells)
    assert any(cell.startswith("Made for Ruth") for cell in cells)


def test_of_a_site_visited_twice_the_first_visit_looks(crew: Desk) -> None:
    week = planned(crew)
    days = tuple(
        replace(day, stops=tuple(replace(stop, part=2, parts=2) if stop.code == "YARD" else stop for stop in day.stops))
        for day in week.days
    )
    assert stops(crew, replace(week, days=days))["YARD"].extras.look_for == ()
