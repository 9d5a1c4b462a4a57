"""The team: who may see and do what in a register, entered and ended by whoever keeps it."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.text import clean_text
from register.errors import Refused
from register.services.places import known_owner
from register.services.settings import setting
from register.store import audit
from register.store.access import Access, Role
from register.store.audit import Name
from register.store.engine import Change
from register.store.rights import admit, dismiss
from register.store.tables import Owner
from register.store.types import SQLITE, new_key


@dataclass(frozen=True, slots=True)
class Member:
    """A login, what it is, and the names of the owners whose sites it sees; none named are all of them."""

    login: str
    role: Role
    owners: tuple[str, ...]


def team(connection: Connection) -> list[Member]:
    """Return who is in the team, by login."""
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    rows = connection.execute(
        sa.select(Access.login, Access.role, Owner.name)
        .outerjoin(Owner, Owner.id == Access.owner_id)
        .order_by(Access.login, Owner.name)
    )
    for login, role, owner in rows:
        found[login, role] += [owner] if owner else []
    return [Member(login, Role(role), tuple(owners)) for (login, role), owners in found.items()]


def let_in(change: Change, login: str, role: Role, owners: Sequence[str]) -> Member:
    """Let somebody in, or give him another role or other owners; none named are all of them, later ones too."""
    login = clean_text(login)
    if not login:
        raise Refused("A login needs a name. Give the one that he logs in with.")
    connection = change.session.connection()
    keys: list[str | None] = [known_owner(connection, name) for name in owners]
    _forget(change, login)
    change.session.add_all(Access(login=login, role=role.value, owner_id=key) for key in keys or [None])
    change.session.flush()
    if connection.dialect.name != SQLITE:
        admit(connection, login, role)
    member = Member(login, role, tuple(sorted(owners)))
    _tell(change, Name.TEAM_IN, name=login, role=role.value, owners=member.owners)
    return member


def let_out(change: Change, login: str) -> None:
    """End what somebody may see and do; the history goes on naming him."""
    if not _forget(change, login):
        raise Refused(f"{login} is not in the team. Check the login.")
    if change.session.connection().dialect.name != SQLITE:
        dismiss(change.session.connection(), login)
    _tell(change, Name.TEAM_OUT, name=login)


def _tell(change: Change, name: Name, /, **facts: Any) -> None:  # noqa: ANN401 - facts of any plain kind
    """Write into the history who came or went: it is about the register as a whole."""
    audit.log(change, name, setting(change.session.connection(), "register_id") or new_key(), **facts)


def _forget(change: Change, login: str) -> bool:
    rows = change.session.scalars(sa.select(Access).where(Access.login == login)).all()
    for row in rows:
        change.session.delete(row)
    change.session.flush()
    return bool(rows)
