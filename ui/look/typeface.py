"""The typeface: one family in two cuts, bundled, with figures of equal width everywhere, and a third for codes.

No letter is exchanged for another as the type is set: a PDF could not say which character such a letter stands for, and
nobody could search for it. So the figures of equal width, the tailed l and the 0 and I of codes are the fonts' own.

Sizes are in the steps of the drawings (13 is body text) and grow with the user's own font size.
"""

import math
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from typing import Final

from PySide6.QtGui import QFont, QFontDatabase, QFontInfo, QFontMetricsF

from resources import RESOURCES

TEXT: Final = "Register Text"
DISPLAY: Final = "Register Display"
CODE: Final = "Register Code"
BODY: Final = 13
_DISPLAY_FROM: Final = 20
_CODE_SPACING: Final = 103
"""In percent: a spacing in pixels would be far wider on paper, which has more of them."""


class _Scale:
    """How much larger than drawn everything is: 1 for a system font of the usual size."""

    factor = 1.0


def load_fonts() -> None:
    """Make the bundled fonts known to Qt."""
    for path in sorted((RESOURCES / "fonts").glob("*.otf")):
        QFontDatabase.addApplicationFont(str(path))


def scale_of(system: QFont) -> float:
    """Return how much larger than usual the system's font is, in quarters; systems differ by less than that."""
    return max(1.0, math.floor(QFontInfo(system).pixelSize() / BODY * 4) / 4)


def set_scale(factor: float) -> None:
    """Set how much larger than drawn the type is, by the user's own font size."""
    _Scale.factor = min(max(factor, 0.8), 2.0)
    font.cache_clear()


@contextmanager
def unscaled() -> Iterator[None]:
    """Draw at the sizes of the drawings for a while, as on paper, whatever the user's own font size."""
    kept = _Scale.factor
    set_scale(1.0)
    try:
        yield
    finally:
        set_scale(kept)


def px(size: float) -> int:
    """Return a length of the drawings in pixels, grown with the type."""
    return round(size * _Scale.factor)


def family(*, display: bool, code: bool) -> QFont:
    """Return the font of large or small type, or of codes, where letters of other scripts are those of the text."""
    made = QFont(DISPLAY if display else TEXT)
    if code:
        made.setFamilies([CODE, TEXT])
    return made


@lru_cache(maxsize=256)
def font(size: int = BODY, weight: int = 400, *, code: bool = False) -> QFont:
    """Return the font of a step and weight; `code` tells 0 from O and 1 from l, for tags and serial numbers."""
    made = family(display=size >= _DISPLAY_FROM, code=code)
    made.setPixelSize(max(1, px(size)))
    made.setWeight(QFont.Weight(weight))
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    if code:
        made.setLetterSpacing(QFont.SpacingType.PercentageSpacing, _CODE_SPACING)
    return made


def width(text: str, size: int = BODY, weight: int = 400, *, code: bool = False) -> float:
    """Return how wide a text is, in pixels."""
    return QFontMetricsF(font(size, weight, code=code)).horizontalAdvance(text)
