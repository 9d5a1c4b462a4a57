"""Lettering on labels, in millimetres: text that shrinks to its room, then wraps, and is never cut unawares."""

from functools import lru_cache
from typing import Final, NamedTuple

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter

from ui.look.typeface import family

LEAST: Final = 1.3
"""The smallest lettering in mm; smaller can't be read, nor printed at 203 dpi."""

LEAD: Final = 1.2
"""How high a line is, in sizes of its lettering."""

_UNITS: Final = 100
"""Fonts have whole sizes: text is laid out in hundredths of a mm."""
_DISPLAY_FROM: Final = 4.0
_MEASURED: Final = 1_000
_COMFORT: Final = 0.75
"""A line is shrunk to this part of its size before it is wrapped."""


class Fitted(NamedTuple):
    """Text that fits: its size in mm, its lines, and whether some of it had to be left out."""

    size: float
    lines: tuple[str, ...]
    cut: bool = False


def fitted(said: str, room: QRectF, size: float, weight: int, *, code: bool = False, lines: int = 9) -> Fitted | None:
    """Return a text as large as it fits into a room in mm, at most `size`; None where it doesn't at the smallest."""
    whole = _width(said, weight, code=code)
    single = min(size, room.height() / LEAD, room.width() / whole if whole else size)
    if single >= min(size, room.height() / LEAD) * _COMFORT and single >= LEAST:
        return Fitted(single, (said,))
    tried = min(size, room.height() / LEAD)
    while tried >= LEAST:
        wrapped = _wrapped(said, room.width() / tried, weight, code=code)
        if len(wrapped) <= lines and len(wrapped) * tried * LEAD <= room.height() + _SLACK:
            return Fitted(max(tried, single), (said,)) if single >= tried else Fitted(tried, wrapped)
        tried -= 0.05
    return Fitted(single, (said,)) if single >= LEAST else None


_SLACK: Final = 0.01


def shortened(said: str, room: QRectF, weight: int) -> Fitted:
    """Return so much of a text as fits at the smallest size, ending in an ellipsis."""
    most = max(1, int((room.height() + _SLACK) / LEAST / LEAD))
    every = _wrapped(said, room.width() / LEAST, weight, code=False)
    if len(every) <= most:
        return Fitted(LEAST, every)
    lines = every[:most]
    last = lines[-1].rstrip(" ,;:.")
    while last and _width(f"{last}…", weight, code=False) > room.width() / LEAST:
        last = last[:-1]
    return Fitted(LEAST, (*lines[:-1], f"{last}…"), cut=True)


def letter(
    painter: QPainter, room: QRectF, text: Fitted, weight: int, *, colour: str = "#000000", code: bool = False,
    align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
) -> None:  # fmt: skip
    """Draw fitted text in the middle of its room's height; the painter's unit is a mm."""
    painter.save()
    painter.translate(room.topLeft())
    painter.scale(1 / _UNITS, 1 / _UNITS)
    painter.setFont(_font(round(text.size * _UNITS), weight, code=code))
    painter.setPen(QColor(colour))
    step = text.size * LEAD * _UNITS
    top = (room.height() * _UNITS - step * len(text.lines)) / 2
    flags = int(align | Qt.AlignmentFlag.AlignVCenter) | int(Qt.TextFlag.TextSingleLine | Qt.TextFlag.TextDontClip)
    for number, line in enumerate(text.lines):
        painter.drawText(QRectF(0, top + number * step, room.width() * _UNITS, step), flags, line)
    painter.restore()


def width_of(said: str, size: float, weight: int) -> float:
    """Return how many mm wide a text of a size is."""
    return _width(said, weight, code=False) * size


def _wrapped(said: str, room: float, weight: int, *, code: bool) -> tuple[str, ...]:
    """Return the lines of a text in a room as wide as so many sizes: broken between words, within where one is long."""
    lines: list[str] = [""]
    for word in _pieces(said, code=code):
        if lines[-1] and _width((lines[-1] + word).rstrip(), weight, code=code) <= room:
            lines[-1] += word
            continue
        if lines[-1]:
            lines.append("")
        for each in word:
            if lines[-1] and _width(lines[-1] + each.rstrip(), weight, code=code) > room:
                lines.append("")
            lines[-1] += each
    return tuple(line.strip() for line in lines)


def _pieces(said: str, *, code: bool) -> list[str]:
    """Return where a text may be broken: after blanks, and after the marks within a number."""
    ends = " -/.:" if code else " "
    pieces = [""]
    for each in said:
        pieces[-1] += each
        if each in ends:
            pieces.append("")
    return [piece for piece in pieces if piece]


@lru_cache(maxsize=20_000)
def _width(said: str, weight: int, *, code: bool) -> float:
    """Return how wide a text is in sizes of its lettering: type without hinting grows evenly."""
    return QFontMetricsF(_font(_MEASURED, weight, code=code)).horizontalAdvance(said) / _MEASURED


@lru_cache(maxsize=512)
def _font(size: int, weight: int, *, code: bool) -> QFont:
    font = family(display=size >= _DISPLAY_FROM * _UNITS and size != _MEASURED, code=code)
    font.setPixelSize(max(1, size))
    font.setWeight(QFont.Weight(weight))
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font
