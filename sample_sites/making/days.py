"""The contractor's working days and his visits."""

from datetime import date, timedelta
from random import Random
from typing import Final

from register.domain.intervals import Interval, add_interval
from sample_sites.making.premises import Site

DAYS_OF_YEAR: Final = 365.25
FRIDAY: Final = 4
CLOSED_FROM: Final = (12, 19)
CLOSED_UNTIL: Final = (1, 7)
"""Month and day of the trade's holiday over the year's end."""

ONE_DAY: Final = timedelta(days=1)
MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def is_working_day(day: date) -> bool:
    """Say whether it is a weekday outside the holiday over the year's end."""
    return day.weekday() <= FRIDAY and CLOSED_UNTIL < (day.month, day.day) < CLOSED_FROM


def working_day_on_or_before(day: date) -> date:
    """Return the day itself, or the last working day before it."""
    while not is_working_day(day):
        day -= ONE_DAY
    return day


def working_day_on_or_after(day: date) -> date:
    """Return the day itself, or the first working day after it."""
    while not is_working_day(day):
        day += ONE_DAY
    return day


def start_of(years: float, today: date) -> date:
    """Return the day so many years before today."""
    return today - timedelta(days=int(years * DAYS_OF_YEAR))


def visits(site: Site, today: date, rng: Random) -> list[date]:
    """Return the days on which visits to a site began, oldest first."""
    last = working_day_on_or_before(today - timedelta(days=site.last_visit))
    wander = 3 if site.every == 1 else 6
    days = {last}
    for step in range(1, int(site.years * 12 / site.every) + 1):
        day = add_interval(last, Interval.of(months=-site.every * step)) + timedelta(days=rng.randint(-wander, wander))
        days.add(working_day_on_or_before(day))
    return sorted(day for day in days if day >= start_of(site.years, today))
