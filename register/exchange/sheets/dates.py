"""Dates in cells: real date cells, and text in a style that is chosen for the column. Nothing is guessed."""

import re
from calendar import monthrange
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from typing import Final

from register.errors import Refused
from register.exchange.sheets.cells import Broken, Value, text_of
from register.exchange.sheets.fields import DateStyle

EARLIEST: Final = date(1990, 1, 1)
EPOCH_1900: Final = date(1899, 12, 30)
EPOCH_1904: Final = date(1904, 1, 1)
MONTHS: Final = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
WEEKDAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
PIVOT: Final = 69
"""Two-digit years from 69 on are of the last century, as in POSIX; the year is shown in full wherever it is shown."""

_TIME: Final = re.compile(
    r"(?:T|,?\s+)(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::\d{2}(?:\.\d+)?)?\s*(?P<half>[ap]\.?m\.?)?$",
    re.IGNORECASE | re.ASCII,
)
_WEEKDAY: Final = re.compile(r"^(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+", re.IGNORECASE | re.ASCII)
_NUMBERS: Final = re.compile(r"(\d{1,2})\s*([/.\-])\s*(\d{1,2})\s*\2\s*(\d{4}|\d{2})", re.ASCII)
_YEAR_FIRST: Final = re.compile(r"(\d{4})([/.\-])(\d{1,2})\2(\d{1,2})|(\d{4})()(\d{2})(\d{2})", re.ASCII)
_DAY_NAME: Final = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th)?[\s.\-/]*([a-z]{3,9})\.?,?[\s.\-/]*(\d{4}|\d{2})", re.IGNORECASE | re.ASCII
)
_NAME_DAY: Final = re.compile(
    r"([a-z]{3,9})\.?[\s.\-]*(\d{1,2})(?:st|nd|rd|th)?,?[\s.\-]+(\d{4}|\d{2})", re.IGNORECASE | re.ASCII
)
_SERIAL: Final = re.compile(r"\d{5}(?:\.0+)?", re.ASCII)
_NUMERIC: Final = frozenset({DateStyle.DAY_MONTH_YEAR, DateStyle.MONTH_DAY_YEAR})
_MONTH_NUMBERS: Final = {
    **{name: number for number, name in enumerate(MONTHS, 1)},
    **{name[:3]: number for number, name in enumerate(MONTHS, 1)},
    "sept": 9,
}
_LAST_MONTH: Final = 12
_LAST_DAY: Final = 31


@dataclass(frozen=True, slots=True)
class DateRules:
    """What holds for every date of a file: today, which epoch serial numbers count from, and whether old ones stand."""

    today: date
    epoch: date = EPOCH_1900
    allow_old: bool = False


@dataclass(frozen=True, slots=True)
class Detected:
    """How the dates of a column are written. `question` says why it can't be told, and is else empty."""

    styles: tuple[DateStyle, ...]
    question: str = ""


def read_date(value: Value, styles: Sequence[DateStyle], rules: DateRules) -> tuple[date, time | None]:
    """Return the day in a cell, and the time where the cell has one.

    Real date cells are taken as they are, text in one of the styles only. Refused, in one sentence, for what is
    no such date or not in the calendar, for a day after today, and for one before 1990 unless such are allowed.
    """
    day, at = _day(value, styles, rules)
    if day > rules.today:
        raise Refused(f"{spoken(day)} lies in the future. Check the day, month and year.")
    if day < EARLIEST and not rules.allow_old:
        raise Refused(
            f"{spoken(day)} lies before 1990. Check the year; if it is right, write allow_old_dates = true in the "
            "mapping."
        )
    return day, at


def spoken(day: date) -> str:
    """Return a day without a doubt about its order or century: "Tue 3 Mar 2026"."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1][:3].capitalize()} {day.year}"


def looks_like_date(value: Value) -> bool:
    """Whether a cell is a date cell, or text in the shape of a date whatever its style."""
    if isinstance(value, str):
        return bool(_shapes(_split(text_of(value))[0]))
    return isinstance(value, (datetime, date))


def detect(values: Iterable[Value]) -> Detected:
    """Return the styles in which a column's dates are written, where every one of them fits exactly one way.

    Day and month can be told apart once one number is above 12. A column that fits both orders or neither, one
    of bare numbers, and one where a program seems to have swapped days and months, are asked about.
    """
    found: set[DateStyle] = set()
    orders = set(_NUMERIC)
    cells: list[date] = []
    texts = serials = open_ones = clear = 0
    numeric = ""
    for value in values:
        if isinstance(value, (datetime, date)):
            cells.append(value)
            continue
        text = _split(text_of(value))[0]
        shapes = _shapes(text)
        serials += DateStyle.SERIAL in shapes
        texts += bool(shapes)
        if shapes & _NUMERIC:
            orders &= shapes
            open_ones += len(shapes) > 1
            clear += len(shapes) == 1 and _is_day(text, min(shapes))
            numeric = numeric or text
        else:
            found |= shapes - {DateStyle.SERIAL}
    if serials > (texts + len(cells)) / 2:
        return Detected((), 'its dates are bare numbers; if they count days, write date_style = "serial"')
    if not numeric:
        return Detected(tuple(sorted(found)))
    if len(orders) != 1:
        fits = "both day/month and month/day" if orders else "neither day/month nor month/day throughout"
        return Detected((), f'its dates, such as {numeric}, fit {fits}; write date_style = "d/m/y" or "m/d/y"')
    if not open_ones and _seem_swapped(cells, clear):
        return Detected(
            (),
            "its text dates all have a day after the 12th and its real date cells none, as when a program swaps "
            f'day and month in the cells; correct them there, or write date_style = "{min(orders)}" if they are right',
        )
    return Detected(tuple(sorted(found | orders)))


def _seem_swapped(cells: Sequence[date], texts: int) -> bool:
    """Whether the real dates look like what is left when a program took d/m/y for m/d/y where it could."""
    enough = 3
    return min(len(cells), texts) >= enough and all(day.day <= _LAST_MONTH for day in cells)


def _is_day(text: str, style: DateStyle) -> bool:
    try:
        _in_calendar(text, style, EPOCH_1900)
    except Refused:
        return False
    return True


def _day(value: Value, styles: Sequence[DateStyle], rules: DateRules) -> tuple[date, time | None]:
    if isinstance(value, datetime):
        return value.date(), value.time().replace(second=0, microsecond=0) if value.time() != time.min else None
    if isinstance(value, date):
        return value, None
    text = text_of(value)
    if isinstance(value, Broken):
        raise Refused(f"“{text}” is no date: {value.why}.")
    if isinstance(value, (bool, time, timedelta)):
        raise Refused(f"“{text}” is not a date. Write the day, month and year.")
    written, at = _split(text)
    shapes = _shapes(written)
    fitting = [style for style in styles if style in shapes]
    if not fitting:
        raise Refused(_unfit(text, shapes, styles))
    return _in_calendar(written, fitting[0], rules.epoch), at


def _unfit(text: str, shapes: frozenset[DateStyle], styles: Sequence[DateStyle]) -> str:
    if DateStyle.SERIAL in shapes:
        return f'“{text}” is a bare number. If it counts days, add "serial" to the column\'s date_style in the mapping.'
    if shapes and styles:
        return f"“{text}” is not written as the column's other dates are ({', '.join(styles)}). Write it as they are."
    if shapes:
        return f"“{text}” is not written in the style chosen for this column. Say its date_style in the mapping."
    return f"“{text}” is not a date with day, month and year. Write it in full."


def _split(text: str) -> tuple[str, time | None]:
    """Return a date's text without the weekday before it and the time of day behind it, and that time."""
    match = _TIME.search(text)
    if not match:
        return _WEEKDAY.sub("", text), None
    hour, minute, half = int(match["hour"]), int(match["minute"]), (match["half"] or "")[:1].casefold()
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    try:
        at = time(hour, minute)
    except ValueError:
        return text, None
    return _WEEKDAY.sub("", text[: match.start()]), at if at != time.min else None


@lru_cache(maxsize=20_000)
def _shapes(text: str) -> frozenset[DateStyle]:
    """Return the styles in which a text could be a date, the calendar left aside: 31/4/2026 can only be d/m/y."""
    match = _NUMBERS.fullmatch(text)
    if match:
        first, second = int(match[1]), int(match[3])
        orders = {
            DateStyle.DAY_MONTH_YEAR: 1 <= first <= _LAST_DAY and 1 <= second <= _LAST_MONTH,
            DateStyle.MONTH_DAY_YEAR: 1 <= first <= _LAST_MONTH and 1 <= second <= _LAST_DAY,
        }
        return frozenset(order for order, fits in orders.items() if fits)
    if _YEAR_FIRST.fullmatch(text):
        return frozenset({DateStyle.YEAR_MONTH_DAY})
    match = _DAY_NAME.fullmatch(text)
    if match and match[2].casefold() in _MONTH_NUMBERS:
        return frozenset({DateStyle.DAY_NAME_YEAR})
    match = _NAME_DAY.fullmatch(text)
    if match and match[1].casefold() in _MONTH_NUMBERS:
        return frozenset({DateStyle.NAME_DAY_YEAR})
    return frozenset({DateStyle.SERIAL}) if _SERIAL.fullmatch(text) else frozenset()


def _in_calendar(text: str, style: DateStyle, epoch: date) -> date:
    if style is DateStyle.SERIAL:
        return epoch + timedelta(days=int(text.partition(".")[0]))
    if style is DateStyle.YEAR_MONTH_DAY:
        match = _YEAR_FIRST.fullmatch(text)
        assert match
        year, month, day = (int(part) for part in (match.group(1, 3, 4) if match[1] else match.group(5, 7, 8)))
    elif style in _NUMERIC:
        match = _NUMBERS.fullmatch(text)
        assert match
        first, second = int(match[1]), int(match[3])
        day, month = (first, second) if style is DateStyle.DAY_MONTH_YEAR else (second, first)
        year = _full_year(match[4])
    else:
        match = (_DAY_NAME if style is DateStyle.DAY_NAME_YEAR else _NAME_DAY).fullmatch(text)
        assert match
        first_is_day = style is DateStyle.DAY_NAME_YEAR
        day, name = int(match[1 if first_is_day else 2]), match[2 if first_is_day else 1]
        month, year = _MONTH_NUMBERS[name.casefold()], _full_year(match[3])
    return _real_day(text, year, month, day)


def _full_year(text: str) -> int:
    year = int(text)
    if len(text) > 2:  # noqa: PLR2004 - written in full
        return year
    return year + (1900 if year >= PIVOT else 2000)


def _real_day(text: str, year: int, month: int, day: int) -> date:
    if not (1 <= month <= _LAST_MONTH and date.min.year <= year <= date.max.year):
        raise Refused(f"“{text}” is not in the calendar: there is no month {month}. Check the date.")
    days = monthrange(year, month)[1]
    if not 1 <= day <= days:
        raise Refused(f"“{text}” is not in the calendar: {MONTHS[month - 1].capitalize()} {year} has {days} days.")
    return date(year, month, day)
