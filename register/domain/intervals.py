"""Intervals in calendar months, and the one place where months are added to a date."""

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import lru_cache
from typing import Final

from dateutil.relativedelta import relativedelta

from register.domain.words import counted
from register.errors import Refused


class Occasion(StrEnum):
    """An event that calls for a duty, where the calendar does not."""

    EACH_USE = "each-use"
    EACH_DAY = "each-day"
    EACH_DAY_OR_USE = "each-day-or-use"
    EACH_WORKING_DAY = "each-working-day"
    BEFORE_FIRST_USE = "before-first-use"
    BEFORE_HIRE = "before-hire"
    ON_RETURN = "on-return"


_OCCASION_WORDS: Final = {
    Occasion.EACH_USE: "before each use",
    Occasion.EACH_DAY: "each day, before first use",
    Occasion.EACH_DAY_OR_USE: "each day or before each use, whichever is less often",
    Occasion.EACH_WORKING_DAY: "each working day",
    Occasion.BEFORE_FIRST_USE: "before first use at the site",
    Occasion.BEFORE_HIRE: "before each hire",
    Occasion.ON_RETURN: "before it returns to service",
}

_DURATION: Final = re.compile(
    r"P(?:(?P<years>\d{1,5})Y)?(?:(?P<months>\d{1,5})M)?(?:(?P<weeks>\d{1,5})W)?(?:(?P<days>\d{1,5})D)?", re.ASCII
)
_MONTH: Final = 30.436875
"""Days in a month of the Gregorian calendar, on average over its 400 years."""


@dataclass(frozen=True, slots=True, order=True)
class Interval:
    """A span of calendar months and days, made by `of` or `parse`.

    The order is that of length, where a month counts as 30.4 days: 365 days are less than 12 months.
    """

    length: float
    months: int
    days: int

    @classmethod
    def of(cls, *, months: int = 0, days: int = 0) -> "Interval":
        """Return the interval of so many calendar months and days."""
        return cls(months * _MONTH + days, months, days)

    @classmethod
    def parse(cls, text: str) -> "Interval":
        """Return the interval of an ISO 8601 duration in whole years, months, weeks and days, such as `P6M`."""
        match = _DURATION.fullmatch(text.strip())
        parts = {name: int(value) for name, value in (match.groupdict() if match else {}).items() if value}
        interval = cls.of(
            months=parts.get("years", 0) * 12 + parts.get("months", 0),
            days=parts.get("weeks", 0) * 7 + parts.get("days", 0),
        )
        if not 0 < interval.length <= LONGEST.length:
            raise Refused(f"“{text}” is not an interval: write an ISO 8601 duration such as P6M or P5Y, up to P50Y.")
        return interval

    def __str__(self) -> str:
        if self.days and self.days % 7 == 0 and not self.months:
            return f"P{self.days // 7}W"
        if self.days:
            months = f"{self.months}M" if self.months else ""
            return f"P{months}{self.days}D"
        return f"P{self.months // 12}Y" if self._whole_years else f"P{self.months}M"

    @property
    def words(self) -> str:
        """The interval in a sentence: "6 months", "5 years", "1 week"."""
        parts = []
        if self._whole_years:
            parts.append(counted(self.months // 12, "year"))
        elif self.months:
            parts.append(counted(self.months, "month"))
        if self.days and self.days % 7 == 0:
            parts.append(counted(self.days // 7, "week"))
        elif self.days:
            parts.append(counted(self.days, "day"))
        return " and ".join(parts)

    @property
    def _whole_years(self) -> bool:
        """Whether the months are written in years: 12 months stay 12 months, as the trade says it."""
        return self.months > 12 and self.months % 12 == 0  # noqa: PLR2004 - months of a year


LONGEST: Final = Interval.of(months=50 * 12)


def every_words(shorter: Interval, longer: Interval | None = None) -> str:
    """Return how often as it stands in a sentence: "every month", "every 6 to 12 months"."""
    if longer is None:
        return f"every {shorter.words.removeprefix('1 ')}"
    number, _, unit = shorter.words.partition(" ")
    same = unit.rstrip("s") == longer.words.partition(" ")[2].rstrip("s")
    return f"every {number if same else shorter.words} to {longer.words}"


def occasion_words(occasion: Occasion) -> str:
    """Return the occasion as it stands in a sentence: "before each use"."""
    return _OCCASION_WORDS[occasion]


@lru_cache(maxsize=65_536)
def add_interval(day: date, interval: Interval) -> date:
    """Return the day one interval later, in calendar months, clamped to the month's end.

    The only month arithmetic of the program: always from the real test date, never chained, never in SQL.
    Refused where the result lies beyond the calendar.
    """
    try:
        return day + relativedelta(months=interval.months, days=interval.days)
    except (ValueError, OverflowError):
        raise Refused(f"{interval.words} after {day.isoformat()} lies beyond the calendar. Check the date.") from None
