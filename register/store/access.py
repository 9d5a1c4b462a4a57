"""Who may see and do what: logins, their roles, and the owners whose sites they see.

A register in a file without a single login is its keeper's alone, and nothing in it is refused. On a server the
database itself holds everybody to the same rules, besides: `rights` tells it how.
"""

from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from enum import StrEnum
from typing import Any, Final, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Connection
from sqlalchemy.orm import Mapped, Session, mapped_column

from register.errors import Refused
from register.store.amended import Correction
from register.store.bulk import chunks
from register.store.owner_queries import OwnerQuery
from register.store.photos import WithdrawalPhoto
from register.store.tables import (
    Area,
    CodeAside,
    Item,
    Keyed,
    Mark,
    Override,
    Owner,
    Record,
    Site,
    Table,
    Withdrawal,
)
from register.store.types import SQLITE, Key


class Role(StrEnum):
    """What somebody is: runs the work, does it on site, or looks at it."""

    CONTRACTOR = "contractor"
    ASSISTANT = "assistant"
    REVIEWER = "reviewer"


class Access(Keyed, Table):
    """A login, what it is, and an owner whose sites it sees: all owners, later ones too, where none is named."""

    __tablename__ = "access"
    __table_args__ = (sa.UniqueConstraint("login", "owner_id"), {"sqlite_strict": True})
    login: Mapped[str]
    role: Mapped[str]
    owner_id: Mapped[str | None] = mapped_column(Key, sa.ForeignKey("owner.id"))


class Granted(NamedTuple):
    """What somebody may: his role, and the owners whose sites he sees; None for all."""

    role: Role
    owners: frozenset[str] | None


ON_SITE: Final = frozenset({
    "record:add", "record:correct", "mark:add", "withdrawal:open", "withdrawal:change", "withdrawal:end", "photo:add",
    "item:add", "item:change", "tag:add", "area:add", "code:aside", "code:settle",
    "tester:add", "instrument:add", "register:undo", "register:redo",
})  # fmt: skip
"""The events that an assistant's work makes."""

OF_THE_FIRM: Final = frozenset({
    "register:create", "setting:change", "register:restore", "owner:add", "tag-range:add", "tag-range:end",
    "tester:change", "instrument:change", "van:add", "van:change", "week:plan",
    "intake:take", "register:redate", "pack:make", "pack:merge", "pack:settle", "records:let-go",
})  # fmt: skip
"""The events of what belongs to no owner: for whoever sees all of them."""

OF_THE_KEEPER: Final = frozenset({"register:upgrade", "team:let-in", "team:let-out"})
"""The events of what whoever has the file, or owns the tables, does to the register as a whole."""

_NOBODY: Final = "{who} is not in the team of this register, so nothing was changed. Ask the contractor."
_NOT_HIS: Final = "That is not for {what}, so nothing was changed. Leave it to a contractor."
_NOT_THERE: Final = "That is an owner's whose sites {who} does not see, so nothing was changed. Ask the contractor."
_NOT_ALL: Final = "That concerns all owners, and {who} sees only some, so nothing was changed. Ask the contractor."
_MANY: Final = 500
_GRANTED: Final = "what whoever makes the change may do"


def check_may(session: Session, actor: str, names: AbstractSet[str], subjects: Iterable[str]) -> None:
    """Refuse a change that makes events of some names, of some subjects, which whoever makes it may not make."""
    if names <= OF_THE_KEEPER:
        return
    granted = _granted(session, actor)
    if granted is None:
        return
    if granted.role is Role.REVIEWER or (granted.role is Role.ASSISTANT and names - ON_SITE):
        raise Refused(_NOT_HIS.format(what=f"a{'n' if granted.role is Role.ASSISTANT else ''} {granted.role.value}"))
    if granted.owners is None:
        return
    if names & OF_THE_FIRM:
        raise Refused(_NOT_ALL.format(who=actor))
    if owners_of(session.connection(), set(subjects)) - granted.owners:
        raise Refused(_NOT_THERE.format(who=actor))


def granted(connection: Connection, actor: str) -> Granted | None:
    """Return what somebody may; None where the register knows no logins. Refused for whoever has none of them."""
    if connection.dialect.name != SQLITE:
        actor = connection.exec_driver_sql("SELECT session_user").scalar_one()
    rows = connection.execute(sa.select(Access.login, Access.role, Access.owner_id)).all()
    mine = [(role, owner) for login, role, owner in rows if login == actor]
    if not mine:
        if rows:
            raise Refused(_NOBODY.format(who=actor))
        return None
    owners = frozenset(owner for _role, owner in mine if owner is not None)
    return Granted(Role(mine[0][0]), None if any(owner is None for _role, owner in mine) else owners)


def _granted(session: Session, actor: str) -> Granted | None:
    if _GRANTED not in session.info:
        session.info[_GRANTED] = granted(session.connection(), actor)
    found: Granted | None = session.info[_GRANTED]
    return found


def owners_of(connection: Connection, subjects: Iterable[str]) -> set[str]:
    """Return the owners to whom any of these rows belong, whatever their tables."""
    found: set[str] = set()
    for some in chunks(subjects, _MANY):
        for statement in _OWNERS:
            found.update(connection.execute(statement, {"some": some}).scalars())
    return found


def _of_items(key: Any, item: Any) -> sa.Select[Any]:  # noqa: ANN401 - columns
    among = key.in_(sa.bindparam("some", expanding=True))
    return sa.select(Site.owner_id).join(Item, Item.site_id == Site.id).where(Item.id.in_(sa.select(item).where(among)))


def _of_override(its_site: Any, table: Any) -> sa.Select[Any]:  # noqa: ANN401 - a table, and how its site is found
    found = sa.select(Site.owner_id).join(table, its_site)
    return found.join(Override, Override.target_id == table.id).where(Override.id.in_(_SOME))


_SOME: Final[Any] = sa.bindparam("some", expanding=True)
_OWNERS: Final = (
    sa.select(Owner.id).where(Owner.id.in_(_SOME)),
    sa.select(Site.owner_id).where(Site.id.in_(_SOME)),
    sa.select(Site.owner_id).join(Area, Area.site_id == Site.id).where(Area.id.in_(_SOME)),
    sa.select(Site.owner_id).join(Item, Item.site_id == Site.id).where(Item.id.in_(_SOME)),
    _of_items(Record.id, Record.item_id),
    _of_items(Mark.id, Mark.item_id),
    _of_items(Withdrawal.id, Withdrawal.item_id),
    _of_items(OwnerQuery.id, OwnerQuery.item_id),
    _of_items(WithdrawalPhoto.id, WithdrawalPhoto.item_id),
    sa.select(Site.owner_id).join(CodeAside, CodeAside.site_id == Site.id).where(CodeAside.id.in_(_SOME)),
    sa.select(Site.owner_id).join(Override, Override.target_id == Site.id).where(Override.id.in_(_SOME)),
    _of_override(Area.site_id == Site.id, Area),
    _of_override(Item.site_id == Site.id, Item),
    sa.select(Site.owner_id)
    .join(Item, Item.site_id == Site.id)
    .join(Record, Record.item_id == Item.id)
    .join(Correction, Correction.record_id == Record.id)
    .where(Correction.id.in_(_SOME)),
)
