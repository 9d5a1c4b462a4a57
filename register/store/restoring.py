"""Putting a good copy in the place of a register that is damaged or was spoilt; what was there is kept aside."""

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from register.errors import Damaged, Refused, Unavailable
from register.stopping import Stopped
from register.store import chain
from register.store import upgrade as layouts
from register.store.chain import Head
from register.store.copies import settle
from register.store.engine import is_register, open_known
from register.store.kept_copies import ENDING, KeptCopy
from register.store.whole import spoilt

if TYPE_CHECKING:
    from register.store.upgrading import Tell

BESIDE = ("-journal", "-wal", "-shm")
"""What SQLite may have left beside a file: it belongs to that file alone, and would spoil the one put in its place."""


@dataclass(frozen=True, slots=True)
class Restored:
    """A register that was put back: from which copy, how many events it holds, and where the file before is now.

    `lost` is how many events the file before held beyond the copy's; None where it can't be read any more. `earlier`
    says that the copy was made by an earlier version, and brought up to date on its way.
    """

    copy: KeptCopy
    events: int
    kept_aside: Path | None
    lost: int | None
    earlier: bool


@dataclass(frozen=True, slots=True)
class Looked:
    """A copy that was looked at: how many events it holds, or the sentence that says why it can't be used."""

    copy: KeptCopy
    events: int = 0
    fault: str = ""


def looked_at(copies: Iterable[KeptCopy]) -> Iterator[Looked]:
    """Yield each copy with what is in it, opened and read whole without writing."""
    for each in copies:
        try:
            yield read_back(each)
        except Stopped:
            raise
        except Unavailable as reason:
            yield Looked(each, fault=str(reason))


def read_back(copy: KeptCopy) -> Looked:
    """Return what is in a copy, or why it is none any more; Unavailable where it can't be read at present."""
    try:
        return Looked(copy, _looked_into(copy.path)[0].count)
    except (Refused, Damaged) as reason:
        return Looked(copy, fault=str(reason))


def newest_good(copies: Iterable[KeptCopy]) -> Looked | None:
    """Return the newest of some copies that is whole; None where none is."""
    ordered = sorted(copies, key=lambda copy: copy.at, reverse=True)
    return next((each for each in looked_at(ordered) if not each.fault), None)


def lost_by(path: Path, copy: KeptCopy) -> int | None:
    """Return how many events putting a copy back would lose; None where one of the two can't be opened.

    What a damaged register says of itself is not believed.
    """
    try:
        open_known(path)[0].close()
        with closing(open_known(copy.path)[0]) as register, register.read() as connection:
            end = chain.head(connection)
    except (Refused, Unavailable):
        return None
    return _beyond(path, end)


def is_earlier(copy: KeptCopy) -> bool:
    """Whether a copy was made by an earlier version of the program."""
    try:
        register, found = open_known(copy.path)
    except (Refused, Unavailable):
        return False
    register.close()
    return found != layouts.HEAD


def is_spoilt(path: Path) -> bool:
    """Whether what stands at a path is no register of this program any more: overwritten, empty, or gone."""
    return not path.is_dir() and not is_register(path)


def restore(path: Path, copy: KeptCopy, at: datetime, tell: "Tell") -> Restored:
    """Put a copy in the place of a register, which must not be open; what stood there is kept aside under another name.

    The copy is read whole before anything is touched; one of an earlier version is brought up to date on its way, which
    `tell` writes into its history. Refused where it is no register, Unavailable where it is damaged, would lose
    something, or the drive can't take it: then everything is as it was.
    """
    end, found = _looked_into(copy.path)
    lost = _beyond(path, end)
    fresh = path.with_name(f"{path.name}.tmp")
    try:
        _copy(copy.path, fresh)
        if found != layouts.HEAD:
            _bring_up_to_date(fresh, copy.path, tell)
        aside = _set_aside(path, at)
        fresh.replace(path)
        settle(path.parent)
    except (OSError, sqlite3.Error) as error:
        raise Unavailable(
            f"The copy could not be put in the place of {path.name}: {_why(error)}. Check that the drive has room and"
            " can be written to, then try again."
        ) from error
    finally:
        fresh.unlink(missing_ok=True)
    return Restored(copy, end.count, aside, lost, found != layouts.HEAD)


def _bring_up_to_date(fresh: Path, copy: Path, tell: "Tell") -> None:
    from register.store.upgrading import bring_up_to_date

    with closing(open_known(fresh)[0]) as register:
        register.name = copy.name
        bring_up_to_date(register, copy, tell)
    settle(fresh)


def _looked_into(path: Path) -> tuple[Head, str]:
    """Return the end of a copy's history, and its layout, having read every page, every reference and the chain.

    One of today's layout is held row for row against its history as well.
    """
    register, found = open_known(path)
    with closing(register), register.read() as connection:
        fault = next(spoilt(connection, of_today=found == layouts.HEAD), None)
        if fault is not None:
            raise Damaged(f"The copy {path.name} is not whole: {fault} Choose an older one.")
        return chain.head(connection), found


def _beyond(path: Path, end: Head) -> int | None:
    """Return how many events a register holds beyond a copy's end; None where it can't be read, or never was there.

    It is read past the locks and whatever journal lies beside it: nothing of the file is touched before it is aside.
    """
    if not path.exists():
        return None
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro&immutable=1", uri=True)) as connection:
            same = end.count == 0 or chain.passed_in(connection, end)
            count = connection.execute("SELECT max(seq) FROM event").fetchone()[0]
    except (sqlite3.Error, UnicodeDecodeError):
        return None
    beyond = (count or 0) - end.count
    return beyond if same and beyond >= 0 else None  # a damaged file may hold less than the copy


def _copy(source: Path, target: Path) -> None:
    target.unlink(missing_ok=True)
    with (
        closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)) as copy,
        closing(sqlite3.connect(target)) as fresh,
    ):
        copy.backup(fresh)
    settle(target)


def _set_aside(path: Path, at: datetime) -> Path | None:
    """Give the file that stands there another name, with whatever SQLite left beside it."""
    if not path.exists():
        return None
    aside = _free(path.with_name(f"{path.stem}-set-aside-{at.astimezone(UTC):%Y-%m-%d-%H%M%SZ}{ENDING}"))
    for ending in BESIDE:
        beside = path.with_name(path.name + ending)
        if beside.exists():
            beside.replace(aside.with_name(aside.name + ending))
    path.replace(aside)
    return aside


def _free(path: Path) -> Path:
    """Return a name that nothing has yet."""
    free, number = path, 2
    while free.exists():
        free, number = path.with_name(f"{path.stem}-{number}{path.suffix}"), number + 1
    return free


def _why(error: OSError | sqlite3.Error) -> str:
    return (error.strerror if isinstance(error, OSError) else str(error)) or "the drive reported an error"
