"""What owners ask about their items: noted once, shown until somebody has answered it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.domain.text import clean_text
from register.errors import Refused
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.owner_queries import OwnerQuery
from register.store.tables import Item, Site


@dataclass(frozen=True, slots=True)
class OpenQuery:
    """One open query: about which item, who asked what and when."""

    id: str
    item_id: str
    tag: str
    site: str
    text: str
    asked_by: str
    asked_on: date


def open_queries(connection: Connection, item_id: str | None = None) -> list[OpenQuery]:
    """Return the queries that nobody has answered yet, the oldest first; of one item, or of all."""
    statement = (
        sa.select(
            OwnerQuery.id, OwnerQuery.item_id, Item.tag_number, Site.code, OwnerQuery.text, OwnerQuery.asked_by,
            OwnerQuery.asked_on,
        )
        .join(Item, Item.id == OwnerQuery.item_id)
        .join(Site, Site.id == Item.site_id)
        .where(OwnerQuery.settled_on.is_(None))
        .order_by(OwnerQuery.asked_on, OwnerQuery.id)
    )  # fmt: skip
    if item_id is not None:
        statement = statement.where(OwnerQuery.item_id == item_id)
    return [OpenQuery(*row) for row in connection.execute(statement)]


@dataclass(frozen=True, slots=True)
class AskedQuery:
    """One query, open or answered; `settled_on` is None while it is open."""

    item_id: str
    text: str
    asked_by: str
    asked_on: date
    settled_on: date | None
    settlement: str


def queries_of(connection: Connection, sites: Sequence[str]) -> list[AskedQuery]:
    """Return what was ever asked about the items of these sites, open ones first, then the latest."""
    statement = (
        sa.select(
            OwnerQuery.item_id, OwnerQuery.text, OwnerQuery.asked_by, OwnerQuery.asked_on, OwnerQuery.settled_on,
            OwnerQuery.settlement,
        )
        .join(Item, Item.id == OwnerQuery.item_id)
        .where(Item.site_id.in_(sites))
        .order_by(OwnerQuery.settled_on.is_not(None), OwnerQuery.asked_on.desc(), OwnerQuery.id)
    )  # fmt: skip
    return [AskedQuery(*row) for row in connection.execute(statement)]


def is_noted(change: Change, item_id: str, workbook: str, asks: str, text: str) -> bool:
    """Whether a query came in already with the same workbook, answered or not."""
    same = sa.select(OwnerQuery.id).where(
        OwnerQuery.item_id == item_id, OwnerQuery.workbook == workbook, OwnerQuery.asks == asks,
        OwnerQuery.text == text,
    )  # fmt: skip
    return change.session.scalar(same) is not None


def note_query(change: Change, item_id: str, workbook: str, asks: str, text: str) -> None:
    """Note what an owner asks about an item, in his name."""
    query = OwnerQuery(
        item_id=item_id, workbook=workbook, asks=asks, text=text, asked_by=change.actor, asked_on=change.today
    )
    change.session.add(query)
    change.session.flush()
    audit.log(change, Name.QUERY_ADD, query.id, item=item_id, asks=asks, text=text)


def settle_query(change: Change, query_id: str, answer: str) -> OpenQuery:
    """Answer an open query. Refused without an answer, or where it was answered already."""
    found = {each.id: each for each in open_queries(change.session.connection())}.get(query_id)
    if found is None:
        known = change.session.get(OwnerQuery, query_id)
        when = f"was answered on {day_words(known.settled_on)}" if known and known.settled_on else "does not exist"
        raise Refused(f"The query {query_id} {when}. List the open ones and choose among them.")
    if not clean_text(answer):
        raise Refused(f"The query about {found.tag} needs an answer. Say what was done or told.")
    row = change.session.get_one(OwnerQuery, query_id)
    row.settled_on, row.settled_by, row.settlement = change.today, change.actor, clean_text(answer)
    audit.log(change, Name.QUERY_SETTLE, row.id, item=row.item_id, answer=row.settlement)
    return found
