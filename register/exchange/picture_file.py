"""Reading the file of a photo, weighed before it is read."""

from pathlib import Path
from typing import Final

from register.errors import Refused, Unavailable

LARGEST: Final = 25_000_000
"""So many bytes the file of a photo has at most; a telephone's has 3 to 12 million (common practice, no source)."""


def read_picture(path: Path, largest: int = LARGEST) -> bytes:
    """Return what a file holds.

    Refused, unread, where it is no file or too large; Unavailable where it can't be read.
    """
    try:
        if path.exists() and not path.is_file():
            raise Refused(f"“{path.name}” is not a file. Choose a photo.")
        size = path.stat().st_size
        if size > largest:
            raise Refused(
                f"“{path.name}” has {size / 1e6:,.0f} MB; a photo has at most {largest / 1e6:,.0f} MB. Choose a smaller"
                " one."
            )
        with path.open("rb") as file:
            return file.read(largest + 1)
    except FileNotFoundError:
        raise Unavailable(f"There is no file “{path.name}” in {path.parent}. Check the name and the drive.") from None
    except OSError as error:
        raise Unavailable(f"“{path.name}” can't be read: {error.strerror}. Check the drive and try again.") from error
