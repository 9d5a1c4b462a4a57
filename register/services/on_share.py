"""Saying once of a register that it is changed although it lies on a network drive, or taking that back."""

from contextlib import closing
from datetime import date, datetime
from pathlib import Path

from register.services.settings import set_setting, setting
from register.store.engine import open_register
from register.store.on_share import CHANGED_ON_SHARE


def change_on_share(path: Path, *, allowed: bool, actor: str, at: datetime, today: date) -> None:
    """Let a register be changed where it lies on a network drive, or only be looked at there from now on."""
    with closing(open_register(path)) as register, register.change(actor=actor, at=at, today=today) as change:
        set_setting(change, CHANGED_ON_SHARE, allowed or None)


def is_changed_on_share(path: Path) -> bool:
    """Return whether somebody said of a register that it is changed on a network drive."""
    with closing(open_register(path)) as register, register.read() as connection:
        return bool(setting(connection, CHANGED_ON_SHARE, default=False))
