"""Which owner workbooks were handed over: noted in the history, with what was chosen, for the next one."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.services.owners.rows import BookSent, OwnerReport
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Event


@dataclass(frozen=True, slots=True)
class Wishes:
    """What was chosen for an owner's last workbook.

    `site` is the code of its site, empty for all of the owner's; `months` how far the tests go back; `left_out` the
    sheets left out; `forms` the kinds of file.
    """

    site: str = ""
    months: int = 12
    left_out: tuple[str, ...] = ()
    forms: tuple[str, ...] = ("xlsx",)


def hand_over(change: Change, report: OwnerReport, wishes: Wishes) -> None:
    """Note that a report was handed over: to whom, where the history stood in it, and what was chosen for it."""
    audit.log(
        change, Name.BOOK_SEND, report.owner_id, as_at=report.as_at, events=report.events, head=report.chain_head,
        site=wishes.site, months=wishes.months, left_out=list(wishes.left_out), forms=list(wishes.forms),
    )  # fmt: skip


def last_sent(connection: Connection, owner_id: str) -> BookSent | None:
    """Return which workbook was handed over to an owner last; None where there was none."""
    found = _latest(connection, owner_id)
    if found is None:
        return None
    return BookSent(date.fromisoformat(found["as_at"]), int(found["events"]), str(found["head"]))


def last_wishes(connection: Connection, owner_id: str) -> Wishes:
    """Return what was chosen for the owner's last workbook, or what is usual."""
    found = _latest(connection, owner_id)
    if found is None:
        return Wishes()
    return Wishes(str(found["site"]), int(found["months"]), tuple(found["left_out"]), tuple(found["forms"]))


def _latest(connection: Connection, owner_id: str) -> Mapping[str, Any] | None:
    statement = sa.select(Event.data).where(Event.subject == owner_id, Event.name == Name.BOOK_SEND.value)
    data = connection.scalar(statement.order_by(Event.seq.desc()).limit(1))
    return None if data is None else json.loads(data)
