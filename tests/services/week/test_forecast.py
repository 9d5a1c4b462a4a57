"""The forecast of a register, and what would be."""

from datetime import timedelta

import pytest

from register.domain.intervals import Interval
from register.errors import Refused
from register.planning.forecast import Totals, totals_of
from register.services.week.forecast import WhatIf, forecast
from register.services.week.forecast_text import totals_words
from register.services.week.visiting import VanFacts, keep_van
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


def test_a_new_site_has_as_many_items_as_are_asked_for(yard: Desk) -> None:
    def work(items: int | None) -> float:
        with yard.read() as connection:
            return totals_of(
                forecast(connection, TODAY, what_if=WhatIf(new_site_like="YARD", new_site_items=items))
            ).minutes

    ready = work(2) - 2 * (work(2) - work(1))  # the set-up at both sites, and the work there is already
    assert work(None) == work(1)
    assert work(12) == pytest.approx(ready + 12 * (work(2) - work(1)))


def test_a_forecast_is_summed_up_in_words(yard: Desk) -> None:
    with yard.read() as connection:
        found = totals_of(forecast(connection, TODAY))
    assert found.over == 0
    assert totals_words(found).startswith("1 trip, 14 min of work and ")
    assert totals_words(found).endswith("no week rises above the crew's hours.")
    assert totals_words(Totals(1, 90, 12, 1, 30, None)) == (
        "1 trip, 1 h 30 of work and about 12 min driving; 1 week rises above the crew's hours, by 30 min."
    )
    assert totals_words(Totals(0, 0, 0, 0, 0, None)) == "No work falls due in these weeks."


def test_what_can_not_be_forecast_is_refused(yard: Desk) -> None:
    with yard.read() as connection:
        with pytest.raises(Refused, match="from 1 to 104"):
            forecast(connection, TODAY, weeks=0)
        with pytest.raises(Refused, match="no site NOWHERE"):
            forecast(connection, TODAY, what_if=WhatIf(new_site_like="NOWHERE"))
        with pytest.raises(Refused, match="can't have 0 items"):
            forecast(connection, TODAY, what_if=WhatIf(new_site_like="YARD", new_site_items=0))
