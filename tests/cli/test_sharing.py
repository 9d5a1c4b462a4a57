"""A register on a network drive, at the command line: asked as ever, changed once somebody said so."""

from pathlib import Path

import pytest

from register.store import drive
from register.store.on_share import NOT_MADE, ON_SHARE
from tests.cli.conftest import Shell


@pytest.fixture
def on_a_share(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let everything lie on a share of the network from now on."""
    (tmp_path / "mountinfo").write_text("30 22 0:40 / / rw,relatime - cifs //server/office rw\n")
    monkeypatch.setattr(drive, "MOUNTS", tmp_path / "mountinfo")


@pytest.mark.usefixtures("yard", "on_a_share")
def test_on_a_share_questions_are_answered_and_changes_refused_until_that_was_said_once(shell: Shell) -> None:
    assert "YD-0001" in shell.run("due", "--within", "400")
    assert "Everything agrees" in shell.run("check")
    before = shell.db.read_bytes()
    assert shell.refused("remove", "YD-0003", "--reason", "sold") == ON_SHARE.format(name="yard.register")
    assert shell.db.read_bytes() == before
    assert shell.json("share") == {"register": str(shell.db), "on_share": True, "changed_there": False}
    assert "It may be changed on one" in shell.run("share", "--change")
    shell.run("remove", "YD-0003", "--reason", "sold")
    assert "only looked at" in shell.run("share", "--look")
    assert shell.refused("remove", "YD-0002", "--reason", "sold") == ON_SHARE.format(name="yard.register")


@pytest.mark.usefixtures("on_a_share")
def test_an_import_makes_no_register_on_a_share(shell: Shell, tmp_path: Path) -> None:
    (tmp_path / "yard.csv").write_text("Tag,Kind\nYD-1,Cord set\n", encoding="utf-8")
    said = shell.refused("import", str(tmp_path / "yard.csv"), "--site", "YARD")
    assert said == NOT_MADE.format(name="yard.register")
    assert not shell.db.exists()


def test_on_a_disk_of_this_computer_the_answer_is_kept_all_the_same(yard: Shell) -> None:
    assert "no network drive that is known" in yard.run("share", "--change")
    assert yard.json("share")["changed_there"]
