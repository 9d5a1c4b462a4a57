"""The copies of a register that lie in a folder: which they are, and which are let go as they grow older.

Everything of the last two days is kept; of the time before that one a day, then one a week, then one a month. Copies
made before an upgrade of the layout are kept for a year beside these.
"""

import re
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from os import SEEK_END
from pathlib import Path
from typing import Final

from register.errors import Unavailable

ENDING: Final = ".register"
BEFORE_UPGRADE: Final = "before-upgrade"

ALL_FOR: Final = timedelta(days=2)
DAYS, WEEKS, MONTHS = 14, 10, 12
UPGRADES_FOR: Final = timedelta(days=365)


_HEADER: Final = 100
_MAGIC: Final = b"SQLite format 3\0"


@dataclass(frozen=True, slots=True)
class KeptCopy:
    """A copy by its name: when it was made (UTC) and before what; empty where only time had passed."""

    path: Path
    at: datetime
    before: str = ""
    number: int = 1


def copies_in(folder: Path, stem: str) -> list[KeptCopy]:
    """Return the copies of the register of a name in a folder, the newest first; none where the folder is not there."""
    try:
        names = [path for path in folder.iterdir() if path.name.startswith(stem)] if folder.is_dir() else []
    except OSError as error:
        raise Unavailable(
            f"The folder {folder} can't be read, so its copies are not known. Check its drive."
        ) from error
    return sorted(filter(None, (_named(path, stem) for path in names)), key=_newest_last, reverse=True)


def is_all_there(copy: KeptCopy) -> bool:
    """Whether a copy is as long as its own first page says: one that was cut short later is none to rely on.

    That is seen at a glance; whether every page is sound shows only when all of it is read.
    """
    try:
        with copy.path.open("rb") as file:
            first = file.read(_HEADER)
            length = file.seek(0, SEEK_END)
    except OSError:
        return False
    if len(first) < _HEADER:
        return False
    size, pages = int.from_bytes(first[16:18], "big"), int.from_bytes(first[28:32], "big")
    return first.startswith(_MAGIC) and length == pages * size


def copy_name(stem: str, at: datetime, before: str = "") -> str:
    """Return the name, without its ending, of a copy made at a moment."""
    made = f"{stem}-{at.astimezone(UTC):%Y-%m-%d-%H%M%SZ}"
    return f"{made}-{before}" if before else made


def _named(path: Path, stem: str) -> KeptCopy | None:
    found = _NAME.fullmatch(path.name.removeprefix(stem))
    if found is None:
        return None
    try:
        at = datetime.strptime(found["at"], "%Y-%m-%d-%H%M%S").replace(tzinfo=UTC)
    except ValueError:
        return None
    return KeptCopy(path, at, found["before"] or "", int(found["number"] or 1))


_NAME: Final = re.compile(
    r"-(?P<at>\d{4}-\d\d-\d\d-\d{6})Z(?:-(?P<before>before-[a-z]+))?(?:-(?P<number>\d+))?" + re.escape(ENDING)
)


def _newest_last(copy: KeptCopy) -> tuple[datetime, int]:
    return copy.at, copy.number


def to_let_go(copies: Iterable[KeptCopy], now: datetime) -> list[KeptCopy]:
    """Return the copies that are not needed any more, by the rule that stands above."""
    ordered = sorted(copies, key=_newest_last, reverse=True)
    kept = set(_kept([each for each in ordered if each.before != BEFORE_UPGRADE], now))
    return [each for each in ordered if each not in kept and not _guards_an_upgrade(each, now)]


def _guards_an_upgrade(copy: KeptCopy, now: datetime) -> bool:
    return copy.before == BEFORE_UPGRADE and copy.at > now - UPGRADES_FOR


def _kept(ordered: Sequence[KeptCopy], now: datetime) -> Iterator[KeptCopy]:
    recent = [each for each in ordered if each.at > now - ALL_FOR]
    yield from recent
    rest = ordered[len(recent) :]
    for most, period in ((DAYS, _day), (WEEKS, _week), (MONTHS, _month)):
        chosen = _one_of_each(rest, most, period)
        yield from chosen
        rest = [each for each in rest if period(each) < period(chosen[-1])]


def _one_of_each(ordered: Sequence[KeptCopy], most: int, period: "_Period") -> list[KeptCopy]:
    """Return the newest copy of each of the latest periods that have one."""
    newest: dict[Hashable, KeptCopy] = {}
    for each in ordered:
        newest.setdefault(period(each), each)
    return list(newest.values())[:most]


_Period = Callable[[KeptCopy], tuple[int, ...]]


def _day(copy: KeptCopy) -> tuple[int, ...]:
    return copy.at.year, copy.at.month, copy.at.day


def _week(copy: KeptCopy) -> tuple[int, ...]:
    return tuple(copy.at.isocalendar()[:2])


def _month(copy: KeptCopy) -> tuple[int, ...]:
    return copy.at.year, copy.at.month
