"""Builds the register that is measured, through the program's own services, and keeps it for the next run."""

import hashlib
import sys
from collections.abc import Iterator
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from random import Random
from typing import Final

from register.domain.asked import duties_of
from register.domain.items import SAFETY_SWITCHES
from register.domain.records import ReadingPlan
from register.domain.verdict import judge
from register.services.cases import Case, cases
from register.services.items import enter_items
from register.services.kept_readings import measured
from register.services.places import add_site, area_named
from register.services.projection import redate
from register.services.recording import Judged, content_of, keep
from register.services.replay import replay
from register.services.settings import begin
from register.store import bulk, tables
from register.store.engine import Change, Register, create_register
from register.store.migrations.versions import v0001_first_layout
from register.store.types import new_key
from tests.bench import made_up

ACTOR: Final = "bench"
AT: Final = datetime(2026, 11, 2, 8, 0, tzinfo=UTC)
CHUNK: Final = 10_000


@dataclass(frozen=True, slots=True)
class Size:
    """How large a register is."""

    items: int

    @property
    def sites(self) -> int:
        """How many sites those items stand on."""
        return max(4, self.items // made_up.ITEMS_PER_SITE)


def kept_register(size: Size, folder: Path) -> Path:
    """Return the path of a register of this size, made now where an earlier run left none that is still right."""
    path = folder / f"{size.items}-items-{_layout()}.register"
    if not path.exists():
        print(f"Making a register with {size.items:,} items ...", file=sys.stderr)
        half_made = path.with_suffix(".unfinished")
        for left in (half_made, half_made.with_name(f"{half_made.name}-journal")):
            left.unlink(missing_ok=True)
        _make(size, half_made)
        half_made.rename(path)
    return path


def _layout() -> str:
    """Return a mark of everything that decides what such a register holds."""
    sources = (tables, v0001_first_layout, made_up, sys.modules[__name__])
    digest = hashlib.sha256()
    for each in sources:
        assert each.__file__ is not None
        digest.update(Path(each.__file__).read_bytes())
    return digest.hexdigest()[:10]


def _make(size: Size, path: Path) -> None:
    register = create_register(path)
    try:
        with _change(register) as change:
            begin(change, firm="Bench Testing", sample=True)
            areas = _enter_sites(change, size)
        ids = _enter_items(register, areas, size)
        _enter_records(register, ids)
        with _change(register) as change:
            redate(change)
        with _change(register) as change:
            replay(change, ids)
    finally:
        register.close()


def _change(register: Register) -> AbstractContextManager[Change]:
    return register.change(actor=ACTOR, at=AT, today=made_up.TODAY)


def _enter_sites(change: Change, size: Size) -> list[str]:
    areas = []
    for made in made_up.sites(size.sites):
        key = add_site(change, made.site)
        areas += [area_named(change, key, name, environment) for name, environment in made.areas]
    return areas


def _enter_items(register: Register, areas: list[str], size: Size) -> list[str]:
    ids: list[str] = []
    for start in range(0, size.items, CHUNK):
        with _change(register) as change:
            count = min(CHUNK, size.items - start)
            ids += enter_items(change, list(made_up.items(areas, count, start=start)))
    return ids


def _enter_records(register: Register, ids: list[str]) -> None:
    rng = Random("records")  # noqa: S311 - made-up data, no secret
    sites: dict[str, int] = {}
    for chunk in bulk.chunks(ids, CHUNK):
        with _change(register) as change:
            known = list(cases(change.session.connection(), chunk))
            keep(change, [made for each in known for made in judged_tests(each, _visited(each, sites), rng)])


def _visited(known: Case, sites: dict[str, int]) -> date:
    """Return when an item was last tested: a site is gone through class by class."""
    return made_up.visit_of(sites.setdefault(known.site_id, len(sites)), len(known.environment) % 5)


def judged_tests(known: Case, visited: date, rng: Random) -> Iterator[Judged]:
    """Yield the tests of one item, judged."""
    rules = known.rulebooks[known.stays[-1].exposure.rulebook]
    duties = duties_of(known.item, rules)
    for record in made_up.tests(known.item, duties, rules, visited, rng):
        judgement = judge(record, known.item, rules, ReadingPlan())
        seen = measured(record, known.item, judgement)
        yield Judged(
            new_key(), known.id, record, seen, judgement, content_of(record, judgement.verdict, seen), as_found=False,
            tester=f"Tester {rng.randrange(6)}", instrument=f"INS-{known.item.kind in SAFETY_SWITCHES:d}", remarks="",
            rulebook=rules, environment=known.environment, warnings=(),
        )  # fmt: skip
