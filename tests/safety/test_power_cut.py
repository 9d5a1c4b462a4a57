"""The power fails at any moment: what was said to be kept is there, nothing is half there, and the file is whole.

The method is that of SQLite's own crash tests, as its pages on testing describe it: writes that were not synced are
lost, kept or torn. The weaker settings must fail the same test, or it would prove nothing.
"""

import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from pathlib import Path
from random import Random

import pytest

from register.store.engine import SETTINGS
from tests.safety import work
from tests.safety.disk import cuts

CUTS, LONG_CUTS = 300, 10_000
RECORDS = 25


@pytest.fixture(scope="module")
def morning(tmp_path_factory: pytest.TempPathFactory) -> list[list[work.Statement]]:
    """What the program sends to the database in a morning, from the making of the register on."""
    return work.morning(tmp_path_factory.mktemp("morning") / "own.register", RECORDS)


def outcomes(
    morning: list[list[work.Statement]], folder: Path, settings: Mapping[str, object], count: int
) -> Iterator[str]:
    """Cut the power so many times, and yield what became of the register each time."""
    log, held = work.again(morning, folder, settings)
    rng = Random(20261124)  # noqa: S311 - cuts that can be made again
    places = sorted(rng.choices(range(1, len(log.steps)), k=count))
    after = folder / "after"
    after.mkdir()
    for place, files in cuts(log, places, rng):
        for path in after.iterdir():
            path.unlink()
        for name, content in files.items():
            (after / name).write_bytes(content)
        promised = sum(each <= place for each in log.promised)
        yield judged(after / "own.register", held, promised)


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


def test_nothing_that_was_kept_is_lost(morning: list[list[work.Statement]], tmp_path: Path) -> None:
    assert Counter(outcomes(morning, tmp_path, SETTINGS, CUTS)) == {"good": CUTS}


WEAKER = pytest.mark.parametrize(
    ("weaker", "harm"),
    [({"synchronous": 2}, {"lost"}), ({"synchronous": 0}, {"damaged"}), ({"journal_mode": "off"}, {"half", "damaged"})],
    ids=lambda each: "-".join(map(str, each)) if isinstance(each, dict) else "",
)


@WEAKER
def test_weaker_settings_would_be_found_out(
    morning: list[list[work.Statement]], tmp_path: Path, weaker: dict[str, object], harm: set[str]
) -> None:
    assert any(found in harm for found in outcomes(morning, tmp_path, {**SETTINGS, **weaker}, CUTS * 4))


@pytest.mark.long
@pytest.mark.timeout(0)
def test_in_ten_thousand_cuts_nothing_that_was_kept_is_lost(
    morning: list[list[work.Statement]], tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    found = Counter(outcomes(morning, tmp_path, SETTINGS, LONG_CUTS))
    record_property("cuts", dict(found))
    assert found == {"good": LONG_CUTS}


@pytest.mark.long
@pytest.mark.timeout(0)
@WEAKER
def test_of_ten_thousand_cuts_weaker_settings_fail_some(
    morning: list[list[work.Statement]], tmp_path: Path, weaker: dict[str, object], harm: set[str],
    record_property: Callable[[str, object], None],
) -> None:  # fmt: skip
    found = Counter(outcomes(morning, tmp_path, {**SETTINGS, **weaker}, LONG_CUTS))
    record_property("cuts", dict(found))
    assert set(found) & harm, found
