"""The week of a day is that of the calendar of ISO 8601, as Python's own `date.isocalendar` has it."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from register.domain.weeks import monday_of


@given(st.dates(date(1990, 1, 1), date(2100, 12, 31)))
def test_a_week_begins_on_the_monday_of_its_iso_week(day: date) -> None:
    year, week, _weekday = day.isocalendar()
    assert monday_of(day) == date.fromisocalendar(year, week, 1)
