"""A disk that loses its power: it keeps what was synced, and of the rest some whole, some torn and some not at all.

SQLite writes through a layer that notes every write, sync and deletion; afterwards the power can be cut at any point of
that log, again and again, and each time a file is made of what a disk might then hold.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any, Final

import apsw

SECTOR: Final = 512
KEPT, TORN = 0.4, 0.2
"""How much of what was not synced is kept whole, and how much is torn between sectors."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that was done to a file: write, truncate, sync, or delete (`at` 1 where the folder was synced too)."""

    deed: str
    file: str
    at: int = 0
    data: bytes = b""


@dataclass(slots=True)
class Log:
    """Everything that was done to the files, in order; `promised` says after how many steps each commit was kept."""

    steps: list[Step] = field(default_factory=list)
    promised: list[int] = field(default_factory=list)

    def promise(self) -> None:
        """Note that a commit was acknowledged."""
        self.promised.append(len(self.steps))


class NotedFile(apsw.VFSFile):
    """A file whose writes are noted."""

    def __init__(self, name: Any, flags: list[int], log: Log) -> None:  # noqa: ANN401 - the library's own name of a file
        super().__init__("", name, flags)
        self._name, self._log = Path(_name_of(name)).name, log

    def xWrite(self, data: bytes, offset: int) -> None:  # noqa: N802 - the library's name
        """Write, and note it."""
        super().xWrite(data, offset)
        self._log.steps.append(Step("write", self._name, offset, bytes(data)))

    def xTruncate(self, newsize: int) -> None:  # noqa: N802
        """Cut the file, and note it."""
        super().xTruncate(newsize)
        self._log.steps.append(Step("truncate", self._name, newsize))

    def xSync(self, flags: int) -> None:  # noqa: N802
        """Note that everything so far is on the disk; the real disk is not waited for."""
        self._log.steps.append(Step("sync", self._name, flags))


class NotedDisk(apsw.VFS):
    """A layer under SQLite, to be named when a connection is made."""

    def __init__(self, name: str, log: Log) -> None:
        super().__init__(name, "")
        self._log = log

    def xOpen(self, name: Any, flags: list[int]) -> apsw.VFSFile:  # noqa: ANN401, N802
        """Open a file; those without a name are SQLite's own scratch files."""
        return apsw.VFSFile("", None, flags) if name is None else NotedFile(name, flags, self._log)

    def xDelete(self, filename: str, syncdir: bool) -> None:  # noqa: FBT001, N802
        """Delete a file, and note whether the folder was synced."""
        super().xDelete(filename, syncdir)
        self._log.steps.append(Step("delete", Path(filename).name, int(syncdir)))


def _name_of(name: Any) -> str:  # noqa: ANN401
    return name.filename() if isinstance(name, apsw.URIFilename) else str(name)


@dataclass(slots=True)
class _File:
    """What is surely on the disk of a file (None where it is not there), and what may or may not be."""

    sure: bytearray | None = None
    loose: list[Step] = field(default_factory=list)


def cuts(log: Log, places: Sequence[int], rng: Random) -> Iterator[tuple[int, dict[str, bytes]]]:
    """Yield for each place in the log (ascending) what the disk holds if the power is cut just before that step."""
    files: dict[str, _File] = {}
    done = 0
    for place in places:
        for step in log.steps[done:place]:
            _note(files.setdefault(step.file, _File()), step)
        done = place
        yield place, {name: held for name, file in files.items() if (held := _held(file, rng)) is not None}


def _note(file: _File, step: Step) -> None:
    if step.deed == "delete" and step.at:
        file.sure, file.loose = None, []
    elif step.deed == "sync":
        for each in file.loose:
            file.sure = _applied(file.sure, each)
        file.loose = []
    else:
        file.loose.append(step)


def _held(file: _File, rng: Random) -> bytes | None:
    """Return what the disk may hold of a file; None where it is not there."""
    content = None if file.sure is None else bytearray(file.sure)
    for step in file.loose:
        chance = rng.random()
        if step.deed == "delete":
            content = None if chance < 1 / 2 else content
        elif chance < KEPT:
            content = _applied(content, step)
        elif chance < KEPT + TORN and step.deed == "write":
            content = _torn(content, step, rng)
    return None if content is None else bytes(content)


def _applied(content: bytearray | None, step: Step) -> bytearray | None:
    if step.deed == "delete":
        return None
    whole = bytearray() if content is None else content
    if step.deed == "truncate":
        del whole[step.at :]
        return whole
    whole.extend(bytes(max(0, step.at - len(whole))))
    whole[step.at : step.at + len(step.data)] = step.data
    return whole


def _torn(content: bytearray | None, step: Step, rng: Random) -> bytearray | None:
    """Write some sectors, leave others, and fill the rest with what a disk may leave there."""
    for start in range(0, len(step.data), SECTOR):
        part = step.data[start : start + SECTOR]
        chance = rng.random()
        if chance < 1 / 2:
            content = _applied(content, Step("write", step.file, step.at + start, part))
        elif chance < 3 / 4:
            content = _applied(content, Step("write", step.file, step.at + start, rng.randbytes(len(part))))
    return content
