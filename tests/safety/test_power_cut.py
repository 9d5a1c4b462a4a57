"""The power fails at any moment: what was said to be kept is there, nothing is half there, and the file is whole.

The method is that of SQLite's own crash tests, as its pages on testing describe it: writes that were not synced are
lost, kept or torn. The weaker settings must fail the same test, or it would prove nothing.
"""

import sqlite3
from collections import Counter
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path
from random import Random

import pytest

from register.store.engine import SETTINGS
from tests.safety import work
from tests.safety.disk import cuts

CUTS, LONG_CUTS = 400, 10_000
RECORDS = 25


@pytest.fixture(scope="module")
def morning(tmp_path_factory: pytest.TempPathFactory) -> list[list[work.Statement]]:
    """What the program sends to the database in a morning, from the making of the register on."""
    return work.morning(tmp_path_factory.mktemp("morning") / "own.register", RECORDS)


def outcomes(
    morning: list[list[work.Statement]], folder: Path, settings: Mapping[str, object], count: int
) -> Counter[str]:
    """Cut the power so many times, and count what became of the register."""
    log, held = work.again(morning, folder, settings)
    rng = Random(20261124)  # noqa: S311 - cuts that can be made again
    places = sorted(rng.choices(range(1, len(log.steps)), k=count))
    found: Counter[str] = Counter()
    after = folder / "after"
    after.mkdir()
    for place, files in cuts(log, places, rng):
        for path in after.iterdir():
            path.unlink()
        for name, content in files.items():
            (after / name).write_bytes(content)
        promised = sum(each <= place for each in log.promised)
        found[judged(after / "own.register", held, promised)] += 1
    return found


def judged(path: Path, held: list[str], promised: int) -> str:
    """Say what became of a register of which so many commits had been acknowledged; the next may be there as well."""
    if not path.exists() or path.stat().st_size == 0:
        return "good" if promised == 0 else "lost"
    try:
        with closing(sqlite3.connect(path)) as connection:
            if connection.execute("PRAGMA integrity_check").fetchone()[0] != "ok":
                return "damaged"
            present = work.content(connection)
    except (sqlite3.DatabaseError, UnicodeDecodeError):
        return "damaged"
    if present in held[max(0, promised - 1) : promised + 1] or (promised == 0 and present == work.NOTHING):
        return "good"
    return "lost" if present in held else "half"


@pytest.mark.parametrize("count", [CUTS, pytest.param(LONG_CUTS, marks=pytest.mark.long)])
def test_nothing_that_was_kept_is_lost(morning: list[list[work.Statement]], tmp_path: Path, count: int) -> None:
    assert outcomes(morning, tmp_path, SETTINGS, count) == {"good": count}


@pytest.mark.parametrize(
    ("weaker", "harm"),
    [({"synchronous": 2}, {"lost"}), ({"synchronous": 0}, {"damaged"}), ({"journal_mode": "off"}, {"half", "damaged"})],
    ids=lambda each: "-".join(map(str, each)) if isinstance(each, dict) else "",
)
def test_weaker_settings_would_be_found_out(
    morning: list[list[work.Statement]], tmp_path: Path, weaker: dict[str, object], harm: set[str]
) -> None:
    found = outcomes(morning, tmp_path, {**SETTINGS, **weaker}, CUTS * 3)
    assert set(found) & harm, found
