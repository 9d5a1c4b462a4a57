"""Putting a copy of the register in its place, and telling the history of it."""

from contextlib import closing
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from pathlib import Path

from sqlalchemy.orm import Session

from register.errors import Refused, Unavailable
from register.services.copying import copy_places, folder_beside
from register.services.settings import setting
from register.services.upgrading import note_upgrade
from register.store import audit, restoring
from register.store.access import check_may
from register.store.audit import Name
from register.store.engine import open_known, open_register
from register.store.kept_copies import KeptCopy, copies_in
from register.store.lock import hold
from register.store.read_whole import forget
from register.store.restoring import Looked, Restored
from register.store.types import new_key


@dataclass(frozen=True, slots=True)
class WayBack:
    """A copy that could be put back, and how many changes that would lose; None where that is not known.

    One that was made by an `earlier` version of the program is brought up to date as it is put back.
    """

    copy: KeptCopy
    lost: int | None
    earlier: bool


def ways_back(path: Path) -> list[WayBack]:
    """Return the copies of a register, the newest good one first; none where no copy is good.

    The older ones are not read whole yet: that is done before one of them is put back.
    """
    good = newest_good(path)
    if good is None:
        return []
    older = [copy for copy in known_copies(path) if copy.at < good.copy.at]
    return [WayBack(copy, restoring.lost_by(path, copy), restoring.is_earlier(copy)) for copy in (good.copy, *older)]


def known_copies(path: Path) -> list[KeptCopy]:
    """Return the copies of a register, the newest first: where its settings say, or beside it if they can't be read."""
    found = [copy for folder in _places(path) for copy in copies_in(folder, path.stem)]
    return sorted(found, key=lambda copy: copy.at, reverse=True)


def newest_good(path: Path) -> Looked | None:
    """Return the newest copy of a register that is whole; None where there is none."""
    return restoring.newest_good(known_copies(path))


def put_back(path: Path, copy: KeptCopy, *, actor: str, at: datetime, today: date) -> Restored:
    """Put a copy in the place of a register, and write down that it was done; `InUse` where a window has it open.

    Refused, with everything as it was, for whoever the copy's own team does not let do that.
    """
    _check_may(copy, actor)
    held = hold(path, actor, at)
    try:
        tell = partial(note_upgrade, actor=actor, at=at, today=today, copy=copy.path.name)
        done = restoring.restore(path, copy, at, tell)
    finally:
        held.release()
    with closing(open_register(path)) as register, register.change(actor=actor, at=at, today=today) as change:
        key = setting(change.session.connection(), "register_id") or new_key()
        aside = done.kept_aside.name if done.kept_aside else None
        audit.log(change, Name.REGISTER_RESTORE, key, copy=copy.path.name, events=done.events, aside=aside)
        for folder in copy_places(change.session.connection()):
            forget(folder, path.stem)
    return done


def _check_may(copy: KeptCopy, actor: str) -> None:
    with closing(open_known(copy.path)[0]) as register, register.read() as connection:
        check_may(Session(bind=connection), actor, {Name.REGISTER_RESTORE}, ())


def _places(path: Path) -> list[Path]:
    try:
        with closing(open_known(path)[0]) as register, register.read() as connection:
            return copy_places(connection)
    except (Refused, Unavailable):
        return [folder_beside(path)]
