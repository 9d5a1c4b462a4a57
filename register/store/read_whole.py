"""When a register, and each copy of it, was last read whole, and what was found: noted beside the copies.

Bits turn over on disks that nobody reads. The note is a small file in the folder of the copies; without it, or where
it can't be read, everything counts as not read since it was made.
"""

import json
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

from register.store.kept_copies import KeptCopy, is_all_there

ENDING: Final = "-read-whole.json"
_LARGEST: Final = 1_000_000
_MOST: Final = 6


@dataclass(frozen=True, slots=True)
class ReadWhole:
    """When a file was read whole, and what is wrong with it: the first few sentences, and how many more there are."""

    at: datetime
    faults: tuple[str, ...] = ()
    more: int = 0


Notes = Mapping[str, ReadWhole]
"""What was found, by the names of the copies."""

THE_REGISTER: Final = "the register"
"""Stands for the register itself, which is no file of the folder."""


def notes_in(folder: Path, stem: str) -> Notes:
    """Return what is noted in a folder of the copies of a register; nothing where that can't be read."""
    path = folder / f"{stem}{ENDING}"
    try:
        text = path.read_text(encoding="utf-8") if path.stat().st_size < _LARGEST else "{}"
        return {str(name): _note(said) for name, said in json.loads(text).items()}
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return {}


def note(folder: Path, stem: str, name: str, found: ReadWhole) -> None:
    """Note what was found of a file; on a drive that can't be written nothing is noted, and it is read again sooner."""
    _write(folder, stem, {**notes_in(folder, stem), name: found})


def forget(folder: Path, stem: str) -> None:
    """Forget what was found of the register: another file stands in its place now."""
    _write(folder, stem, {name: found for name, found in notes_in(folder, stem).items() if name != THE_REGISTER})


def _write(folder: Path, stem: str, notes: Notes) -> None:
    path = folder / f"{stem}{ENDING}"
    there = {each: found for each, found in notes.items() if each == THE_REGISTER or (folder / each).exists()}
    said = {each: _plain(found) for each, found in there.items()}
    beside = path.with_name(f"{path.name}.tmp")
    with suppress(OSError):
        beside.write_text(json.dumps(said, indent=1), encoding="utf-8")
        beside.replace(path)
    with suppress(OSError):
        beside.unlink(missing_ok=True)


def is_good(copy: KeptCopy, notes: Notes) -> bool:
    """Whether a copy is all there, and nothing wrong was found when it was last read; both are told at a glance."""
    return is_all_there(copy) and not _is_spoilt(copy, notes.get(copy.path.name))


def last_read(copy: KeptCopy, notes: Notes) -> datetime:
    """Return when a copy was last read whole: that is part of making it."""
    found = notes.get(copy.path.name)
    return max(copy.at, found.at) if found is not None else copy.at


def _is_spoilt(copy: KeptCopy, found: ReadWhole | None) -> bool:
    """Whether a copy was found spoilt, and nobody has put another file in its place since."""
    if found is None or not found.faults:
        return False
    try:
        return copy.path.stat().st_mtime <= found.at.timestamp()
    except OSError:
        return True


def _note(said: Mapping[str, Any]) -> ReadWhole:
    at = datetime.fromisoformat(said["at"])
    if at.tzinfo is None:
        raise ValueError("a moment without a zone")
    return ReadWhole(at, tuple(map(str, said["faults"]))[:_MOST], int(said["more"]))


def _plain(found: ReadWhole) -> dict[str, Any]:
    more = found.more + max(0, len(found.faults) - _MOST)
    return {"at": found.at.astimezone(UTC).isoformat(), "faults": found.faults[:_MOST], "more": more}
