"""Bringing a register of an earlier layout up to date: never without a copy of it, and told in its history."""

from contextlib import closing
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from register.errors import Unavailable
from register.services.copying import copy_now, copy_places
from register.services.settings import setting
from register.store import audit, chain, copies
from register.store import upgrade as layouts
from register.store.audit import Name
from register.store.engine import Register, open_earlier, open_register
from register.store.kept_copies import BEFORE_UPGRADE, copies_in
from register.store.lock import hold
from register.store.on_share import check_upgrade
from register.store.types import new_key


@dataclass(frozen=True, slots=True)
class Upgraded:
    """What was done: from which layout to which, and where the copy of the register as it was is."""

    path: Path
    found: str
    layout: str
    copy: Path


def upgrade(path: Path, *, actor: str, at: datetime, today: date) -> Upgraded:
    """Bring a register of an earlier layout up to date; `InUse` where a window has it open.

    Unavailable, with the register as it was, where no copy can be made first, something would be lost, or the disk
    says no.
    """
    from register.store.upgrading import bring_up_to_date

    with closing(open_earlier(path)) as register:  # refused before the lock of a register lies beside what is none
        check_upgrade(register, path)
    held = hold(path, actor, at)
    try:
        with closing(open_earlier(path)) as register:
            with register.read() as connection:
                found = str(layouts.revision(connection))
            copy = _copy_of(register, path, at)
            bring_up_to_date(register, copy)
    finally:
        held.release()
    with closing(open_register(path)) as register, register.change(actor=actor, at=at, today=today) as change:
        key = setting(change.session.connection(), "register_id") or new_key()
        audit.log(change, Name.REGISTER_UPGRADE, key, before=found, after=layouts.HEAD, copy=copy.name)
    return Upgraded(path, found, layouts.HEAD, copy)


def _copy_of(register: Register, path: Path, at: datetime) -> Path:
    """Return a copy of the register as it is: the one of an earlier attempt, else a new one."""
    with register.read() as connection:
        end, places = chain.head(connection), copy_places(connection)
    for folder in places:
        for each in copies_in(folder, path.stem):
            if each.before == BEFORE_UPGRADE and copies.end_of(each.path) == end.hash:
                return each.path
    made = copy_now(register, at, before=BEFORE_UPGRADE)
    if not made.copies:
        raise Unavailable(f"{path.name} was not brought up to date, because it could not be copied. {made.faults[0]}")
    return made.copies[0].path
