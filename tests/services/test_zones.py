"""Whatever zone a computer is set to, and in the nights when its clock is put on or back, dates stay as they are."""

import time as clock
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
import sqlalchemy as sa

from register.planning.kept_settings import PlanSettings
from register.planning.travel import Place
from register.services.history import history
from register.services.places import known_site
from register.services.questions import due_duties, item_answer
from register.services.week.kept import keep_week
from register.services.week.plan import WeekAsk, plan_week
from register.services.week.plan_settings import keep_plan_settings
from register.services.week.visiting import VanFacts, Visiting, keep_van, keep_visiting
from register.store.tables import Event
from register.store.visits import Visit
from tests.desk import Desk

SYDNEY = ZoneInfo("Australia/Sydney")
FORWARD, BACK = date(2026, 10, 4), date(2027, 4, 4)
"""The nights from the third to the fourth of these months have an hour less there, and one more."""
MONDAY = date(2026, 9, 28)
ZONES = ("Australia/Sydney", "Australia/Lord_Howe", "Pacific/Kiritimati", "America/New_York", "Pacific/Pago_Pago")

Move = Callable[[str], None]


@pytest.fixture
def move(monkeypatch: pytest.MonkeyPatch) -> Iterator[Move]:
    """Lets the computer, and what it asks of a server, be set to another zone."""

    def set_to(zone: str) -> None:
        for name in ("TZ", "PGTZ"):
            monkeypatch.setenv(name, zone)
        clock.tzset()

    yield set_to
    monkeypatch.undo()
    clock.tzset()


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """Two items that fall due in those nights, and a week in which they are visited."""
    desk.site()
    for tag, tested in (("A-1", date(2026, 4, 4)), ("B-1", date(2026, 10, 4))):
        desk.item(tag, since=tested)
        desk.on(tested).test(tag)
    early = desk.on(MONDAY)
    with early.change() as change:
        keep_visiting(change, known_site(change.session.connection(), "YARD"), Visiting("-37.95, 148.70"))
        keep_plan_settings(change, PlanSettings(base=Place(-37.9, 148.6)))
        keep_van(change, VanFacts("Van 1"))
    with early.change() as change:
        keep_week(change, plan_week(change.session.connection(), MONDAY, WeekAsk(MONDAY, effort=0.1)))
    return desk


def told(desk: Desk) -> list[object]:
    """Return all that is said of dates and times, asked over a connection of its own."""
    desk.register.engine.dispose()
    with desk.read() as connection:
        dates = [(day, due_duties(connection, day, within_days=1)) for day in (FORWARD, BACK)]
        items = [item_answer(connection, desk.id(tag), FORWARD) for tag in ("A-1", "B-1")]
        visits = connection.execute(sa.select(Visit.day, Visit.arrive, Visit.leave).order_by(Visit.id)).all()
        return [dates, items, visits, history(connection)]


@pytest.mark.parametrize("zone", ZONES)
def test_the_due_list_and_the_times_of_visits_are_the_same_in_every_zone(yard: Desk, move: Move, zone: str) -> None:
    move("UTC")
    here = told(yard)
    assert len(here[2]) > 0
    move(zone)
    assert told(yard) == here


@pytest.mark.parametrize("zone", ZONES)
def test_what_is_entered_in_another_zone_falls_due_on_the_same_days(yard: Desk, move: Move, zone: str) -> None:
    found = []
    for number, where in enumerate(("UTC", zone)):
        move(where)
        yard.register.engine.dispose()
        tag = f"C-{number}"
        yard.item(tag, since=FORWARD)
        yard.on(FORWARD).test(tag)
        with yard.read() as connection:
            answer = item_answer(connection, yard.id(tag), BACK)
        found.append([(each.duty, each.last_done, each.due, each.standing) for each in answer.duties])
    assert found[0] == found[1]
    assert BACK in {due for _duty, _done, due, _standing in found[0]}
    assert yard.faults() == ()


@pytest.mark.parametrize(
    ("wall", "utc"),
    [
        (datetime(2026, 10, 4, 2, 30, tzinfo=SYDNEY), datetime(2026, 10, 3, 16, 30, tzinfo=UTC)),
        (datetime(2027, 4, 4, 2, 30, tzinfo=SYDNEY), datetime(2027, 4, 3, 15, 30, tzinfo=UTC)),
        (datetime(2027, 4, 4, 2, 30, tzinfo=SYDNEY, fold=1), datetime(2027, 4, 3, 16, 30, tzinfo=UTC)),
    ],
    ids=["an hour that is not", "an hour that is twice, first", "an hour that is twice, second"],
)
def test_a_moment_of_such_a_night_is_kept_as_the_one_it_is(
    yard: Desk, move: Move, wall: datetime, utc: datetime
) -> None:
    move("Australia/Sydney")
    with yard.register.change(actor="Kim", at=wall, today=wall.date()) as change:
        keep_van(change, VanFacts("Van 2"))
    with yard.read() as connection:
        said = connection.execute(sa.select(Event.at).order_by(Event.seq.desc()).limit(1)).scalar_one()
        assert history(connection, 1)[0].at == utc
    assert said == utc.strftime("%Y-%m-%dT%H:%M:%S.%fZ")
