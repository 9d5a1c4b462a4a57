"""How the sheets of each source are read, remembered by their headings: corrections are made once for each source."""

from dataclasses import asdict, dataclass
from typing import Final

from sqlalchemy.engine import Connection

from register.services.settings import set_setting, setting
from register.store.engine import Change

MOST: Final = 100
"""So many are remembered; the one that was used longest ago goes first."""

_SETTING: Final = "sheet_mappings"


@dataclass(frozen=True, slots=True)
class Remembered:
    """How the sheets of one source are read: its name, what its headings hash to, and the mapping as text."""

    source: str
    heads: str
    text: str


def remembered(connection: Connection, heads: str) -> Remembered | None:
    """Return how sheets with these headings were read the last time; None where nobody had to say so."""
    kept = setting(connection, _SETTING, [])
    return next(
        (Remembered(each["source"], each["heads"], each["text"]) for each in kept if each["heads"] == heads), None
    )


def remember(change: Change, mapping: Remembered) -> None:
    """Keep how sheets with these headings are read; an empty text forgets it."""
    before = setting(change.session.connection(), _SETTING, [])
    others = [each for each in before if each["heads"] != mapping.heads]
    kept = ([asdict(mapping)] if mapping.text else []) + others
    if kept != before:
        set_setting(change, _SETTING, kept[:MOST] or None)
