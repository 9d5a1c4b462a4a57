"""A file that was damaged by whatever means: that is found out, and ends in sentences.

Much of a file holds nothing: room for more, and what was let go. Damage there changes nothing that anybody could read;
it is counted apart, and drawn again until so many damages have met something.
"""

import itertools
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from random import Random

import pytest

from register.errors import Refused, Unavailable
from register.services.check import check
from register.store.engine import open_register
from tests.desk import QUICK, SLOW, SOUND, Desk
from tests.safety.work import content

PAGE = 4096
FEW, MANY = {"flip": 24, "zero": 8, "cut": 8}, {"flip": 300, "zero": 50, "cut": 50}


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory, empty_file: Path) -> Path:
    """A register in which work was done."""
    path = tmp_path_factory.mktemp("good") / "own.register"
    path.write_bytes(empty_file.read_bytes())
    with closing(open_register(path)) as register:
        desk = Desk(register)
        desk.site()
        for number in range(30):
            desk.item(f"S-{number:03}")
            desk.test(f"S-{number:03}", readings=[*SOUND, *(SLOW if number % 7 == 3 else QUICK)])
    return path


def flip(data: bytearray, rng: Random) -> None:
    data[rng.randrange(len(data))] ^= 1 << rng.randrange(8)


def zero(data: bytearray, rng: Random) -> None:
    start = rng.randrange(len(data) // PAGE) * PAGE
    data[start : start + PAGE] = bytes(PAGE)


def cut(data: bytearray, rng: Random) -> None:
    del data[rng.randrange(len(data)) :]


def held(path: Path) -> str:
    """Return a hash of what the register holds, without the index for searching, which can be made again."""
    with closing(sqlite3.connect(path)) as connection:
        return content(connection, without="item_search")


def found_at(path: Path) -> str:
    """Return where a register's damage is found, opened and checked as the program does; empty where it is not.

    Anything but an answer or a sentence is raised.
    """
    try:
        register = open_register(path)
    except (Refused, Unavailable):
        return "at opening"
    try:
        with closing(register), register.read() as connection:
            return "by the check" if check(connection).faults else ""
    except (Refused, Unavailable):
        return "by the check"


def harmless(path: Path, whole: str) -> bool:
    """Whether everything that the register holds can still be read as it was."""
    try:
        return held(path) == whole
    except (sqlite3.Error, UnicodeDecodeError):
        return False


def outcomes(good: Path, folder: Path, damage: Callable[[bytearray, Random], None], count: int) -> Counter[str]:
    """Damage a register until so many damages have met something; count where they were found, and those missed."""
    original, whole = good.read_bytes(), held(good)
    path = folder / "own.register"
    counted: Counter[str] = Counter()
    for seed in itertools.count():
        if counted.total() - counted["met nothing"] == count:
            break
        data = bytearray(original)
        damage(data, Random(seed))  # noqa: S311 - damage that can be made again
        path.write_bytes(data)
        path.with_name("own.register-journal").unlink(missing_ok=True)
        counted[found_at(path) or ("met nothing" if harmless(path, whole) else "missed")] += 1
    return counted


def damage_that_meets_something(
    good: Path, folder: Path, damage: Callable[[bytearray, Random], None], seeds: Iterator[int]
) -> bytes:
    """Return a register damaged so that something that it holds, or how it is held, is no more what it was."""
    whole, path = held(good), folder / "drawn.register"
    for seed in seeds:
        data = bytearray(good.read_bytes())
        damage(data, Random(seed))  # noqa: S311 - damage that can be made again
        path.write_bytes(data)
        if found_at(path) or not harmless(path, whole):
            return bytes(data)
    raise AssertionError("the seeds have no end")


@pytest.mark.parametrize("damage", [flip, zero, cut], ids=lambda each: each.__name__)
def test_damage_is_found(good: Path, tmp_path: Path, damage: Callable[[bytearray, Random], None]) -> None:
    assert outcomes(good, tmp_path, damage, FEW[damage.__name__])["missed"] == 0


@pytest.mark.long
@pytest.mark.timeout(0)
def test_of_four_hundred_damages_that_met_something_none_is_missed(
    good: Path, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    counted = {each.__name__: outcomes(good, tmp_path, each, MANY[each.__name__]) for each in (flip, zero, cut)}
    for name, number in counted.items():
        record_property(name, dict(number))
    assert sum(each["missed"] for each in counted.values()) == 0
