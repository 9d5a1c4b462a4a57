"""A year of weeks: peaks are levelled, never by letting anything go overdue."""

from collections.abc import Sequence
from datetime import date, timedelta

import pytest

from register.domain.intervals import add_interval
from register.errors import Unavailable
from register.planning.forecast import Forecast, Trip, forecast
from register.planning.site_week import Premises
from tests.planning.weeks import MONDAY, asked, made_up, site


def overdue(premises: Premises, trips: Sequence[Trip], end: date) -> list[str]:
    """Return what a site's visits let go overdue, each duty done at the last visit that is in time."""
    late = []
    for task in premises.tasks:
        due, last = max(task.due or MONDAY, MONDAY), date.min
        while due < end:
            in_time = [trip.day for trip in trips if last < trip.day <= due]
            if not in_time:
                late.append(f"{task.item} due {due}")
                break
            last = in_time[-1]
            assert task.every is not None
            due = add_interval(last, task.every)
    return late


def trips_of(found: Forecast, code: str, *, level: bool) -> list[Trip]:
    weeks = [week.level if level else week.best for week in found.weeks]
    return sorted((trip for week in weeks for trip in week if trip.site == code), key=lambda trip: trip.day)


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("crew_minutes", [300.0, 600.0])
def test_levelling_lets_nothing_go_overdue(seed: int, crew_minutes: float) -> None:
    question = made_up(25, seed)
    found = forecast(question, 52, lambda _monday: crew_minutes)
    end = MONDAY + timedelta(days=364)
    for level in (False, True):
        late = [each for site in question.sites for each in overdue(site, trips_of(found, site.key, level=level), end)]
        assert late == []
    assert sum(week.above for week in found.weeks) <= sum(
        max(0.0, week.best_minutes - week.crew_minutes) for week in found.weeks
    )


def test_a_peak_moves_to_the_nearest_week_before_that_has_room() -> None:
    sites = [site(code, 30, minutes=100.0, months=12) for code in "ABC"]
    found = forecast(asked(*sites), 8, lambda _monday: 250.0)
    assert [round(week.best_minutes) for week in found.weeks] == [0, 0, 0, 0, 330, 0, 0, 0]
    assert [round(week.minutes) for week in found.weeks] == [0, 0, 0, 110, 220, 0, 0, 0]
    assert all(week.above == 0 for week in found.weeks)


def test_a_forecast_is_watched_and_stopped() -> None:
    def stop(_done: int, _all: int) -> None:
        raise Unavailable("The work was stopped.")

    with pytest.raises(Unavailable):
        forecast(made_up(3, 1), 10, lambda _monday: 100.0, stop)
