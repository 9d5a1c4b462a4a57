"""The contractor's working days and his visits."""

from datetime import date, timedelta
from random import Random
from typing import Final

from register.domain.intervals import Interval, add_interval
from sample_sites.making.premises import Site

FRIDAY: Final = 4
DAYS_OF_YEAR: Final = 365.25
LAST_DAY_BEFORE_CHRISTMAS: Final = 18
FIRST_DAY_AFTER_NEW_YEAR: Final = 8
MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def weekday_on_or_before(day: date) -> date:
    """Return the day itself, or the Friday before a weekend."""
    return day - timedelta(days=max(day.weekday() - FRIDAY, 0))


def weekday_on_or_after(day: date) -> date:
    """Return the day itself, or the Monday after a weekend."""
    return day + timedelta(days=7 - day.weekday() if day.weekday() > FRIDAY else 0)


def start_of(years: float, today: date) -> date:
    """Return the day so many years before today."""
    return today - timedelta(days=int(years * DAYS_OF_YEAR))


def visits(site: Site, today: date, rng: Random) -> list[date]:
    """Return the days on which visits to a site began, oldest first: weekdays, none at Christmas."""
    last = weekday_on_or_before(_off_christmas(today - timedelta(days=site.last_visit)))
    wander = 3 if site.every == 1 else 6
    days = {last}
    for step in range(1, int(site.years * 12 / site.every) + 1):
        day = add_interval(last, Interval.of(months=-site.every * step)) + timedelta(days=rng.randint(-wander, wander))
        days.add(weekday_on_or_before(_off_christmas(day)))
    return sorted(day for day in days if day >= start_of(site.years, today))


def _off_christmas(day: date) -> date:
    if day.month == 12 and day.day > LAST_DAY_BEFORE_CHRISTMAS:  # noqa: PLR2004 - December
        return day.replace(day=LAST_DAY_BEFORE_CHRISTMAS)
    if day.month == 1 and day.day < FIRST_DAY_AFTER_NEW_YEAR:
        return day.replace(day=FIRST_DAY_AFTER_NEW_YEAR + 2)
    return day
