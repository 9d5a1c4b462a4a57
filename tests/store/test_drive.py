"""A register on a share of the network, or in a folder that is kept in step, is told apart from one that is safe."""

from collections.abc import Callable
from ctypes import byref, c_uint32, create_string_buffer
from pathlib import Path, PureWindowsPath
from types import SimpleNamespace
from typing import Any

import pytest

from register.store import drive

MOUNTED = """\
22 27 0:21 / / rw,relatime shared:1 - ext4 /dev/vda rw
30 22 0:40 / /office rw,relatime - {kind} server:/office rw
31 30 0:41 / /office/local rw,relatime - xfs /dev/vdb rw
32 22 0:42 / /two\\040words rw,relatime - {kind} server:/other rw
"""


@pytest.fixture
def mounted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Mount a drive of some kind, as Linux lists it, at /office and at a folder with a blank in its name."""

    def mount(kind: str) -> None:
        (tmp_path / "mountinfo").write_text(MOUNTED.format(kind=kind))
        monkeypatch.setattr(drive, "MOUNTS", tmp_path / "mountinfo")

    return mount


@pytest.mark.parametrize("kind", ["nfs4", "cifs", "smb3", "fuse.sshfs"])
def test_a_share_of_the_network_is_warned_of(mounted: Callable[[str], None], kind: str) -> None:
    mounted(kind)
    for path in ("/office/own.register", "/office/jobs/own.register", "/two words/own.register"):
        assert drive.warning(Path(path)).startswith("own.register lies on a network drive")


@pytest.mark.parametrize("kind", ["9p", "virtiofs", "vboxsf"])
def test_a_folder_lent_by_the_computer_that_a_virtual_one_runs_on_is_warned_of(
    mounted: Callable[[str], None], kind: str
) -> None:
    mounted(kind)
    said = drive.warning(Path("/office/own.register"))
    assert said.startswith("own.register lies in a folder that the computer lends")
    assert not drive.is_said_of_share(said)


def test_a_drive_that_a_program_makes_may_be_kept_in_step_with_anything(mounted: Callable[[str], None]) -> None:
    mounted("fuse.some-client")
    assert "keeps in step with another place" in drive.warning(Path("/office/own.register"))


@pytest.mark.parametrize("kind", ["ext4", "vfat", "fuseblk", "fuse.gocryptfs"])
def test_a_disk_or_stick_of_this_computer_is_not(mounted: Callable[[str], None], kind: str) -> None:
    mounted(kind)
    assert drive.warning(Path("/office/own.register")) == ""


def test_what_is_mounted_over_a_share_counts_as_what_it_is(mounted: Callable[[str], None]) -> None:
    mounted("nfs")
    for path in ("/office/local/own.register", "/official/own.register", "/elsewhere/own.register"):
        assert drive.warning(Path(path)) == ""


@pytest.mark.parametrize("name", ["own (conflicted copy 2026-11-02).register", "OWN.sync-conflict-2026.register"])
def test_a_second_version_that_lies_beside_it_is_named(tmp_path: Path, name: str) -> None:
    (tmp_path / name).touch()
    assert drive.warning(tmp_path / "own.register").startswith(f"Beside own.register lies {name}: two computers")


def test_files_of_other_names_are_no_second_version(tmp_path: Path, mounted: Callable[[str], None]) -> None:
    mounted("ext4")
    for name in ("own.register", "own-2.register", "conflicts.txt"):
        (tmp_path / name).touch()
    assert drive.warning(tmp_path / "own.register") == ""


def test_where_the_system_tells_nothing_nothing_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drive, "MOUNTS", tmp_path / "none")
    assert drive.warning(tmp_path / "own.register") == ""


@pytest.mark.parametrize(
    ("path", "kind", "in_step", "said"),
    [
        (r"C:\jobs\own.register", 3, 0x80070186, ""),
        (r"Z:\jobs\own.register", 4, 0x80070186, drive.SHARE),
        (r"\\server\jobs\own.register", 1, 0x80070186, drive.SHARE),
        (r"C:\jobs\own.register", 3, 0, drive.IN_STEP),
    ],
)
def test_windows_is_asked_for_the_sort_of_drive_and_for_what_keeps_a_folder_in_step(
    path: str, kind: int, in_step: int, said: str
) -> None:
    asked: list[str] = []

    def drive_type(root: str) -> int:
        asked.append(root)
        return kind

    libraries = {
        "kernel32": SimpleNamespace(GetDriveTypeW=drive_type),
        "cldapi": SimpleNamespace(CfGetSyncRootInfoByPath=lambda *_facts: in_step),
    }
    windows: Any = SimpleNamespace(
        WinDLL=libraries.__getitem__, create_string_buffer=create_string_buffer, c_uint32=c_uint32, byref=byref
    )
    assert drive._on_windows(PureWindowsPath(path), windows) == said
    assert asked in ([], [path[:3]])
