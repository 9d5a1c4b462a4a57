"""Reading all of a register and of its newest copies from time to time: damage is then found while copies help."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import Enum
from pathlib import Path
from typing import Final

from sqlalchemy.engine import Connection

from register.errors import Damaged, Unavailable
from register.services.check import Checked, check
from register.services.copying import Made, copy_now, copy_places, newest_copies
from register.services.settings import setting
from register.stopping import Stopped
from register.store.address import file_of
from register.store.engine import Register
from register.store.kept_copies import KeptCopy
from register.store.read_whole import THE_REGISTER, ReadWhole, note, notes_in
from register.store.restoring import Looked, read_back

WITHIN: Final = timedelta(days=7)
"""So long what was read whole is relied on (common practice, no source)."""


SOON_READ: Final = 50_000_000
"""A register of so many bytes is read within seconds (measured: 10 MB in a quarter of one)."""


class Due(Enum):
    """What is to be read whole."""

    NOTHING = "nothing"
    THE_REGISTER = "the register"
    ALL = "the register and its newest copies"


@dataclass(frozen=True, slots=True)
class LookedAfter:
    """What was found in the register, the copies that are none any more, and what was copied anew for them."""

    found: ReadWhole
    spoilt: tuple[Looked, ...]
    made: Made | None


def last_check(connection: Connection) -> ReadWhole | None:
    """Return when the register was last checked, and what was found; None where that is not known."""
    path = file_of(connection.engine)
    if path is None:
        return None
    found = (notes_in(folder, path.stem).get(THE_REGISTER) for folder in copy_places(connection))
    return max((each for each in found if each is not None), key=lambda each: each.at, default=None)


def note_check(connection: Connection, checked: Checked, now: datetime) -> ReadWhole:
    """Note what a check of the register found, beside its copies."""
    found, path = ReadWhole(now, checked.faults, checked.more), file_of(connection.engine)
    if path is not None:
        _note(path, copy_places(connection), found)
    return found


def is_due(connection: Connection, now: datetime) -> bool:
    """Whether the register, or the newest copy in a place, was not read whole for a week.

    Never of the sample, which is made anew each day, nor on a server, whose keeper cares for it.
    """
    if file_of(connection.engine) is None or setting(connection, "sample", default=False):
        return False
    last = last_check(connection)
    if last is None or now - last.at > WITHIN:
        return True
    return any(now - read > WITHIN for _copy, read in newest_copies(connection))


def what_is_due(connection: Connection, now: datetime, *, opened: bool, cut_off: bool) -> Due:
    """Return what is to be read in a quiet moment.

    A register that was just `opened` is read where that takes seconds; any that was `cut_off` in the middle of work.
    """
    path = file_of(connection.engine)
    if path is None or setting(connection, "sample", default=False):
        return Due.NOTHING
    soon = cut_off or path.stat().st_size < SOON_READ
    if is_due(connection, now):
        return Due.ALL if soon or not opened else Due.NOTHING
    return Due.THE_REGISTER if soon and opened else Due.NOTHING


def look_after(register: Register, now: datetime, *, copies: bool = True) -> LookedAfter:
    """Check the register and read the newest copy in each place, and note it; copy anew where a copy is spoilt.

    Damage is an answer here; Unavailable where the file can't be read at all.
    """
    with register.read() as connection:
        places, newest = copy_places(connection), [copy for copy, _read in newest_copies(connection) if copies]
    found = _found(register, now)
    assert register.path is not None
    _note(register.path, places, found)
    read = (_read(copy, register.path.stem, now) for copy in newest)
    spoilt = tuple(each for each in read if each is not None and each.fault)
    return LookedAfter(found, spoilt, copy_now(register, now) if spoilt and not found.faults else None)


def _found(register: Register, now: datetime) -> ReadWhole:
    try:
        with register.read() as connection:
            checked = check(connection)
    except Damaged as why:
        return ReadWhole(now, (str(why),))
    return ReadWhole(now, checked.faults, checked.more)


def _read(copy: KeptCopy, stem: str, now: datetime) -> Looked | None:
    """Read a copy whole, and note it beside the copy; None where it can't be read at present, which says nothing."""
    try:
        looked = read_back(copy)
    except Stopped:
        raise
    except Unavailable:
        return None
    note(copy.path.parent, stem, copy.path.name, ReadWhole(now, (looked.fault,) if looked.fault else ()))
    return looked


def _note(path: Path, places: Iterable[Path], found: ReadWhole) -> None:
    for folder in places:
        if folder.is_dir():
            note(folder, path.stem, THE_REGISTER, found)
