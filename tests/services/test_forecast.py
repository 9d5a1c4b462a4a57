"""The forecast of a register, and what would be."""

from datetime import timedelta

import pytest

from register.domain.intervals import Interval
from register.errors import Refused
from register.services.forecast import WhatIf, forecast
from register.services.visiting import VanFacts, keep_van
from register.store.engine import Register
from tests.desk import Desk
from tests.registers import TODAY, changing


@pytest.fixture
def yard(desk: Desk, register: Register) -> Desk:
    """A register with one site and a van, all tested today."""
    desk.site("YARD")
    desk.item("YARD-1")
    desk.test("YARD-1", TODAY)
    with changing(register) as change:
        keep_van(change, VanFacts("Van 1"))
    return desk


def trips(desk: Desk, what_if: WhatIf | None = None) -> int:
    with desk.read() as connection:
        return sum(len(week.level) for week in forecast(connection, TODAY, what_if=what_if).weeks)


def test_a_year_has_the_trips_that_the_dates_ask_for_and_one_may_ask_what_if(yard: Desk) -> None:
    now = trips(yard)
    assert now > 0
    assert trips(yard, WhatIf(new_site_like="yard")) == 2 * now
    often = WhatIf(intervals={duty: Interval.of(months=1) for duty in ("inspection-and-test", "operating-time")})
    assert trips(yard, often) > now
    with yard.read() as connection:
        one = forecast(connection, TODAY, weeks=2)
        two = forecast(connection, TODAY, weeks=2, what_if=WhatIf(more_vans=1))
    assert two.weeks[1].crew_minutes == 2 * one.weeks[1].crew_minutes
    assert one.weeks[1].monday - one.weeks[0].monday == timedelta(days=7)


def test_what_can_not_be_forecast_is_refused(yard: Desk) -> None:
    with yard.read() as connection:
        with pytest.raises(Refused, match="from 1 to 104"):
            forecast(connection, TODAY, weeks=0)
        with pytest.raises(Refused, match="no site NOWHERE"):
            forecast(connection, TODAY, what_if=WhatIf(new_site_like="NOWHERE"))
