"""The check finds whatever was changed from outside, names it in words, and finds nothing where nothing was."""

import random
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from register.domain.words import Kind, WithdrawalReason
from register.errors import Refused, Unavailable
from register.services.check import check
from register.services.items import NewItem, enter_items
from register.services.projection import redate
from register.store.engine import open_register
from tests.desk import INSPECTION, SOUND, Desk
from tests.servers import ON_A_SERVER

TESTED = date(2026, 5, 20)


def entered(desk: Desk) -> Desk:
    """A switch and a lead that were tested, a drill that never was, and one item out of service."""
    desk.site()
    then = desk.on(TESTED)
    for tag, kind in (("P1", Kind.PORTABLE_SAFETY_SWITCH), ("L1", Kind.EXTENSION_LEAD), ("D1", Kind.APPLIANCE_CLASS_1)):
        then.item(tag, kind, area="Shed", earlier_tags=(f"OLD-{tag}",))
    then.test("P1")
    then.test("L1", duties=(INSPECTION,), readings=SOUND)
    desk.item("W1", Kind.EXTENSION_LEAD)
    desk.withdraw("W1", WithdrawalReason.DAMAGED)
    return desk


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory, empty_file: Path) -> bytes:
    path = tmp_path_factory.mktemp("good") / "own.register"
    path.write_bytes(empty_file.read_bytes())
    with closing(open_register(path)) as register:
        entered(Desk(register))
    return path.read_bytes()


@pytest.fixture
def path(good: bytes, tmp_path: Path) -> Path:
    own = tmp_path / "own.register"
    own.write_bytes(good)
    return own


@pytest.fixture
def yard(desk: Desk) -> Desk:
    return entered(desk) if ON_A_SERVER else desk  # in a file all that is there already


def raw(path: Path, statement: str) -> None:
    """Change the file as any program with SQLite could."""
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute(statement)


def test_a_register_that_only_the_program_wrote_has_no_faults(yard: Desk) -> None:
    with yard.read() as connection:
        checked = check(connection)
    assert (checked.faults, checked.more) == ((), 0)
    assert checked.counts == {"sites": 1, "items": 4, "records": 2, "readings": 8, "duties": 6}
    assert checked.events == len(yard.events())
    assert len(checked.head) == 64


WRONG = [
    (
        "UPDATE duty SET due = '2030-01-01' WHERE duty = 'operating-time'",
        ["P1, operating-time test: due is kept as 1 Jan 2030; records and rules say 20 May 2027."],
    ),
    (
        "UPDATE duty SET last_done = NULL, interval = 'P9M' WHERE duty = 'operating-time'",
        [
            "P1, operating-time test: interval is kept as P9M; records and rules say P12M.",
            "P1, operating-time test: last done is kept as none; records and rules say 20 May 2026.",
        ],
    ),
    (
        "UPDATE duty SET planned = 0, contractors = 0 WHERE duty = 'operating-time'",
        [
            "P1, operating-time test: the contractor's duty is kept as no; records and rules say yes.",
            "P1, operating-time test: in the plan of visits is kept as no; records and rules say yes.",
        ],
    ),
    (
        "DELETE FROM duty WHERE duty = 'operating-time'",
        ["P1, operating-time test: not kept, though the rules ask it."],
    ),
    (
        "UPDATE duty SET duty = 'formal-visual' WHERE duty = 'operating-time'",
        [
            "P1, formal visual check: kept, though the rules ask no such duty.",
            "P1, operating-time test: not kept, though the rules ask it.",
        ],
    ),
    (
        "UPDATE item SET next_due = NULL, untested = 1 WHERE tag_number = 'L1'",
        [
            "L1: next date is kept as none; records and rules say 20 Nov 2026.",
            "L1: never tested is kept as yes; records and rules say no.",
        ],
    ),
    (
        "UPDATE item SET present_environment = 'hire' WHERE tag_number = 'L1'",
        ["L1: environment class is kept as hire; records and rules say workshop."],
    ),
    (
        "UPDATE item SET state = 'in-service' WHERE tag_number = 'W1'",
        ["W1 is shown as in or out of service against its withdrawals."],
    ),
    (
        "UPDATE item SET state = 'withdrawn' WHERE tag_number = 'L1'",
        ["L1 is shown as in or out of service against its withdrawals."],
    ),
    (
        "UPDATE item SET state = 'lost' WHERE tag_number = 'L1'",
        ["L1 is kept as “lost”, which is none of: in-service, withdrawn, removed."],
    ),
    (
        "UPDATE withdrawal SET ended_on = '2026-11-20'",
        [
            "W1 is shown as in or out of service against its withdrawals.",
            "W1, inspection and test: in the plan of visits is kept as no; records and rules say yes.",
        ],
    ),
    (
        "UPDATE item SET description = 'Reel' WHERE tag_number = 'L1'",
        ["L1 is not found by its own words: its search text is out of date."],
    ),
    ("DELETE FROM tag WHERE number = 'OLD-L1'", ["L1 is not found by its own words: its search text is out of date."]),
    (
        "UPDATE tag SET until = '2026-01-01' WHERE number = 'L1'",
        ["L1 is shown as the tag of an item that does not carry it."],
    ),
    (
        "DELETE FROM item_text WHERE row = 2",
        ["L1 has no search text on record.", "L1 is not found by its own words: its search text is out of date."],
    ),
    (
        "UPDATE area SET environment = 'cleaning' WHERE name = 'Shed'",
        [
            f"{tag} is in another place, or used otherwise, than its latest place on record says."
            for tag in ("P1", "L1", "D1")
        ],
    ),
    (
        "DELETE FROM exposure WHERE item_id = (SELECT id FROM item WHERE tag_number = 'L1')",
        [
            "L1 has no place on record.",
            (
                "What is kept of L1 can't be understood: The item has no place, so its dates can't be counted. Say in"
                " which area it is."
            ),
        ],
    ),
    (
        "UPDATE item SET kind = 'spaceship' WHERE tag_number = 'D1'",
        [
            "What the register keeps can't be understood any further: 'spaceship' is not a valid Kind.",
            "What is kept of D1 can't be understood: 'spaceship' is not a valid Kind.",
        ],
    ),
    (
        "UPDATE exposure SET rulebook = 'mars' WHERE item_id = (SELECT id FROM item WHERE tag_number = 'D1')",
        [
            "D1 is in another place, or used otherwise, than its latest place on record says.",
            (
                "What is kept of D1 can't be understood: There is no rulebook “mars”. There are: au-in-service, au-qld."
            ),
        ],
    ),
    (
        "INSERT INTO duty VALUES ('i', 'operating-time', 's', 1, 1, 'P6M', NULL, NULL, 0)",
        ["A duty is kept of an item that does not exist: i."],
    ),
    (
        "UPDATE duty SET due = 'soon' WHERE duty = 'operating-time'",
        ["What the register keeps can't be understood any further: Invalid isoformat string: 'soon'."],
    ),
]  # fmt: skip


@pytest.mark.parametrize(("statement", "faults"), WRONG, ids=[each[0][:60] for each in WRONG])
def test_what_was_changed_from_outside_is_named(yard: Desk, path: Path, statement: str, faults: list[str]) -> None:
    raw(path, statement)
    assert [each for each in yard.faults() if "from outside" not in each] == faults


def test_a_record_changed_from_outside_shows_in_the_dates(yard: Desk, path: Path) -> None:
    raw(path, "DROP TRIGGER record_duty_no_update")
    raw(path, "UPDATE record_duty SET tested_on = '2026-08-20' WHERE duty = 'operating-time'")
    assert (
        yard.faults()[0]
        == "P1, test-button press: last done is kept as 20 May 2026; records and rules say 20 Aug 2026."
    )


def test_every_guard_of_the_history_that_was_taken_out_is_named(yard: Desk, path: Path) -> None:
    with closing(sqlite3.connect(path)) as file:
        names = {name for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")}
    for name in names:
        raw(path, f'DROP TRIGGER "{name}"')
    gone = "The guard {} of the history is gone: it was taken out of the file from outside."
    assert yard.faults() == tuple(gone.format(name) for name in sorted(names))


def test_a_hundred_faults_are_listed_and_the_rest_counted(yard: Desk, path: Path) -> None:
    area = yard.area()
    news = [NewItem(f"X{number}", area, Kind.EXTENSION_LEAD, TESTED) for number in range(60)]
    with yard.change() as change:
        redate(change, enter_items(change, news))
    raw(path, "DELETE FROM item_text")
    with yard.read() as connection:
        checked = check(connection)
    assert len(checked.faults) == 100
    assert checked.more == 2 * 64 - 100


def test_a_check_changes_nothing(yard: Desk, path: Path) -> None:
    before = path.read_bytes()
    yard.faults()
    assert path.read_bytes() == before


@pytest.mark.parametrize("seed", range(40))
def test_a_file_damaged_anywhere_ends_in_sentences(good: bytes, tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311 - places to damage
    content = bytearray(good)
    for _ in range(chance.choice((1, 3, 30))):
        place = chance.randrange(100, len(content))
        content[place] ^= 1 << chance.randrange(8)
    if seed % 4 == 0:
        page = chance.randrange(1, len(content) // 4096) * 4096
        content[page : page + 4096] = bytes(4096)
    path = tmp_path / "own.register"
    path.write_bytes(content)
    try:
        with closing(open_register(path)) as register, register.read() as connection:
            faults = check(connection).faults
    except (Refused, Unavailable) as told:
        faults = (str(told),)
    assert all(fault.endswith(".") for fault in faults)
    if seed % 4 == 0:
        assert faults, "a page of nothing but zeros is found"
