"""What all that is drawn on paper has in common: its colours, wrapped lines, boxes to tick, tags cut to their room."""

from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QTextLayout, QTextOption

from ui.look import draw
from ui.look.theme import LIGHT, theme
from ui.look.typeface import font, unscaled, width

MARGIN: Final = 40.0
ACROSS: Final = 595 - 2 * MARGIN
TAG: Final = 104.0
"""How much room a tag has in its column."""


@contextmanager
def on_paper() -> Iterator[None]:
    """Draw in light colours and at the sizes of the drawings, whatever the window wears."""
    kept = theme.tokens
    theme.tokens = LIGHT
    try:
        with unscaled():
            yield
    finally:
        theme.tokens = kept


@lru_cache(maxsize=4_096)
def lines_of(said: str, across: float, size: int, weight: int = 400) -> tuple[str, ...]:
    """Return a text in the lines that it takes, a word too long for one broken within."""
    found: list[str] = []
    option = QTextOption()
    option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
    for part in said.splitlines():
        layout = QTextLayout(part, font(size, weight))
        layout.setTextOption(option)
        layout.beginLayout()
        while (line := layout.createLine()).isValid():
            line.setLineWidth(across)
            found.append(part[line.textStart() : line.textStart() + line.textLength()].rstrip())
        layout.endLayout()
    return tuple(found)


def tick_box(painter: QPainter, x: float, y: float) -> None:
    """Draw a box to be ticked by hand."""
    draw.box(painter, QRectF(x, y + 1, 11, 11), None, LIGHT.ink3, 2)


def tag(painter: QPainter, x: float, y: float, number: str) -> None:
    """Draw a tag, its number shortened where it is longer than its column."""
    room = TAG - 8 - (draw.tag_width("", 15, 10))
    shown_number = number
    while shown_number and width(shown_number, 10, 500, code=True) > room:
        shown_number = shown_number[:-1]
    draw.tag(painter, x, y - 1, number if shown_number == number else f"{shown_number[:-1]}…", 15, 10, 500, LIGHT.ink3)
