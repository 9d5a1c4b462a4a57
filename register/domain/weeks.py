"""Weeks begin on Monday (ISO 8601)."""

from datetime import date, timedelta


def monday_of(day: date) -> date:
    """Return the Monday of the week that a day is in."""
    return day - timedelta(days=day.weekday())
