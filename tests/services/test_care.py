"""What is said of the register as it is opened: a clock that is behind what was recorded."""

from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa

from register.services.care import clock_behind
from register.services.places import NewSite, add_site
from register.store.tables import Event
from tests.desk import Desk
from tests.registers import ACTOR, TODAY

NOW = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)


def record(desk: Desk, at: datetime, code: str) -> None:
    with desk.register.change(actor=ACTOR, at=at, today=TODAY) as change:
        add_site(change, NewSite(code=code, name=code, owner="Ridge", environment="workshop", rulebook="au-in-service"))


def said(desk: Desk, now: datetime = NOW) -> str:
    with desk.read() as connection:
        return clock_behind(connection, now)


def test_a_clock_that_goes_right_is_not_spoken_of(desk: Desk) -> None:
    assert said(desk) == ""
    record(desk, NOW, "YARD")
    assert said(desk) == ""
    assert said(desk, NOW + timedelta(days=3_650)) == ""
    assert said(desk, NOW - timedelta(hours=5)) == ""


def test_a_clock_set_back_by_a_day_is_said_and_what_is_recorded_keeps_its_order(desk: Desk) -> None:
    record(desk, NOW, "YARD")
    record(desk, NOW - timedelta(days=1), "SHED")
    with desk.read() as connection:
        events = connection.execute(sa.select(Event.seq, Event.at).order_by(Event.seq)).all()
    assert [seq for seq, _at in events] == list(range(1, len(events) + 1))
    assert events[-1].at < events[0].at
    assert said(desk, NOW - timedelta(days=1)) == (
        "This computer's clock says 19 Nov 2026, 09:30, but the register was changed on 20 Nov 2026, 09:30, which is"
        " still to come. Set the clock right; the history keeps its order whatever the clock says."
    )
    assert desk.faults() == ()


@pytest.mark.parametrize("hours", [-24, 24 * 3_650])
def test_a_clock_that_jumps_bars_nothing(desk: Desk, hours: int) -> None:
    record(desk, NOW, "YARD")
    record(desk, NOW + timedelta(hours=hours), "SHED")
    record(desk, NOW + timedelta(minutes=1), "BARN")
    assert desk.faults() == ()
    assert bool(said(desk)) is (hours > 0)
