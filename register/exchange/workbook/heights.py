"""How many lines a text takes in a column, so that rows are as high as their text in every spreadsheet program.

Some programs fit rows to wrapped text when they open a file, some don't; a height that is given serves them all.
"""

from functools import lru_cache
from typing import Final
from unicodedata import east_asian_width

LINE_POINTS: Final = 13.0
"""Height of one line of the body's 10 points."""

PADDING_POINTS: Final = 4.0
MOST_LINES: Final = 14
"""Rows grow with their text up to so many lines; longer text is read in the cell."""

_COLUMN_UNIT: Final = 0.525
"""One unit of column width in em of the body's size: the widest digit at 11 points, 7 of 13.3 pixels."""

_CELL_MARGIN: Final = 1.1
"""What the two edges of a cell and its indent take, in em."""

_WIDTHS: Final = {
    letter: width
    for width, letters in (
        (0.24, "' ,.Iijl"),
        (0.28, ":;()-[]`f{}"),
        (0.33, "!Jt°r"),
        (0.39, '"/\\sz'),
        (0.42, "Lcx“”"),
        (0.45, "?FSkvy|"),
        (0.48, "ETYZag"),
        (0.51, "#$*+0123456789<=>KPX^_e~é×"),
        (0.54, "BCRbdhnopquüøµ"),
        (0.57, "AV"),
        (0.63, "DGHU"),
        (0.66, "NOQΩ"),
        (0.71, "&…%w"),
        (0.82, "mM"),
        (0.9, "@W"),
    )
    for letter in letters
}
"""Advance widths in em of the face that the book names, measured on one of the same metrics."""

_OTHER: Final = 0.54
_BOLDER: Final = 1.03
_WIDE: Final = 1.05
"""Ideographs, kana and emoji are as wide as they are high."""


@lru_cache(maxsize=4_096)
def line_count(text: str, column_width: float, *, bold: bool = False) -> int:
    """Return how many lines a text takes in a column of so many characters, at most `MOST_LINES`."""
    room = column_width * _COLUMN_UNIT - _CELL_MARGIN
    lines = 0
    for part in text.split("\n"):
        lines += _wrapped(part, room / (_BOLDER if bold else 1))
        if lines >= MOST_LINES:
            return MOST_LINES
    return lines


def row_height(lines: int) -> float:
    """Return the height in points of a row of so many lines."""
    return lines * LINE_POINTS + PADDING_POINTS


def _wrapped(part: str, room: float) -> int:
    """Return the lines of one paragraph, broken at blanks and hyphens, or within a word longer than a line."""
    lines, used = 1, 0.0
    for word in part[: MOST_LINES * 400].replace("-", "- ").split(" "):
        width = sum(map(_width, word))
        if used and used + _WIDTHS[" "] + width > room:
            lines, used = lines + 1, 0.0
        elif used:
            used += _WIDTHS[" "]
        while width > room:
            lines, width = lines + 1, width - room
        used += width
    return lines


def _width(letter: str) -> float:
    return _WIDTHS.get(letter) or (_WIDE if east_asian_width(letter) in {"W", "F"} else _OTHER)
