"""Room on a drive: which drive a file lies on, and what is said of one that is full."""

import errno
from pathlib import Path
from typing import Final

FULL: Final = frozenset({errno.ENOSPC, errno.EDQUOT})
"""What a system says of a drive, or of somebody's share of it, on which there is no more room."""

_MB: Final = 1_000_000


def is_full(error: OSError) -> bool:
    """Whether an error says that a drive is full."""
    return error.errno in FULL


def drive_of(path: Path) -> Path:
    """Return the drive that a path lies on, as the system names it: where it is mounted, or its letter."""
    real = path.resolve()
    return next(each for each in (real, *real.parents) if each.is_mount() or each == each.parent)


def room_for(size: int) -> str:
    """Return in words how much room something of so many bytes needs, rounded up: "1.3 MB"."""
    return f"{-(-size // (_MB // 10)) / 10:,.1f} MB"


def room_for_change(path: Path) -> int:
    """Return how many bytes a change of a register needs at most.

    SQLite first puts what it will overwrite into the journal; that is the whole file at the very most.
    """
    return max(_MB, path.stat().st_size if path.exists() else 0)
