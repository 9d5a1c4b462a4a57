"""What works through a whole register: dating every item anew, following the chain of events, an owner's workbook."""

import hashlib
import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from functools import partial
from pathlib import Path
from typing import Final

import sqlalchemy as sa

from register.exchange.workbook.owner_workbook import write_owner_workbook
from register.services.owner_report import owner_report
from register.services.projection import redate
from register.store import audit
from register.store.engine import Register
from register.store.tables import Site
from tests.bench.build import ACTOR, AT
from tests.bench.made_up import TODAY
from tests.bench.timing import Effort, Line, medians, timed

REDATE_GOAL: Final = 5.0
CHAIN_GOAL: Final = 2.0
CHAIN_EVENTS: Final = 200_000

EARLIER: Final = (
    "UPDATE duty SET last_done = date(last_done, '-1 day'), due = date(due, '-1 day')",
    "UPDATE item SET next_due = date(next_due, '-1 day')",
)
"""Puts every date kept for lists one day off, so that all of them must be written anew."""

FACTS: Final = (
    "SELECT item_id, duty, tested_on, tested_at, as_found, verdict FROM record_duty ORDER BY item_id, duty, tested_on",
    "SELECT * FROM item",
    "SELECT * FROM exposure ORDER BY item_id, seq",
    "SELECT * FROM duty",
)
"""The least that dating every item has to read."""


def lines(register: Register, path: Path, folder: Path, effort: Effort) -> Iterator[Line]:
    """Measure the work on a whole register."""
    yield from dating(register, path, effort)
    yield chain(register, path, effort)
    yield from workbook(register, folder, effort)


def dating(register: Register, path: Path, effort: Effort) -> Iterator[Line]:
    """Measure dating every item anew: with the dates as they are kept, and with all of them put off before."""
    floor = medians(lambda: read_facts(path), effort=effort)[0]
    for what, before in (("dates stay", ()), ("every date changes", EARLIER)):
        runs = sorted(dated(register, before) for _ in range(effort.least))
        seconds = runs[len(runs) // 2]
        what_is_read = "raw sqlite3 reading the facts"
        yield Line(f"all items dated anew, {what}", seconds, "s", floor, what_is_read, REDATE_GOAL)


def read_facts(path: Path) -> None:
    """Read with bare sqlite3 what the dates are worked out from."""
    with closing(sqlite3.connect(path)) as connection:
        for statement in FACTS:
            for _row in connection.execute(statement):
                pass


def dated(register: Register, before: tuple[str, ...]) -> float:
    """Return how many seconds it takes to date every item anew and to keep it."""
    with register.change(actor=ACTOR, at=AT, today=TODAY) as change:
        for statement in before:
            change.session.connection().exec_driver_sql(statement)
    return timed(partial(_date, register))


def _date(register: Register) -> None:
    with register.change(actor=ACTOR, at=AT, today=TODAY) as change:
        redate(change)


def chain(register: Register, path: Path, effort: Effort) -> Line:
    """Measure following the chain of events, per so many of them."""
    with register.read() as connection:
        count = audit.head(connection).count
        part = CHAIN_EVENTS / count
        seconds, floor = medians(lambda: audit.broken_at(connection), lambda: hashed(path), effort=effort)
    what = f"history followed, per {CHAIN_EVENTS:,} events"
    return Line(what, seconds * part, "s", floor * part, "raw sqlite3, json and sha256", CHAIN_GOAL)


def hashed(path: Path) -> None:
    """Read the events with bare sqlite3 and hash each of them, without comparing."""
    statement = "SELECT seq, id, at, actor, name, subject, data FROM event ORDER BY seq"
    with closing(sqlite3.connect(path)) as connection:
        for row in connection.execute(statement):
            hashlib.sha256(json.dumps(row, ensure_ascii=False).encode()).hexdigest()


def workbook(register: Register, folder: Path, effort: Effort) -> Iterator[Line]:
    """Measure one site's report, and the workbook written from it."""
    with register.read() as connection:
        site = connection.execute(sa.select(Site.id).order_by(Site.code).limit(1)).scalar_one()
        (gathered,) = medians(lambda: owner_report(connection, site, TODAY), effort=effort)
        report = owner_report(connection, site, TODAY)
    rows = len(report.items) + len(report.records)
    (written,) = medians(lambda: write_owner_workbook(report, folder / "owner.xlsx"), effort=effort)
    yield Line(f"one site's report gathered ({rows:,} items and tests)", gathered, "s")
    yield Line("its workbook written", written, "s")
