"""The days that are planned, for each of which a field pack can be made."""

from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa

from register.errors import Refused
from register.exchange.pack import open_pack, write_pack
from register.planning.kept_settings import PlanSettings
from register.planning.travel import Place
from register.services.packs.days_out import DayOut, coming_days_out, sites_on
from register.services.places import known_site
from register.services.week.kept import keep_week
from register.services.week.plan import WeekAsk, drop_stop, plan_week
from register.services.week.plan_settings import keep_plan_settings
from register.services.week.visiting import VanFacts, Visiting, keep_van, keep_visiting
from register.store.engine import Register
from register.store.visits import Van, Visit
from tests.desk import Desk
from tests.registers import ACTOR, TODAY

MONDAY = date(2026, 11, 23)


@pytest.fixture
def crew(register: Register) -> Desk:
    """A register with two sites that have work, a base, a van and a week that was kept."""
    desk = Desk(register)
    for code, place in (("DEPOT", "-37.90, 148.61"), ("YARD", "-37.95, 148.70")):
        desk.site(code)
        desk.item(f"{code}-1", site=code)
        with desk.change() as change:
            keep_visiting(change, known_site(change.session.connection(), code), Visiting(place))
    with desk.change() as change:
        keep_plan_settings(change, PlanSettings(base=Place(-37.9, 148.6)))
        keep_van(change, VanFacts("Van 1"))
    with desk.change() as change:
        keep_week(change, plan_week(change.session.connection(), TODAY, WeekAsk(MONDAY, effort=0.1)))
    return desk


def coming(desk: Desk, today: date = TODAY) -> list[DayOut]:
    with desk.read() as connection:
        return coming_days_out(connection, today)


def test_a_day_out_names_its_van_and_its_sites_in_order(crew: Desk) -> None:
    found = coming(crew)
    assert sorted(code for each in found for code in each.sites) == ["DEPOT", "YARD"]
    assert {each.van for each in found} == {"Van 1"}
    assert coming(crew, MONDAY + timedelta(days=7)) == []


def test_the_sites_of_a_day_make_a_pack(crew: Desk, tmp_path: Path) -> None:
    first = coming(crew)[0]
    with crew.read() as connection:
        sites = sites_on(connection, first.day, "van 1")
    assert sites == first.sites
    made = write_pack(
        crew.register, tmp_path / "day.fieldpack", sites=sites, holder="Van 1", expires_on=first.day, actor=ACTOR,
        at=datetime.combine(TODAY, time(12), UTC), today=TODAY,
    )  # fmt: skip
    assert sorted(made.sites) == sorted(first.sites)
    assert open_pack(tmp_path / "day.fieldpack", tmp_path / "day.register", today=TODAY).items == made.items


def test_a_day_without_visits_or_with_another_van_is_refused(crew: Desk) -> None:
    first = coming(crew)[0]
    with crew.read() as connection:
        with pytest.raises(Refused, match="No kept week has a visit on 20 Dec 2026"):
            sites_on(connection, date(2026, 12, 20))
        with pytest.raises(Refused, match="No kept week has a visit of Van 9"):
            sites_on(connection, first.day, "Van 9")


def test_of_several_vans_one_is_named(crew: Desk) -> None:
    with crew.change() as change:
        keep_van(change, VanFacts("Van 2"))
    day = coming(crew)[0].day
    with crew.change() as change:
        visits = change.session.scalars(sa.select(Visit).order_by(Visit.id)).all()
        for visit in visits:
            visit.day = day
        visits[-1].van_id = change.session.scalars(sa.select(Van.id).where(Van.name == "Van 2")).one()
    with crew.read() as connection:
        with pytest.raises(Refused, match=r"Several vans go out on .*: Van 1, Van 2"):
            sites_on(connection, day)
        assert len(sites_on(connection, day, "Van 2")) == 1


def test_a_visit_that_was_dropped_is_on_no_day(crew: Desk) -> None:
    with crew.change() as change:
        week = plan_week(change.session.connection(), TODAY, WeekAsk(MONDAY, effort=0.1))
        keep_week(change, drop_stop(week, "DEPOT")[0])
    assert [each.sites for each in coming(crew)] == [("YARD",)]
