"""An earlier workbook is replaced whole or not at all, and what stood in the way is said in one sentence."""

import re
import subprocess
import tempfile
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest

from register.errors import Refused, Unavailable
from register.exchange.workbook import book, write_owner_workbook
from register.exchange.workbook.swap_in import swap_in
from tests.exchange.workbook.made_up import made_up_report

EARLIER = b"an earlier workbook that must survive"


def fine(_: Path) -> None:
    """Find nothing wrong with the file."""


def names(folder: Path) -> list[str]:
    return [each.name for each in folder.iterdir()]


def mount(folder: Path, options: str) -> None:
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", options, "tmpfs", folder], capture_output=True, check=False)
    if made.returncode:
        pytest.skip("not run: needs root, to mount a disk of its own")


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 64 KB, with an earlier workbook on it."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount(folder, "size=64k")
    (folder / "owner.xlsx").write_bytes(EARLIER)
    yield folder
    subprocess.run(["umount", folder], check=True)


@pytest.fixture
def read_only_disk(small_disk: Path) -> Iterator[Path]:
    subprocess.run(["mount", "-o", "remount,ro", small_disk], check=True)
    yield small_disk
    subprocess.run(["mount", "-o", "remount,rw", small_disk], check=True)


def test_the_new_file_takes_the_place_of_the_old_and_nothing_else_is_left(tmp_path: Path) -> None:
    path = tmp_path / "owner.xlsx"
    path.write_bytes(EARLIER)

    swap_in(BytesIO(b"new"), path, fine)

    assert path.read_bytes() == b"new"
    assert names(tmp_path) == ["owner.xlsx"]


def test_the_check_sees_the_finished_file_while_the_old_one_still_stands(tmp_path: Path) -> None:
    path = tmp_path / "owner.xlsx"
    path.write_bytes(EARLIER)
    seen = []

    swap_in(BytesIO(b"new"), path, lambda beside: seen.append((beside.read_bytes(), beside.parent, path.read_bytes())))

    assert seen == [(b"new", tmp_path, EARLIER)]


def test_a_file_that_does_not_pass_its_check_is_not_put_in_place(tmp_path: Path) -> None:
    path = tmp_path / "owner.xlsx"
    path.write_bytes(EARLIER)

    def wrong(_: Path) -> None:
        raise RuntimeError("a sheet is missing")

    with pytest.raises(RuntimeError, match="a sheet is missing"):
        swap_in(BytesIO(b"new"), path, wrong)

    assert path.read_bytes() == EARLIER
    assert names(tmp_path) == ["owner.xlsx"]


def test_a_link_stays_a_link_and_the_file_behind_it_is_replaced(tmp_path: Path) -> None:
    real, link = tmp_path / "real.xlsx", tmp_path / "link.xlsx"
    real.write_bytes(EARLIER)
    link.symlink_to(real)

    swap_in(BytesIO(b"new"), link, fine)

    assert link.is_symlink()
    assert real.read_bytes() == b"new"


def test_the_new_file_may_be_read_by_those_who_could_read_the_old_one(tmp_path: Path) -> None:
    path = tmp_path / "owner.xlsx"
    path.write_bytes(EARLIER)
    path.chmod(0o640)

    swap_in(BytesIO(b"new"), path, fine)

    assert path.stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("nowhere/owner.xlsx", "does not exist. Make it first"),
        ("owner.xls", "does not end in .xlsx"),
        ("owner", "does not end in .xlsx"),
        ("folder.xlsx", "is a folder"),
        ("nul\0.xlsx", "is not a place where a file can be"),
    ],
)
def test_a_place_where_no_workbook_can_be_is_refused_with_a_sentence(tmp_path: Path, name: str, said: str) -> None:
    (tmp_path / "folder.xlsx").mkdir()

    with pytest.raises(Refused) as refusal:
        swap_in(BytesIO(b"new"), tmp_path / name, fine)

    assert said in str(refusal.value)
    assert names(tmp_path) == ["folder.xlsx"]


@pytest.mark.parametrize("lock", [".~lock.owner.xlsx#", "~$owner.xlsx"])
def test_a_file_that_is_open_in_a_spreadsheet_program_is_left_alone(tmp_path: Path, lock: str) -> None:
    path = tmp_path / "owner.xlsx"
    path.write_bytes(EARLIER)
    (tmp_path / lock).touch()

    with pytest.raises(Unavailable, match="is open in a spreadsheet program"):
        swap_in(BytesIO(b"new"), path, fine)

    assert path.read_bytes() == EARLIER


def test_a_name_too_long_for_the_disk_is_told_as_such(tmp_path: Path) -> None:
    with pytest.raises(Unavailable, match="Nothing was changed"):
        swap_in(BytesIO(b"new"), tmp_path / f"{'x' * 300}.xlsx", fine)

    assert names(tmp_path) == []


def test_a_full_disk_keeps_the_earlier_workbook_and_names_the_space_needed(small_disk: Path) -> None:
    with pytest.raises(Unavailable) as trouble:
        write_owner_workbook(made_up_report(400), small_disk / "owner.xlsx")

    said = rf"The drive {small_disk} is full, so owner\.xlsx was not written; an earlier one is as it was\."
    assert re.fullmatch(rf"{said} Free [\d.]+ MB there or choose another place\.", str(trouble.value))
    assert (small_disk / "owner.xlsx").read_bytes() == EARLIER
    assert names(small_disk) == ["owner.xlsx"]


def test_a_full_disk_for_temporary_files_is_told_as_such(
    small_disk: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "owner.xlsx"
    path.write_bytes(EARLIER)
    monkeypatch.setattr(book, "_IN_MEMORY", 10_000)
    monkeypatch.setattr(tempfile, "tempdir", str(small_disk))

    with pytest.raises(Unavailable, match=f"The drive {small_disk} is full, so no workbook could be put together in"):
        write_owner_workbook(made_up_report(400), path)

    assert path.read_bytes() == EARLIER
    assert names(small_disk) == ["owner.xlsx"]


def test_a_read_only_disk_keeps_the_earlier_workbook_and_is_told_as_such(read_only_disk: Path) -> None:
    with pytest.raises(Unavailable, match="may not be written over"):
        write_owner_workbook(made_up_report(8), read_only_disk / "owner.xlsx")
    with pytest.raises(Unavailable, match="Read-only file system"):
        write_owner_workbook(made_up_report(8), read_only_disk / "another.xlsx")

    assert (read_only_disk / "owner.xlsx").read_bytes() == EARLIER
    assert names(read_only_disk) == ["owner.xlsx"]


def test_a_folder_that_is_closed_to_the_user_is_told_as_such(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on Windows, where replacing a file that another program holds open fails in the last step."""
    path = tmp_path / "owner.xlsx"
    path.write_bytes(EARLIER)

    def held(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "replace", held)

    with pytest.raises(Unavailable, match="another program holds it open, or you may not write there"):
        swap_in(BytesIO(b"new"), path, fine)

    assert path.read_bytes() == EARLIER
    assert names(tmp_path) == ["owner.xlsx"]
