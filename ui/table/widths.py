"""How the columns of a list share its width."""

from collections.abc import Sequence
from typing import Final

LEAST: Final = 120
"""What is left to the open column of a narrow list, in the steps of the drawings."""


def spread(widths: Sequence[int], grows: Sequence[bool], room: int, least: int, enough: int) -> list[int]:
    """Return the widths of columns in a room; those that `grows` marks, and the open one of width 0, take more.

    The open column takes what is left, and in a wide room no more than `enough`: all that grow share what is over by
    their widths, so that no column is cut while another stands empty. All in pixels.
    """
    left = room - sum(widths)
    filled = [width or max(least, min(left, enough)) for width in widths]
    growing = [not width or grow for width, grow in zip(widths, grows, strict=True)]
    over, whole = room - sum(filled), sum(width for width, grow in zip(filled, growing, strict=True) if grow)
    if over <= 0 or 0 not in widths:
        return filled
    shared = [width + over * width // whole * grow for width, grow in zip(filled, growing, strict=True)]
    shared[list(widths).index(0)] += room - sum(shared)
    return shared
