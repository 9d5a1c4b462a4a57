"""Days on screen and from the keyboard, in the user's own locale. Files use ISO and never pass through here."""

import re
from datetime import date, datetime

from PySide6.QtCore import QDate, QLocale, QTime

from register.errors import Refused

_WEEKDAY = re.compile(r"d{3,4}[,.]?\s*")


def _pattern() -> str:
    """Return the locale's long form with a short month and no weekday: "d MMM yyyy" or "MMM d, yyyy"."""
    long = QLocale().dateFormat(QLocale.FormatType.LongFormat)
    return _WEEKDAY.sub("", long).replace("MMMM", "MMM").strip(" ,")


def shown(day: date | None) -> str:
    """Return a day as it is shown: "30 Nov 2026"."""
    return "" if day is None else QLocale().toString(QDate(day.year, day.month, day.day), _pattern())


def shown_with_weekday(day: date) -> str:
    """Return a near day as it is shown: "Mon 30 Nov"."""
    pattern = _pattern().replace("yyyy", "").strip(" ,.")
    return QLocale().toString(QDate(day.year, day.month, day.day), f"ddd {pattern}")


def shown_long(day: date) -> str:
    """Return a day in full: "Tuesday, 24 November 2026"."""
    return QLocale().toString(QDate(day.year, day.month, day.day), QLocale.FormatType.LongFormat)


def shown_time(moment: datetime) -> str:
    """Return the time of day as it is shown: "8:52"."""
    return QLocale().toString(QTime(moment.hour, moment.minute), QLocale.FormatType.ShortFormat)


def away(day: date, today: date) -> str:
    """Return how far a day is from today, in words: "23 d over", "today", "in 6 days", "in 12 weeks"."""
    days = (day - today).days
    if days < 0:
        return f"{-days} d over"
    if days == 0:
        return "today"
    if days == 1:
        return "tomorrow"
    return f"in {days} days" if days < _WEEKS_FROM else f"in {round(days / 7)} weeks"


_WEEKS_FROM = 70


def typed(text: str) -> date:
    """Return the day that was typed, in the locale's form or in ISO; refused with a sentence otherwise."""
    plain = text.strip()
    locale = QLocale()
    short = locale.dateFormat(QLocale.FormatType.ShortFormat)
    for pattern in ("yyyy-MM-dd", short.replace("yy", "yyyy") if "yyyy" not in short else short, _pattern()):
        found = locale.toDate(plain, pattern)
        if found.isValid() and found.year() > _FIRST_YEAR:
            return date(found.year(), found.month(), found.day())
    example = shown(date(2026, 4, 3))
    raise Refused(f"“{plain}” is not a day. Write it like {example} or 2026-04-03, with the whole year.")


_FIRST_YEAR = 1000
