"""A register on a drive that can't be written or is full: it can be read, and a change is refused in a sentence."""

import shutil
import subprocess
from pathlib import Path

import pytest
import sqlalchemy as sa

from register.errors import Unavailable
from register.services.places import owner_named
from register.store.engine import Change, Register, create_register, open_register
from register.store.tables import Owner
from tests.registers import changing, stick

__all__ = ["stick"]


def read_only(folder: Path) -> None:
    subprocess.run(["mount", "-o", "remount,ro", folder], check=True)


def owners(register: Register) -> list[str]:
    with register.read() as connection:
        return list(connection.execute(sa.select(Owner.name).order_by(Owner.name)).scalars())


def fill(change: Change) -> None:
    for number in range(2000):
        owner_named(change, f"Owner {number}" + " of many yards" * 20)


def test_a_register_on_read_only_media_can_be_read_and_a_change_is_refused(empty_file: Path, stick: Path) -> None:
    path = shutil.copy(empty_file, stick / "own.register")
    register = open_register(path)
    with changing(register) as change:
        owner_named(change, "Ridge Joinery")
    read_only(stick)
    try:
        assert owners(open_register(path)) == ["Ridge Joinery"]
        with pytest.raises(Unavailable) as told, changing(register) as change:
            owner_named(change, "Ridge Boats")
        assert str(told.value) == (
            "The register own.register can't be written: it, or the medium it is on, is read-only. Copy it to a folder"
            " you can write to and open the copy."
        )
        assert owners(register) == ["Ridge Joinery"]
    finally:
        register.close()


def test_no_register_is_made_on_read_only_media(stick: Path) -> None:
    read_only(stick)
    with pytest.raises(Unavailable, match=r"new\.register can't be opened"):
        create_register(stick / "new.register")
    assert list(stick.iterdir()) == []


def test_no_register_is_left_on_a_drive_without_room_for_it(stick: Path) -> None:
    (stick / "rest").write_bytes(bytes(900_000))
    with pytest.raises(Unavailable, match=r"The drive .* that holds new\.register is full"):
        create_register(stick / "new.register")
    assert [each.name for each in stick.iterdir()] == ["rest"]


@pytest.mark.parametrize("room", [0, 4_096, 20_000, 60_000])
def test_a_change_that_fills_the_drive_is_dropped_and_can_be_made_once_there_is_room(
    empty_file: Path, stick: Path, room: int
) -> None:
    path = shutil.copy(empty_file, stick / "own.register")
    register = open_register(path)
    with changing(register) as change:
        owner_named(change, "Ridge Joinery")
    rest = stick / "rest"
    free = shutil.disk_usage(stick).free
    rest.write_bytes(bytes(free - room))
    with (
        pytest.raises(Unavailable, match="is full; nothing of this change was kept"),
        changing(register) as change,
    ):
        fill(change)
    assert owners(register) == ["Ridge Joinery"]
    rest.unlink()
    with changing(register) as change:
        owner_named(change, "Ridge Boats")
    assert owners(register) == ["Ridge Boats", "Ridge Joinery"]
    register.close()
