"""The queries behind every list, each beside raw sqlite3 executing the very same SQL with the same parameters."""

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.words import Kind, Standing
from register.store import lists
from register.store.engine import SETTINGS, Register
from register.store.lists import DueFilter, ItemFilter, Sort
from register.store.tables import Duty, Item, Site
from tests.bench.made_up import TODAY
from tests.bench.timing import Effort, Line, medians

LIST_GOAL: Final = 0.300
SEARCH_GOAL: Final = 0.150
RATIO_GOAL: Final = 2.0
SLACK: Final = 0.000_1
"""Where bare SQLite takes some microseconds, so much more is as good as twice as long."""

Query = Callable[[Connection], object]
Statement = tuple[str, Any]


@dataclass(frozen=True, slots=True)
class Asked:
    """One query as a page of the program asks it, and within how many seconds it must answer."""

    what: str
    query: Query
    goal: float = LIST_GOAL


def lines(register: Register, path: Path, effort: Effort) -> Iterator[Line]:
    """Measure every list query of a register, and one of them with all that stands around it."""
    with register.read() as connection:
        asked = [*item_pages(connection), *counts(connection), *searches(connection), *dues(connection)]
    yield from (measured(register, path, each, effort) for each in asked)
    yield afresh(register, path, effort)


def measured(register: Register, path: Path, asked: Asked, effort: Effort) -> Line:
    """Measure one query on an open connection."""
    statements = statements_of(register, asked.query)
    with register.read() as connection, raw(path) as floor:
        seconds, floor_seconds = medians(
            lambda: asked.query(connection), lambda: fetched(floor, statements), effort=effort
        )
    return Line(asked.what, seconds, "ms", floor_seconds, "raw sqlite3", asked.goal, RATIO_GOAL, SLACK)


def afresh(register: Register, path: Path, effort: Effort) -> Line:
    """Measure a first page as the program asks it: a new connection, set up, read and closed."""
    query = item_query(ItemFilter(TODAY))
    statements = statements_of(register, query)

    def whole() -> object:
        with register.read() as connection:
            return query(connection)

    def floor() -> object:
        with raw(path) as connection:
            return fetched(connection, statements)

    seconds, floor_seconds = medians(whole, floor, effort=effort)
    what = "first page of items, opening the file included"
    return Line(what, seconds, "ms", floor_seconds, "raw sqlite3", LIST_GOAL, RATIO_GOAL)


def statements_of(register: Register, query: Query) -> list[Statement]:
    """Return what a query sends to the driver, with its parameters."""
    sent: list[Statement] = []

    def note(_c: object, _cursor: object, statement: str, parameters: object, _context: object, _many: object) -> None:
        sent.append((statement, parameters))

    with register.read() as connection:
        sa.event.listen(connection, "before_cursor_execute", note)
        query(connection)
        sa.event.remove(connection, "before_cursor_execute", note)
    return sent


@contextmanager
def raw(path: Path) -> Iterator[sqlite3.Connection]:
    """Give a bare connection with the program's settings, within a transaction."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for name, value in SETTINGS.items():
            connection.execute(f"PRAGMA {name}={value}")
        connection.execute("BEGIN")
        yield connection


def fetched(connection: sqlite3.Connection, statements: Sequence[Statement]) -> list[list[tuple[Any, ...]]]:
    """Execute the statements and fetch their rows as tuples."""
    return [connection.execute(*statement).fetchall() for statement in statements]


def plan_of(connection: sqlite3.Connection, statements: Sequence[Statement]) -> list[str]:
    """Return how SQLite goes about the statements."""
    return [
        str(row[3])
        for statement, parameters in statements
        for row in connection.execute(f"EXPLAIN QUERY PLAN {statement}", parameters)
    ]


def item_query(wanted: ItemFilter, sort: Sort = Sort.DUE, after: tuple[Any, str] | None = None) -> Query:
    """Return the query for one page of items."""
    return partial(lists.item_page, wanted=wanted, sort=sort, after=after)


def item_pages(connection: Connection) -> Iterator[Asked]:
    """Yield the pages of items: by each sort, first and deep, and filtered."""
    everything = ItemFilter(TODAY)
    for sort in Sort:
        yield Asked(f"items by {sort.value}, first page", item_query(everything, sort))
        yield Asked(f"ids of all items, by {sort.value}", partial(lists.item_keys, wanted=everything, sort=sort))
        after = _deep(connection, lists.SORTED[sort])
        yield Asked(f"items by {sort.value}, page at nine tenths", item_query(everything, sort, after))
    for standing in Standing:
        yield Asked(f"items {standing.value}, by due", item_query(replace(everything, standings=frozenset({standing}))))
    must_not_be_used = replace(everything, standings=frozenset({Standing.OVERDUE, Standing.UNTESTED}))
    for sort in Sort:
        yield Asked(f"items overdue or untested, by {sort.value}", item_query(must_not_be_used, sort))
    for kind in (Kind.APPLIANCE_CLASS_2, Kind.ISOLATING_TRANSFORMER):
        wanted = replace(everything, kinds=frozenset({kind.value}))
        yield Asked(f"items of kind {kind.value}, by due", item_query(wanted))
        yield Asked(f"items of kind {kind.value}, by tag", item_query(wanted, Sort.TAG))
    for environment in ("benign", "hire"):
        yield Asked(
            f"items in class {environment}, by due",
            item_query(replace(everything, environments=frozenset({environment}))),
        )
    site, area = connection.execute(sa.select(Item.site_id, Item.area_id).limit(1)).one()
    keys = list(connection.execute(sa.select(Item.id).order_by(Item.tag_number).limit(lists.PAGE)).scalars())
    yield Asked("items by their ids, a page", partial(lists.item_rows, keys=keys))
    for sort in Sort:
        yield Asked(f"items of one site, by {sort.value}", item_query(replace(everything, site=site), sort))
    yield Asked("items of one area, by due", item_query(replace(everything, area=area)))
    busy = replace(must_not_be_used, site=site, kinds=frozenset({Kind.EXTENSION_LEAD.value}))
    yield Asked("leads of one site overdue or untested, by tag", item_query(busy, Sort.TAG))


def _deep(connection: Connection, column: sa.ColumnElement[Any]) -> tuple[Any, str]:
    count = connection.execute(sa.select(sa.func.count()).select_from(Item)).scalar_one()
    sorted_items = sa.select(column, Item.id).join(Site, Site.id == Item.site_id).order_by(column, Item.id)
    value, key = connection.execute(sorted_items.offset(count * 9 // 10).limit(1)).one()
    return value, key


def counts(connection: Connection) -> Iterator[Asked]:
    """Yield the counts that stand over the lists."""
    everything = ItemFilter(TODAY)
    overdue = replace(everything, standings=frozenset({Standing.OVERDUE}))
    site = connection.execute(sa.select(Site.id).limit(1)).scalar_one()
    for what, wanted in {
        "all items": everything,
        "items overdue": overdue,
        "items of one kind": replace(everything, kinds=frozenset({Kind.EXTENSION_LEAD.value})),
        "items in one class": replace(everything, environments=frozenset({"benign"})),
        "items of one site": replace(everything, site=site),
    }.items():
        yield Asked(f"count of {what}", partial(lists.count_items, wanted=wanted))
    for what, wanted in {"all items": everything, "items of one site": replace(everything, site=site)}.items():
        yield Asked(
            f"count by standing of {what}",
            partial(lists.count_by_standing, wanted=wanted),
        )
    yield Asked("overdue by site", partial(lists.overdue_by_site, today=TODAY))


def searches(connection: Connection) -> Iterator[Asked]:
    """Yield searches as they are typed: for many hits, few and none, with two words, and the start of a tag."""
    serial, tag = connection.execute(
        sa.select(Item.serial, Item.tag_number).order_by(Item.tag_number.desc()).limit(1)
    ).one()
    words = {
        "a rare word": serial.lower(), "a tag": tag, "a common word": "grinder", "a kind of item": "extension lead",
        "a missing word": "xyzzyq", "two words": f"lead {tag[:5]}", "two common words": "sander yard",
        "three letters": "dri", "two letters, a tag's start": tag[:2],
    }  # fmt: skip
    for what, text in words.items():
        wanted = ItemFilter(TODAY, text=text)
        for sort in (Sort.DUE, Sort.TAG):
            yield Asked(f"search for {what}, by {sort.value}", item_query(wanted, sort), SEARCH_GOAL)
    for what in ("a common word", "a rare word"):
        wanted = ItemFilter(TODAY, text=words[what])
        yield Asked(
            f"search for {what}, counted by standing",
            partial(lists.count_by_standing, wanted=wanted),
            SEARCH_GOAL,
        )


def dues(connection: Connection) -> Iterator[Asked]:
    """Yield the pages of duties that are due: first and deep, at all sites and at one."""
    site = connection.execute(sa.select(Site.id).limit(1)).scalar_one()
    for what, wanted in {
        "today": DueFilter(TODAY),
        "today, the contractor's": DueFilter(TODAY, contractors=True),
        "within a year": DueFilter(TODAY + timedelta(days=365)),
        "within a quarter at one site": DueFilter(TODAY + timedelta(days=91), site),
    }.items():
        yield Asked(f"duties due {what}, first page", _due_query(wanted, None))
        yield Asked(f"duties due {what}, deep page", _due_query(wanted, _deep_due(connection, wanted)))
    never = connection.execute(sa.select(Duty.item_id, Duty.duty).where(Duty.due.is_(None), Duty.first_needed)).first()
    if never is not None:
        yield Asked("duties never done, next page", _due_query(DueFilter(TODAY), (None, never.item_id, never.duty)))


def _due_query(wanted: DueFilter, after: tuple[date | None, str, str] | None) -> Query:
    return partial(lists.due_page, wanted=wanted, after=after)


def _deep_due(connection: Connection, wanted: DueFilter) -> tuple[date | None, str, str] | None:
    """Return the last duty of the page at nine tenths."""
    where = [Duty.planned == sa.true(), Duty.due <= wanted.by, *([Duty.site_id == wanted.site] if wanted.site else [])]
    count = connection.execute(sa.select(sa.func.count()).select_from(Duty).where(*where)).scalar_one()
    order = (Duty.due, Duty.item_id, Duty.duty)
    found = connection.execute(sa.select(*order).where(*where).order_by(*order).offset(count * 9 // 10).limit(1))
    row = found.first()
    return None if row is None else (row.due, row.item_id, row.duty)
