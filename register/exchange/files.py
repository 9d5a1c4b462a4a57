"""Writing an answer to a file, wholly or not at all."""

from pathlib import Path

from register.errors import Unavailable


def write_out(path: Path, content: bytes) -> None:
    """Write a file in place of any earlier one there; Unavailable where that can't be, and nothing is changed then."""
    beside = path.with_name(f".{path.name}.new")
    try:
        beside.write_bytes(content)
        beside.replace(path)
    except OSError as error:
        raise Unavailable(f"{path} can't be written: {error.strerror}. Choose another place.") from None
