"""A register on a network drive is only looked at, until somebody says once, of this one, that it is changed there.

The answer stands among the register's own settings, so every computer that opens it heeds it. A sample needs none:
nothing is lost with it.
"""

from pathlib import Path
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.errors import Refused
from register.store.drive import is_share
from register.store.engine import Register, create_register, open_register, open_to_work_or_look
from register.store.tables import Setting

CHANGED_ON_SHARE: Final = "changed_on_share"
"""The setting that says so."""

ON_SHARE: Final = (
    "{name} lies on a network drive, where a change can be lost or spoil the file when the connection drops. Move it to"
    " a disk of this computer, or say once that it is changed there all the same, here or with the command share."
)
NO_UPGRADE: Final = (
    "{name} lies on a network drive, so it was not brought up to date. Move it to a disk of this computer and bring it"
    " up to date there; its copies may stay on the network."
)
NOT_MADE: Final = (
    "{name} would lie on a network drive, where a change can be lost or spoil the file when the connection drops; it"
    " was not made. Choose a folder on a disk of this computer, and let only copies go to the network."
)


def open_file(path: Path, only_looking: str = "") -> Register:
    """Open an existing register to work in, or to look at: as `open_to_work_or_look`, and on a network drive."""
    if only_looking or not is_share(path):
        return open_to_work_or_look(path, only_looking)
    looking = open_to_work_or_look(path, ON_SHARE.format(name=path.name))
    with looking.read() as connection:
        may_be_changed = _may_be_changed(connection)
    if not may_be_changed:
        return looking
    looking.close()
    return open_to_work_or_look(path)


def open_to_work(path: Path) -> Register:
    """Open an existing register to work in: as `open_register`, and on a network drive perhaps only to look at."""
    return open_file(path) if is_share(path) else open_register(path)


def create_to_work(path: Path) -> Register:
    """Make an empty register; refused on a network drive, where it would only be looked at."""
    if is_share(path.parent):
        raise Refused(NOT_MADE.format(name=path.name))
    return create_register(path)


def is_barred(only_looking: str) -> bool:
    """Whether the reason why a register is only looked at is that it lies on a network drive."""
    return only_looking.endswith(ON_SHARE.removeprefix("{name}"))


def check_upgrade(register: Register, path: Path) -> None:
    """Refuse to bring a register up to date on a network drive, where nobody said that it is changed there."""
    if is_share(path):
        with register.read() as connection:
            may_be_changed = _may_be_changed(connection)
        if not may_be_changed:
            raise Refused(NO_UPGRADE.format(name=register.name))


def _may_be_changed(connection: Connection) -> bool:
    names = (CHANGED_ON_SHARE, "sample")
    return True in connection.execute(sa.select(Setting.value).where(Setting.name.in_(names))).scalars().all()
