"""A drive that is full, to whatever degree: what was there stays, and the same test is saved once there is room."""

import shutil
import subprocess
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa

from register.errors import Unavailable
from register.store.engine import open_register
from register.store.tables import Record
from tests.desk import QUICK, SOUND, Desk

LEVELS, LONG_LEVELS = 12, 50
ROOM_AT_MOST = 200_000
PAGE = 4_096


def records(desk: Desk) -> int:
    with desk.read() as connection:
        return int(connection.execute(sa.select(sa.func.count(Record.id))).scalar_one())


@pytest.mark.parametrize("levels", [LEVELS, pytest.param(LONG_LEVELS, marks=pytest.mark.long)])
def test_at_every_level_nothing_is_lost_and_the_same_test_is_saved_when_there_is_room(
    path: Path, stick: Path, levels: int, record_property: Callable[[str, object], None]
) -> None:
    with closing(open_register(path)) as register:
        desk = Desk(register)
        desk.site()
        desk.item("S-1")
    refused = sum(saved_after_all(path, stick, ROOM_AT_MOST * level // levels) for level in range(levels))
    record_property("levels", levels)
    record_property("refused at first", refused)
    assert 0 < refused < levels


def saved_after_all(path: Path, stick: Path, room: int) -> bool:
    """Save a test on a drive with so much room, again with as much as was said; return whether it was refused."""
    file = shutil.copy(path, stick / "own.register")
    rest = stick / "rest"
    make_drive(stick, STICK)
    rest.write_bytes(bytes(shutil.disk_usage(stick).free - room))
    with closing(open_register(file)) as register:
        desk = Desk(register)
        said = saving(desk)
        if said:
            assert said == FULL.format(drive=stick)
            assert records(desk) == 0
            make_drive(stick, STICK + ENOUGH - shutil.disk_usage(stick).free)
            assert shutil.disk_usage(stick).free <= ENOUGH
            assert saving(desk) == ""
        assert records(desk) == 1
        assert desk.faults() == ()
    for each in stick.iterdir():
        each.unlink()
    return said != ""


STICK, ENOUGH = 1 << 20, 1_000_000
FULL = (
    "The drive {drive} that holds own.register is full; nothing of this change was kept. Free 1.0 MB there and do it"
    " again."
)


def make_drive(stick: Path, size: int) -> None:
    """Let a drive have so many bytes in all."""
    subprocess.run(["mount", "-o", f"remount,size={size // PAGE * PAGE}", stick], check=True)


def saving(desk: Desk) -> str:
    """Save a test; return what was said, empty where it was saved."""
    try:
        desk.test("S-1", readings=[*SOUND, *QUICK])
    except Unavailable as why:
        return str(why)
    return ""
