"""Bringing a register of an earlier layout up to date: never without a copy of it, and told in its history."""

from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from pathlib import Path

from sqlalchemy.engine import Connection
from sqlalchemy.orm import Session

from register.errors import Unavailable
from register.services.copying import copy_now, copy_places, make_folder
from register.services.settings import setting
from register.stopping import Stopped
from register.store import audit, chain, copies
from register.store import upgrade as layouts
from register.store.address import Address, Place
from register.store.audit import Name
from register.store.engine import Change, Register, open_known
from register.store.kept_copies import BEFORE_UPGRADE, copies_in
from register.store.lock import hold
from register.store.on_share import check_upgrade
from register.store.types import new_key


@dataclass(frozen=True, slots=True)
class Upgraded:
    """What was done: from which layout to which, and where the copy of the register as it was is.

    The layouts are the same where it was up to date; there is no copy then, nor where one was made by other means.
    """

    place: Place
    found: str
    layout: str
    copy: Path | None


def upgrade(
    place: Place, *, actor: str, at: datetime, today: date, step: Callable[[int], None] = lambda _step: None,
    copies_of_server: Path | None = None, copied: bool = False,
) -> Upgraded:  # fmt: skip
    """Bring a register of an earlier layout up to date; `InUse` where a window has its file open.

    `step` is told what is under way: 0 the copy, 1 the new layout, 2 holding the one against the other.

    On a server that is for the login that owns the tables, and another that is at it is waited for. Its copy is a file
    in the folder `copies_of_server`, or in `folder_for_copies`; none is made where it was `copied` by other means.

    Unavailable, with the register as it was, where it can't be copied first, something would be lost, or the disk says
    no.
    """
    tell = partial(note_upgrade, actor=actor, at=at, today=today)
    if isinstance(place, Address):
        from register.store.server_upgrading import bring_server_up_to_date

        copying = None if copied else partial(_copy_from_server, place, copies_of_server, at)
        found, copy = bring_server_up_to_date(place, copying, tell, step)
        return Upgraded(place, found, layouts.HEAD, copy)
    register, found = open_known(place)  # what is no such register is refused before the lock of one lies beside it
    with closing(register):
        copy = None if found == layouts.HEAD else _brought_up(register, place, actor, at, tell, step)
    return Upgraded(place, found, layouts.HEAD, copy)


def _brought_up(
    register: Register, path: Path, actor: str, at: datetime, tell: Callable[..., None], step: Callable[[int], None]
) -> Path:
    """Copy a register, bring it up to date, and return the copy."""
    from register.store.upgrading import bring_up_to_date

    check_upgrade(register, path)
    held = hold(path, actor, at)
    try:
        step(0)
        copy = _copy_of(register, path, at)
        bring_up_to_date(register, copy, partial(tell, copy=copy.name), step)
        return copy
    finally:
        held.release()


def note_upgrade(connection: Connection, found: str, *, actor: str, at: datetime, today: date, copy: str = "") -> None:
    """Write into the history that the register was brought up to date."""
    change = Change(Session(bind=connection, expire_on_commit=False), actor, at, today)
    key = setting(connection, "register_id") or new_key()
    audit.log(change, Name.REGISTER_UPGRADE, key, before=found, after=layouts.HEAD, copy=copy or None)


def _copy_of(register: Register, path: Path, at: datetime) -> Path:
    """Return a copy of the register as it is: the one of an earlier attempt, else a new one."""
    with register.read() as connection:
        end, places = chain.head(connection), copy_places(connection)
    earlier = next((copy for folder in places if (copy := _earlier_copy(folder, path.stem, end))), None)
    if earlier is not None:
        return earlier
    made = copy_now(register, at, before=BEFORE_UPGRADE)
    if not made.copies:
        raise Unavailable(f"{path.name} was not brought up to date, because it could not be copied. {made.faults[0]}")
    return made.copies[0].path


def _earlier_copy(folder: Path, stem: str, end: chain.Head) -> Path | None:
    """Return the copy that an earlier attempt made of a register whose history has this end."""
    made = (each.path for each in copies_in(folder, stem) if each.before == BEFORE_UPGRADE)
    return next((path for path in made if copies.end_of(path) == end.hash), None)


def folder_for_copies(place: Address) -> Path:
    """Return the folder on this computer that a register on a server is copied into where no other is named."""
    return Path.home() / f"Copies of {place.url.database}"


def _copy_from_server(place: Address, named: Path | None, at: datetime, connection: Connection, layout: str) -> Path:
    """Return a file with a register on a server as it is: the copy of an earlier attempt, else a new one."""
    from register.store.server_copies import copy_into_file

    folder, stem = named or folder_for_copies(place), str(place.url.database)
    if named is None:
        make_folder(folder)
    earlier = _earlier_copy(folder, stem, chain.head(connection))
    if earlier is not None:
        return earlier
    try:
        return copy_into_file(connection, layout, folder, stem, at).path
    except Stopped:
        raise
    except Unavailable as why:
        raise Unavailable(f"{place.name} was not brought up to date, because it could not be copied. {why}") from why
