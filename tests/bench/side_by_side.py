"""What a large register answers and keeps, on a server and in a file: the same questions, one after the other."""

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import replace
from datetime import time, timedelta
from functools import partial
from itertools import count
from random import randrange
from time import perf_counter
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.words import Kind
from register.services.horizon import horizon
from register.services.item_card import item_card
from register.services.owners.report import owner_report
from register.services.recording import record_tests
from register.services.saving import save
from register.store import lists
from register.store.engine import Register
from register.store.lists import DueFilter, ItemFilter, Sort
from register.store.sparing import sparing
from register.store.tables import Item, Site
from tests.bench.build import ACTOR, AT
from tests.bench.made_up import TODAY
from tests.desk import INSPECTION, SOUND, entry

TIMES: Final = 5
WRITERS: Final = 8
WRITING: Final = 15.0
"""Seconds for which so many write at once."""

Question = Callable[[Connection], object]


def questions(connection: Connection) -> dict[str, Question]:
    """Return what is asked, by what it is called; of somebody who sees something."""
    everything = ItemFilter(TODAY)
    item, tag, site = connection.execute(
        sa.select(Item.id, Item.tag_number, Item.site_id).order_by(Item.tag_number.desc()).limit(1)
    ).one()
    deep = lists.item_keys(connection, everything, sort=Sort.TAG)[-2_000]
    after = connection.execute(sa.select(Item.tag_number, Item.id).where(Item.id == deep)).one()
    return {
        "first page of 200 items by date": partial(lists.item_page, wanted=everything, sort=Sort.DUE, after=None),
        "a page of 200 far down": partial(lists.item_page, wanted=everything, sort=Sort.TAG, after=tuple(after)),
        "search for a tag, first page": partial(
            lists.item_page, wanted=replace(everything, text=tag), sort=Sort.DUE, after=None
        ),
        "search for a word that 1 in 25 has, first page": partial(
            lists.item_page, wanted=replace(everything, text="grinder"), sort=Sort.DUE, after=None
        ),
        "due and overdue duties, first page of 200": partial(lists.due_page, wanted=DueFilter(TODAY), after=None),
        "due within a quarter at one site, first page": partial(
            lists.due_page, wanted=DueFilter(TODAY + timedelta(days=91), site), after=None
        ),
        "how many items there are": partial(lists.count_items, wanted=everything),
        "overdue by site": partial(lists.overdue_by_site, today=TODAY),
        "the horizon of all sites": partial(horizon, today=TODAY),
        "one item's card with its history": partial(item_card, item_id=item, on=TODAY),
        "a site's report gathered": lambda asked: _report(asked, site),
    }


def _report(connection: Connection, site: str) -> int:
    with sparing(connection):
        report = owner_report(connection, site, TODAY)
        return sum(1 for _ in report.items)


def asked(register: Register) -> dict[str, float]:
    """Return how long each answer takes, the best of some, in seconds."""
    found = {}
    with register.read() as connection:
        for what, question in questions(connection).items():
            times = []
            for _ in range(TIMES):
                start = perf_counter()
                question(connection)
                times.append(perf_counter() - start)
            found[what] = min(times)
    return found


def kept_one(register: Register, tags: Iterator[str]) -> float:
    """Return how long it takes until one test is kept, the best of some."""
    times = []
    for _ in range(TIMES):
        start = perf_counter()
        _keep(register, next(tags))
        times.append(perf_counter() - start)
    return min(times)


def leads(register: Register, how_many: int) -> list[str]:
    """Return tags of leads that can be tested, at many sites."""
    with register.read() as connection:
        wanted = (Item.kind == Kind.EXTENSION_LEAD.value, Item.state == "in-service")
        statement = sa.select(Item.tag_number).join(Site, Site.id == Item.site_id).where(*wanted)
        return list(connection.execute(statement.order_by(Item.serial, Item.id).limit(how_many)).scalars())


def _keep(register: Register, tag: str) -> None:
    moment = time(*divmod(randrange(24 * 60), 60))  # noqa: S311 - another test than in an earlier run
    made = entry(tag, TODAY, (INSPECTION,), SOUND, at=moment, tester="Kim", instrument="INS-0")
    save(register, lambda change: record_tests(change, [made]), actor=ACTOR, at=AT, today=TODAY)


def kept_at_once(opened: Callable[[], Register], tags: Mapping[int, list[str]]) -> tuple[int, float]:
    """Let many record tests at once; return how many were kept, and the longest that one waited, in seconds."""
    end = perf_counter() + WRITING

    def write(number: int) -> tuple[int, float]:
        longest, done = 0.0, count()
        with closing(opened()) as register:
            for tag in tags[number]:
                start = perf_counter()
                if start > end:
                    break
                _keep(register, tag)
                longest, _ = max(longest, perf_counter() - start), next(done)
        return next(done), longest

    with ThreadPoolExecutor(len(tags)) as pool:
        found = list(pool.map(write, tags))
    return sum(kept for kept, _longest in found), max(longest for _kept, longest in found)


def table(columns: Mapping[str, Mapping[str, float]]) -> str:
    """Return what was measured as a table of the docs."""
    heads: list[Any] = ["", *columns]
    rows = [[what, *(_said(column.get(what)) for column in columns.values())] for what in next(iter(columns.values()))]
    return "\n".join(f"| {' | '.join(row)} |" for row in (heads, ["---"] * len(heads), *rows))


def _said(seconds: float | None) -> str:
    if seconds is None:
        return ""
    if seconds >= 1:
        return f"{seconds:.1f} s"
    return f"{seconds * 1000:,.0f} ms" if seconds >= 0.01 else f"{seconds * 1000:.1f} ms"
