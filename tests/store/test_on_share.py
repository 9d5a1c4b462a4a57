"""A register on a network drive is only looked at, until somebody says once that it is changed there all the same."""

from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, time
from pathlib import Path

import pytest

from register.errors import Refused
from register.services.on_share import change_on_share
from register.services.settings import set_setting
from register.store import drive
from register.store.drive import is_share
from register.store.engine import open_register
from register.store.on_share import (
    NO_UPGRADE,
    NOT_MADE,
    ON_SHARE,
    check_upgrade,
    create_to_work,
    is_barred,
    open_file,
    open_to_work,
)
from tests.registers import ACTOR, TODAY, changing

NOON = datetime.combine(TODAY, time(12), UTC)


@pytest.fixture
def mounted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Let everything lie on a drive of some kind."""

    def mount(kind: str) -> None:
        (tmp_path / "mountinfo").write_text(f"30 22 0:40 / / rw,relatime - {kind} server:/office rw\n")
        monkeypatch.setattr(drive, "MOUNTS", tmp_path / "mountinfo")

    return mount


def only_looking(path: Path) -> str:
    with closing(open_file(path)) as window, closing(open_to_work(path)) as command:
        assert window.only_looking == command.only_looking
        return window.only_looking


def test_on_a_share_it_is_only_looked_at_until_that_was_said_once(path: Path, mounted: Callable[[str], None]) -> None:
    mounted("nfs4")
    before = path.read_bytes()
    with closing(open_file(path)) as register:
        assert register.only_looking == ON_SHARE.format(name="own.register")
        assert is_barred(register.only_looking)
        with pytest.raises(Refused, match="lies on a network drive"), changing(register) as change:
            set_setting(change, "firm", "Ridge")
    assert path.read_bytes() == before
    change_on_share(path, allowed=True, actor=ACTOR, at=NOON, today=TODAY)
    assert only_looking(path) == ""
    change_on_share(path, allowed=False, actor=ACTOR, at=NOON, today=TODAY)
    assert only_looking(path) == ON_SHARE.format(name="own.register")


@pytest.mark.parametrize("kind", ["ext4", "9p", "fuse.some-client"])
def test_elsewhere_it_is_changed(path: Path, mounted: Callable[[str], None], kind: str) -> None:
    mounted(kind)
    assert only_looking(path) == ""


def test_a_sample_is_changed_anywhere(path: Path, mounted: Callable[[str], None]) -> None:
    with closing(open_register(path)) as register, changing(register) as change:
        set_setting(change, "sample", value=True)
    mounted("cifs")
    assert only_looking(path) == ""


def test_another_reason_to_look_only_stays_the_reason(path: Path, mounted: Callable[[str], None]) -> None:
    mounted("nfs")
    with closing(open_file(path, "Another window has it open.")) as register:
        assert register.only_looking == "Another window has it open."
        assert not is_barred(register.only_looking)


def test_none_is_made_on_a_share(tmp_path: Path, mounted: Callable[[str], None]) -> None:
    mounted("smb3")
    with pytest.raises(Refused) as refused:
        create_to_work(tmp_path / "new.register")
    assert str(refused.value) == NOT_MADE.format(name="new.register")
    assert not (tmp_path / "new.register").exists()


def test_none_is_brought_up_to_date_on_a_share_unless_it_is_changed_there(
    path: Path, mounted: Callable[[str], None]
) -> None:
    mounted("nfs4")
    with closing(open_register(path)) as register:
        with pytest.raises(Refused) as refused:
            check_upgrade(register, path)
        assert str(refused.value) == NO_UPGRADE.format(name="own.register")
    change_on_share(path, allowed=True, actor=ACTOR, at=NOON, today=TODAY)
    with closing(open_register(path)) as register:
        check_upgrade(register, path)


def test_a_link_is_followed_to_where_the_register_lies(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    there, link = tmp_path / "office", tmp_path / "link.register"
    there.mkdir()
    link.symlink_to(there / "own.register")
    (tmp_path / "mountinfo").write_text(f"30 22 0:40 / {there} rw,relatime - nfs4 server:/office rw\n")
    monkeypatch.setattr(drive, "MOUNTS", tmp_path / "mountinfo")
    assert is_share(link)
    assert not is_share(tmp_path / "own.register")
    assert not is_share(Path("own\0.register"))
