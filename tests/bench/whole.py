"""What works through a whole register: dating every item anew, following the chain of events, an owner's workbook."""

import hashlib
import json
import sqlite3
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import closing
from functools import partial
from pathlib import Path
from time import process_time
from typing import Any, Final

import sqlalchemy as sa
from openpyxl.workbook import Workbook
from sqlalchemy.engine import Connection

from register.exchange.workbook.owner_workbook import describe, write_owner_workbook
from register.services.owners.report import report_on
from register.services.projection import redate
from register.store.chain import broken_at, head
from register.store.engine import Register
from register.store.sparing import sparing
from register.store.tables import Item, Owner, Record, Site
from tests.bench.build import ACTOR, AT
from tests.bench.made_up import TODAY
from tests.bench.timing import Effort, Line, medians, timed

REDATE_GOAL: Final = 5.0
CHAIN_GOAL: Final = 2.0
CHAIN_EVENTS: Final = 200_000
BOOK_ROWS: Final = 100_000
BOOK_RATIO: Final = 1.5
BOOK_MEMORY: Final = 150e6
ROWS_A_TEST: Final = 3.5
"""So many rows a workbook has for each record in the register, half of which are older than a year."""

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
    yield memory(path, folder)


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
        count = head(connection).count
        part = CHAIN_EVENTS / count
        seconds, floor = medians(lambda: broken_at(connection), lambda: hashed(path), effort=effort)
    what = f"history followed, per {CHAIN_EVENTS:,} events"
    return Line(what, seconds * part, "s", floor * part, "raw sqlite3, json and sha256", CHAIN_GOAL)


def hashed(path: Path) -> None:
    """Read the events with bare sqlite3 and hash each of them, without comparing."""
    statement = "SELECT seq, id, at, actor, name, subject, data FROM event ORDER BY seq"
    with closing(sqlite3.connect(path)) as connection:
        for row in connection.execute(statement):
            hashlib.sha256(json.dumps(row, ensure_ascii=False).encode()).hexdigest()


def workbook(register: Register, folder: Path, effort: Effort) -> Iterator[Line]:
    """Measure a workbook of so many sites' rows, beside a bare write-only loop with the same cells."""
    path = folder / "owner.xlsx"
    with register.read() as connection, sparing(connection):
        report = report_on(connection, sites_for(connection, BOOK_ROWS), TODAY, None)
        cells = [[[column.value(row) for column in sheet.columns] for row in sheet.rows] for sheet in describe(report)]
        rows = sum(map(len, cells))
        written, floor = medians(
            lambda: write_owner_workbook(report, path),
            lambda: write_bare(cells, path),
            effort=effort,
            clock=process_time,
        )
    yield Line(
        f"owner workbook of {rows:,} rows, read and written (CPU)", written, "s", floor,
        "openpyxl write-only, same cells in memory", goal_ratio=BOOK_RATIO,
    )  # fmt: skip


def memory(path: Path, folder: Path) -> Line:
    """Measure how much memory a process takes that does nothing but write such a workbook."""
    command = [sys.executable, "-m", "tests.bench.at_book", str(path), str(BOOK_ROWS), str(folder / "owner.xlsx")]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return Line("owner workbook, most memory of its process", float(done.stdout), "MB", goal=BOOK_MEMORY)


def sites_for(connection: Connection, rows: int) -> Sequence[sa.Row[Any]]:
    """Return so many sites that a workbook on all of them has about so many rows."""
    found: list[sa.Row[Any]] = []
    tests = 0
    for site in connection.execute(
        sa.select(Site.__table__, Owner.name.label("owner")).join(Owner).order_by(Site.code)
    ):
        found.append(site)
        here = sa.select(sa.func.count()).select_from(Record).join(Item, Item.id == Record.item_id)
        tests += connection.scalar(here.where(Item.site_id == site.id)) or 0
        if tests * ROWS_A_TEST >= rows:
            break
    return found


def write_bare(sheets: list[list[list[Any]]], path: Path) -> None:
    """Write values with openpyxl's write-only loop, without any look."""
    book = Workbook(write_only=True)
    for rows in sheets:
        target = book.create_sheet()
        for row in rows:
            target.append(row)
    book.save(path)
