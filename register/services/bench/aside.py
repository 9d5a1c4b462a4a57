"""Codes that were scanned and are no item's: set aside at once, so that scanning goes on, and settled later."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.text import clean_tag
from register.domain.words import Kind, first_word
from register.errors import Refused
from register.services.items import NewItem, add_item
from register.services.places import area_named
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Area, CodeAside, Site, Tag

ENTERED: Final = "entered as an item"
DROPPED: Final = "dropped"


@dataclass(frozen=True, slots=True)
class Aside:
    """A code set aside: when, by whom, and where one was working then; places are empty where none was known."""

    id: str
    code: str
    scanned_at: datetime
    scanned_by: str
    site_id: str
    site: str
    area: str


def set_aside(change: Change, typed: str, site_id: str | None = None, area_id: str | None = None) -> str:
    """Keep a code that no item has; one that waits already stays once. Returns its row's id."""
    code = clean_tag(typed)
    waiting = sa.select(CodeAside.id).where(CodeAside.code == code, CodeAside.settled == "")
    found = change.session.scalar(waiting)
    if found is not None:
        return found
    row = CodeAside(code=code, site_id=site_id, area_id=area_id, scanned_at=change.at, scanned_by=change.actor)
    change.session.add(row)
    change.session.flush()
    audit.log(change, Name.CODE_ASIDE, row.id, code=code, site=site_id)
    return row.id


def codes_aside(connection: Connection) -> tuple[Aside, ...]:
    """Return the codes that still wait, the newest first; one that an item got in the meantime waits no longer."""
    taken = sa.select(Tag.id).where(Tag.number == CodeAside.code).exists()
    rows = connection.execute(
        sa.select(
            CodeAside.id, CodeAside.code, CodeAside.scanned_at, CodeAside.scanned_by,
            CodeAside.site_id, Site.name, Area.name,
        )
        .outerjoin(Site, Site.id == CodeAside.site_id)
        .outerjoin(Area, Area.id == CodeAside.area_id)
        .where(CodeAside.settled == "", ~taken)
        .order_by(CodeAside.scanned_at.desc(), CodeAside.id.desc())
    )  # fmt: skip
    return tuple(Aside(*row[:4], *(place or "" for place in row[4:])) for row in rows)


def drop_code(change: Change, code: str) -> bool:
    """Let a code go that is to be no item; whether it waited."""
    return _settle(change, clean_tag(code), DROPPED)


def enter_code(change: Change, typed: str, kind: Kind, description: str, site_id: str, area: str) -> str:
    """Enter the item whose tag was unknown, at the place where one works; return its id. The code waits no longer."""
    if change.session.get(Site, site_id) is None:
        raise Refused("That site is no longer in the register. Choose another and enter the item again.")
    code = clean_tag(typed)
    place = area_named(change, site_id, area)
    described = description or first_word(kind)
    item_id = add_item(change, NewItem(code, place, kind, since=change.today, description=described))
    _settle(change, code, ENTERED)
    return item_id


def _settle(change: Change, code: str, how: str) -> bool:
    rows = change.session.scalars(sa.select(CodeAside).where(CodeAside.code == code, CodeAside.settled == "")).all()
    for row in rows:
        row.settled = how
        audit.log(change, Name.CODE_SETTLE, row.id, code=code, how=how)
    return bool(rows)
