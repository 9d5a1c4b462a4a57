"""Copies from the command line: made, listed, put back."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from register.store import drive
from tests.cli.conftest import Shell
from tests.later import FOUND, GOOD, later

__all__ = ["later"]


def test_a_check_says_where_a_register_lies_badly_and_is_no_worse_for_it(
    yard: Shell, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    assert yard.json("check")["risk"] == ""
    (tmp_path / "mountinfo").write_text("30 22 0:40 / / rw,relatime - cifs //server/office rw\n")
    monkeypatch.setattr(drive, "MOUNTS", tmp_path / "mountinfo")
    assert yard.json("check")["risk"].startswith("yard.register lies on a network drive")
    assert "Mind where it lies: yard.register lies on a network drive" in yard.run("check")


def test_a_copy_is_made_listed_and_put_back(yard: Shell) -> None:
    made = yard.json("backup")
    (copy,) = made["copies"]
    assert made["faults"] == []
    assert Path(copy["file"]).exists()
    yard.run("remove", "YD-0003", "--reason", "sold")
    (listed,) = yard.json("restore")["copies"]
    assert (listed["file"], listed["usable"]) == (copy["file"], True)
    assert "events" in yard.run("restore")
    done = yard.json("restore", "--newest")
    assert (done["copy"], done["lost"]) == (copy["file"], 1)
    assert Path(done["set_aside"]).exists()
    assert yard.json("why", "YD-0003")["standing"] != "removed"
    assert yard.json("check")["ok"]


def test_a_copy_goes_where_it_is_told_and_comes_back_by_its_name(yard: Shell, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    said = yard.run("backup", "--to", str(stick))
    (copy,) = stick.iterdir()
    assert said.startswith(f"{copy}: checked and good")
    yard.run("remove", "YD-0003", "--reason", "sold")
    said = yard.run("restore", str(copy))
    assert "It held 1 event more than the copy" in said
    assert "What was there is kept as" in said


def test_what_can_not_be_is_said(yard: Shell, tmp_path: Path) -> None:
    assert "There is no copy of" in yard.refused("restore")
    assert "There is no good copy of" in yard.refused("restore", "--newest")
    assert "is not there, so no copy was made" in yard.refused("backup", "--to", str(tmp_path / "gone"))
    rubbish = tmp_path / "rubbish.register"
    rubbish.write_text("nothing")
    assert "is not a register" in yard.refused("restore", str(rubbish))
    assert yard.json("check")["ok"]


def test_a_file_that_is_no_register_gets_no_lock_beside_it(yard: Shell, tmp_path: Path) -> None:
    yard.db = tmp_path / "rubbish.register"
    yard.db.write_text("nothing")
    assert "is not a register" in yard.refused("upgrade")
    assert [path.name for path in tmp_path.glob("rubbish*")] == ["rubbish.register"]


def test_a_place_that_got_no_copy_is_told_as_a_refusal_is(yard: Shell) -> None:
    beside = yard.db.with_name("Copies of yard")
    beside.write_text("no folder")
    assert "Copies of yard" in yard.refused("backup")
    assert yard.json("backup", code=1) == {"copies": [], "faults": [yard.err.strip()]}


def test_a_register_of_an_earlier_version_is_brought_up_to_date(yard: Shell, later: Callable[[str], Path]) -> None:
    assert "is up to date: it has the layout" in yard.run("upgrade")
    with closing(sqlite3.connect(yard.db)) as file, file:
        (layout,) = file.execute("SELECT version_num FROM alembic_version").fetchone()
        file.execute("UPDATE alembic_version SET version_num = '9999'")
    assert "has the layout 9999, which this version of the program does not know" in yard.refused("upgrade")
    with closing(sqlite3.connect(yard.db)) as file, file:
        file.execute("UPDATE alembic_version SET version_num = ?", (layout,))
    later(GOOD)
    assert "Bring it up to date first" in yard.refused("why", "YD-0003")
    done = yard.json("upgrade")
    assert (done["before"], done["after"]) == (FOUND, "9001")
    assert Path(done["copy"]).exists()
    assert [each["usable"] for each in yard.json("restore")["copies"]] == [True]
    put_back = yard.json("restore", done["copy"])
    assert (put_back["brought_up_to_date"], put_back["lost"]) == (True, 1)
    again = yard.json("upgrade")
    assert (again["before"], again["after"], again["copy"]) == ("9001", "9001", None)
    for option in (("--copied",), ("--copy-to", "elsewhere")):
        assert "A register in a file is always copied first" in yard.refused("upgrade", *option)
