"""The mask of a code (ISO/IEC 18004, evaluation of data masking): the one whose symbol has the fewest faults.

All modules of a symbol are the bits of one large number, so that a rule is held against every place at once.
"""

from functools import lru_cache
from typing import Final

import segno

MASKS: Final = range(8)
_AROUND: Final = 4
"""So many light modules lie between rows, and above and below: outside a symbol all is light."""

_DIGITS: Final = b"01" + bytes(254)


def modules_of(text: str) -> list[list[bool]]:
    """Return the modules of a text's code with error correction Q, row by row, dark ones true."""
    plain = text.isascii()  # other letters say how they are encoded, or readers guess
    made = segno.make_qr(
        text, mask=0, error="q", boost_error=False, encoding=None if plain else "utf-8", eci=not plain
    )  # fmt: skip
    size = len(made.matrix)
    changes = _changes(int(made.version))
    whole = _whole([bytes(row) for row in made.matrix])
    best = min((whole ^ change for change in changes), key=lambda tried: faults(tried, size))
    return _rows(best, size)


@lru_cache(maxsize=40)
def _changes(version: int) -> tuple[int, ...]:
    """Return which modules of a symbol of this version each mask turns, beside the first: the same for every text."""
    wholes = [
        _whole([bytes(row) for row in segno.make_qr("0", version=version, mask=mask, error="q",
                                                    boost_error=False).matrix])
        for mask in MASKS
    ]  # fmt: skip
    return tuple(whole ^ wholes[0] for whole in wholes)


def _whole(rows: list[bytes]) -> int:
    step = len(rows) + _AROUND
    whole = 0
    for place, row in enumerate(rows, start=_AROUND):
        whole |= int(row.translate(_DIGITS), 2) << (place * step)
    return whole


def _rows(whole: int, size: int) -> list[list[bool]]:
    step, mask = size + _AROUND, (1 << size) - 1
    rows = (f"{whole >> (place * step) & mask:0{size}b}" for place in range(_AROUND, size + _AROUND))
    return [[digit == "1" for digit in row] for row in rows]


def faults(dark: int, size: int) -> int:
    """Return how many points against it a symbol has, by the four rules of the standard."""
    step = size + _AROUND
    inside = _inside(size)
    light = inside ^ dark
    beyond = (1 << (step * (size + 2 * _AROUND))) - 1 ^ dark  # light, or outside the symbol
    points = 10 * (abs(2 * dark.bit_count() - size * size) * 10 // (size * size))
    for colour in (dark, light):
        pairs = colour & colour >> 1
        points += 3 * (pairs & pairs >> step).bit_count()
        points += _runs(colour, 1) + _runs(colour, step)
    return points + 40 * (_like_corners(dark, light, beyond, 1) + _like_corners(dark, light, beyond, step))


@lru_cache(maxsize=40)
def _inside(size: int) -> int:
    return _whole([b"\x01" * size] * size)


def _runs(colour: int, way: int) -> int:
    """Return the points for runs of five modules and more: three, and one for each module beyond five."""
    pairs = colour & colour >> way
    fives = pairs & pairs >> 2 * way & colour >> 4 * way
    return fives.bit_count() + 2 * (fives & ~(fives << way)).bit_count()


def _like_corners(dark: int, light: int, beyond: int, way: int) -> int:
    """Return how often modules lie like those of a corner mark, with four light ones before or after them."""
    centre = dark & dark >> 2 * way & dark >> 3 * way & dark >> 4 * way & dark >> 6 * way
    found = centre & light >> way & light >> 5 * way
    if not found:
        return 0
    after = beyond >> 7 * way & beyond >> 8 * way & beyond >> 9 * way & beyond >> 10 * way
    before = beyond << way & beyond << 2 * way & beyond << 3 * way & beyond << 4 * way
    return (found & (before | after)).bit_count()
