"""Which register this is, the secret that seals its field packs, and whose field pack a field register is.

The seal tells a pack that was mixed up or damaged. It does not keep a thief out: the pack's own key travels with it.
"""

import hashlib
import hmac
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.services.settings import SECRET, keep_secret, setting
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Setting
from register.store.types import instant_text, new_key

FIELD_PACK: Final = "field_pack"


@dataclass(frozen=True, slots=True)
class FieldPack:
    """What a field pack says of itself. `sites` are codes, `items` counts what was sent; `head` ends the history.

    `key` seals this pack and what comes back of it; `rulebooks` are the versions that its items are judged by.
    """

    id: str
    register: str
    firm: str
    holder: str
    sites: tuple[str, ...]
    items: int
    made_at: datetime
    made_on: date
    expires_on: date
    head: str
    rulebooks: dict[str, str]
    key: str

    @property
    def words(self) -> str:
        """Whose pack it is, as the window's title and the status line say it."""
        of = f" of {self.firm}" if self.firm else ""
        return f"Field pack{of} for {self.holder} until {day_words(self.expires_on)}"

    def plain(self) -> dict[str, Any]:
        """Return the pack as JSON holds it."""
        return {
            **asdict(self), "sites": list(self.sites), "made_at": instant_text(self.made_at),
            "made_on": self.made_on.isoformat(), "expires_on": self.expires_on.isoformat(),
        }  # fmt: skip

    @classmethod
    def of(cls, said: Any) -> "FieldPack":  # noqa: ANN401 - whatever JSON holds
        """Return the pack that JSON describes. ValueError where it describes none."""
        if not isinstance(said, Mapping):
            raise TypeError("a field pack is described by an object")
        texts = ("id", "register", "firm", "holder", "head", "key")
        sites, rules, items = said["sites"], said["rulebooks"], said["items"]
        plain = [*(said[name] for name in texts), *sites, *rules, *rules.values()]
        if not all(isinstance(each, str) for each in plain) or not isinstance(items, int):
            raise TypeError("a part of the pack's description is of the wrong kind")
        return cls(
            **{name: said[name] for name in texts}, sites=tuple(sites), items=items, rulebooks=dict(rules),
            made_at=datetime.fromisoformat(said["made_at"]), made_on=date.fromisoformat(said["made_on"]),
            expires_on=date.fromisoformat(said["expires_on"]),
        )  # fmt: skip


def register_identity(change: Change) -> str:
    """Return the register's id, giving it one, and the secret of its packs, where it has none yet."""
    connection = change.session.connection()
    found = str(setting(connection, "register_id", "") or "")
    if not found:
        found = new_key()
        change.session.add(Setting(name="register_id", value=found))
        audit.log(change, Name.SETTING_CHANGE, found, setting="register_id", before=None, after=found)
    keep_secret(change)
    return found


def key_of(connection: Connection, pack_id: str) -> str:
    """Return the key that seals one pack; empty where this register has no secret, so made no pack."""
    secret = connection.execute(sa.select(Setting.value).where(Setting.name == SECRET)).scalar()
    if not isinstance(secret, str):
        return ""
    return hmac.new(secret.encode(), pack_id.encode(), hashlib.sha256).hexdigest()


def field_pack(connection: Connection) -> FieldPack | None:
    """Return whose field pack this register is; None where it is an office's own."""
    said = connection.execute(sa.select(Setting.value).where(Setting.name == FIELD_PACK)).scalar()
    if said is None:
        return None
    try:
        return FieldPack.of(said)
    except (KeyError, TypeError, ValueError, AttributeError):
        return None
