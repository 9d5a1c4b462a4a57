"""Copies of the register as it lives: where they go, when one is due, and how safe the register is at present.

They go into the folder that the settings name, or into one beside the register where they name none; and into a
second one where that is named too. A copy counts once it was read back and found whole.
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from sqlalchemy.engine import Connection

from register.errors import Refused, Unavailable
from register.services.settings import setting
from register.stopping import Stopped
from register.store import chain, copies
from register.store.address import file_of
from register.store.copies import Copy
from register.store.engine import Register
from register.store.kept_copies import KeptCopy, copies_in, is_all_there
from register.store.read_whole import is_good, last_read, notes_in

ELSEWHERE_WITHIN: Final = timedelta(days=7)
"""A copy on another disk that is older says little of the register as it is (common practice, no source)."""
CALM: Final = "Copied to another disk."


@dataclass(frozen=True, slots=True)
class Made:
    """What became of copying: the copies that are good, and a sentence for each place that got none."""

    copies: tuple[Copy, ...]
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Safety:
    """How safe the register is: its newest copy, and the newest one on another disk; None where there is none.

    `words` say it in a sentence, `spoilt` what became of a newer copy that is none any more, `calm` whether nothing
    needs doing, `read` when the newest copy in each place was last read whole.
    """

    newest: KeptCopy | None
    elsewhere: KeptCopy | None
    words: str
    spoilt: str
    calm: bool
    read: tuple[tuple[KeptCopy, datetime], ...] = ()


def copy_places(connection: Connection) -> list[Path]:
    """Return the folders that copies go into; none for a register on a server, which is copied there."""
    path = file_of(connection.engine)
    if path is None:
        return []
    named = [setting(connection, name, "") for name in ("copies_folder", "second_copies_folder")]
    first = Path(named[0]) if named[0] else folder_beside(path)
    return [first, *([Path(named[1])] if named[1] else [])]


def folder_beside(path: Path) -> Path:
    """Return the folder beside a register that copies go into where no other is named."""
    return path.with_name(f"Copies of {path.stem}")


def copy_now(register: Register, now: datetime, *, before: str = "") -> Made:
    """Make a checked copy in each place, whatever was copied before.

    Stopped after a good copy was made, it tells of that one, and of the place that got none. Refused for a register on
    a server, whose keeper copies it.
    """
    with register.read() as connection:
        path, places = file_of(connection.engine), copy_places(connection)
    if path is None:
        raise Refused(copies.NOT_OF_A_SERVER)
    made: list[Copy] = []
    faults: list[str] = []
    for folder in places:
        try:
            if folder == folder_beside(path):
                make_folder(folder)
            made.append(copies.make_copy(register, folder, now, before=before))
        except Stopped:
            if folder == folder_beside(path):
                _leave_no_empty(folder)
            if not made:
                raise
            faults.append(f"Copying was stopped before there was one in {folder}.")
            break
        except Unavailable as why:
            if folder == folder_beside(path):
                _leave_no_empty(folder)
            faults.append(str(why))
    return Made(tuple(made), tuple(faults))


def _leave_no_empty(folder: Path) -> None:
    """Take a folder away again that was made for a copy that was not."""
    with suppress(OSError):  # other copies are in it
        folder.rmdir()


def copy_if_changed(register: Register, now: datetime, *, before: str = "") -> Made | None:
    """Make a checked copy in each place where the newest one is not of the register as it is; None where all are.

    The sample is not copied: it is made anew each day.
    """
    with register.read() as connection:
        path, places, end = file_of(connection.engine), copy_places(connection), chain.head(connection)
        sample = setting(connection, "sample", default=False)
    if path is None or sample or end.count == 0 or all(_is_of(folder, path.stem, end.hash) for folder in places):
        return None
    return copy_now(register, now, before=before)


def copy_before(register: Register, now: datetime, deed: str) -> str:
    """Make a checked copy before a deed, such as `merge`, unless there is one of the register as it is.

    Returns what kept a place from getting one, in sentences; empty where nothing did.
    """
    made = copy_if_changed(register, now, before=f"before-{deed}")
    return " ".join(made.faults) if made is not None else ""


def safety(connection: Connection, now: datetime) -> Safety | None:
    """Return how safe the register is at a moment; None for the sample, and for one on a server, whose keeper knows."""
    path = file_of(connection.engine)
    if path is None or setting(connection, "sample", default=False):
        return None
    good = newest_copies(connection)
    newest = _newest([copy for copy, _read in good])
    elsewhere = _newest([copy for copy, _read in good if _on_another_disk(copy.path.parent, path)])
    spoilt = _spoilt(connection, path.stem)
    words = _in_words(newest, elsewhere, now)
    return Safety(newest, elsewhere, spoilt + words, spoilt, not spoilt and words == CALM, tuple(good))


def newest_copies(connection: Connection) -> list[tuple[KeptCopy, datetime]]:
    """Return the newest good copy in each place, and when it was last read whole."""
    path, found = file_of(connection.engine), []
    for folder in copy_places(connection) if path is not None else ():
        stem = path.stem if path is not None else ""
        notes = notes_in(folder, stem)
        newest = next((each for each in _found(folder, stem) if is_good(each, notes)), None)
        if newest is not None:
            found.append((newest, last_read(newest, notes)))
    return found


def _spoilt(connection: Connection, stem: str) -> str:
    """Return what became of the newest copy in a place where it is none any more; empty where all are good."""
    firsts = [(folder, _found(folder, stem)[:1]) for folder in copy_places(connection)]
    bad = _newest([each for folder, some in firsts for each in some if not is_good(each, notes_in(folder, stem))])
    if bad is None:
        return ""
    how = "found damaged" if is_all_there(bad) else "cut short"
    return f"{bad.path.name} was {how}, so it is no copy any more. "


def _in_words(newest: KeptCopy | None, elsewhere: KeptCopy | None, now: datetime) -> str:
    if newest is None:
        return "No copy of this register yet."
    if elsewhere is None:
        return "No copy on another disk: a fault of this one takes both."
    if now - elsewhere.at > ELSEWHERE_WITHIN:
        return f"The last copy on another disk is {(now - elsewhere.at).days} days old."
    return CALM


def _is_of(folder: Path, stem: str, end: str) -> bool:
    newest = next(iter(_found(folder, stem)), None)
    return newest is not None and is_good(newest, notes_in(folder, stem)) and copies.end_of(newest.path) == end


def _found(folder: Path, stem: str) -> list[KeptCopy]:
    try:
        return copies_in(folder, stem)
    except Unavailable:
        return []


def _newest(found: Sequence[KeptCopy]) -> KeptCopy | None:
    return max(found, key=lambda copy: copy.at, default=None)


def _on_another_disk(folder: Path, path: Path) -> bool:
    try:
        return folder.stat().st_dev != path.stat().st_dev
    except OSError:
        return False


def make_folder(folder: Path) -> None:
    """Make a folder for copies where it is not there yet."""
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise Unavailable(
            f"The folder {folder} for copies can't be made ({error.strerror}). Name another under Firm, Settings."
        ) from error
