"""How a day looks on the page: its colour and its dash, which belong together, and its name."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from PySide6.QtCore import QLocale, QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from ui.look.theme import colours


@dataclass(frozen=True, slots=True)
class LineLook:
    """The line of a day: its colour, and its dash in widths of the line; None where it is solid."""

    colour: str
    dash: tuple[float, ...] | None


_DASHES: Final = (None, (3.5, 1.5), (1.0, 1.0), (4.0, 1.5, 1.0, 1.5), (2.0, 1.0), (6.0, 1.0, 1.0, 1.0), (1.0, 2.0))


def line_of(day: date) -> LineLook:
    """Return the line of a day of the week, in the colours in use."""
    tokens, at = colours(), day.weekday()
    every = (
        tokens.accent, tokens.overdue.text, tokens.withdrawn.text, tokens.service.text, tokens.ink2,
        tokens.soon.text, tokens.unknown.text,
    )  # fmt: skip
    return LineLook(every[at], _DASHES[at])


def pen_of(day: date, thick: float = 2) -> QPen:
    """Return the pen of a day."""
    look = line_of(day)
    pen = QPen(QColor(look.colour), thick)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if look.dash:
        pen.setDashPattern(list(look.dash))
    return pen


def stroke(painter: QPainter, day: date, start: QPointF, end: QPointF, thick: float = 2) -> None:
    """Draw a straight piece of a day's line."""
    painter.setPen(pen_of(day, thick))
    painter.drawLine(start, end)


def day_name(day: date) -> str:
    """Return the name of a day: "Monday"."""
    return QLocale().dayName(day.weekday() + 1, QLocale.FormatType.LongFormat)


def day_short(day: date) -> str:
    """Return the short name of a day, where room is short: "Mon"."""
    return QLocale().dayName(day.weekday() + 1, QLocale.FormatType.ShortFormat)


def span(minutes: int) -> str:
    """Return a stretch of time: "1 h 51"."""
    return f"{minutes // 60} h {minutes % 60:02d}" if minutes >= 60 else f"{minutes} min"  # noqa: PLR2004 - an hour


def clock(minute: int) -> str:
    """Return a minute of the day: "7:45"."""
    return f"{minute // 60}:{minute % 60:02d}"
