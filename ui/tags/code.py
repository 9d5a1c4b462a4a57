"""The code on a tag (QR, ISO/IEC 18004): the tag number alone, as one outline, its module a whole number of dots."""

from functools import lru_cache
from itertools import pairwise
from typing import Final, NamedTuple

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath

from ui.tags.masking import modules_of

QUIET: Final = 4
"""So many modules around a code stay white."""

DOT: Final = 0.125
"""The dot of a label printer of 203 dpi, in mm: 8 to the mm."""

FEWEST_DOTS, MOST_DOTS = 2, 5


class Code(NamedTuple):
    """A code: how many modules it is wide, and its dark ones as an outline, one unit a module."""

    modules: int
    outline: QPainterPath

    @property
    def across(self) -> int:
        """How many modules it takes with the white around it."""
        return self.modules + 2 * QUIET

    def module_in(self, room: float) -> float:
        """Return how many mm a module has in a square of `room` mm; 0 where it would be too fine to print."""
        dots = min(int(room / self.across / DOT + 1e-9), MOST_DOTS)
        return dots * DOT if dots >= FEWEST_DOTS else 0.0


@lru_cache(maxsize=512)
def code_of(number: str) -> Code:
    """Return the code of a tag number: error correction Q, so that a quarter of it may be worn away."""
    matrix = modules_of(number)
    return Code(len(matrix), _outline(matrix))


def _outline(dark: list[list[bool]]) -> QPainterPath:
    """Return the edges between dark and light as closed lines, so that no seam shows between modules."""
    turns = _edges(dark)
    path = QPainterPath()
    while turns:
        start = next(iter(turns))
        at, heading = start, (0, 0)
        path.moveTo(QPointF(*at))
        while at in turns:
            ways = turns[at]
            way = ways.pop(_sharpest(ways, heading))
            if not ways:
                del turns[at]
            if way != heading:
                path.lineTo(QPointF(*at))
            at, heading = (at[0] + way[0], at[1] + way[1]), way
            if at == start:
                break
        path.closeSubpath()
    return path


_Step = tuple[int, int]


def _sharpest(ways: list[_Step], heading: _Step) -> int:
    """Return which way goes on around the same module where two dark ones touch at a corner."""
    turned = (-heading[1], heading[0])
    return ways.index(turned) if turned in ways else 0


def _edges(dark: list[list[bool]]) -> dict[_Step, list[_Step]]:
    """Return from each corner the steps along dark modules, which lie to the right of the step."""
    found: dict[_Step, list[_Step]] = {}
    size = len(dark)
    light = [False] * size
    for y, (above, row) in enumerate(pairwise([light, *dark, light])):
        for x in range(size):
            if above[x] != row[x]:
                corner, way = ((x, y), (1, 0)) if row[x] else ((x + 1, y), (-1, 0))
                found.setdefault(corner, []).append(way)
    for x, (before, column) in enumerate(pairwise([light, *zip(*dark, strict=True), light])):
        for y in range(size):
            if before[y] != column[y]:
                corner, way = ((x, y + 1), (0, -1)) if column[y] else ((x, y), (0, 1))
                found.setdefault(corner, []).append(way)
    return found
