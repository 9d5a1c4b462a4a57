"""The command on how long records are kept."""

from collections.abc import Callable
from pathlib import Path

from tests.cli.conftest import Shell

LATER = ("--today", "2040-01-01")


def test_what_is_past_its_time_is_listed_and_removed_when_it_is_asked(yard: Shell, record: Callable[..., Path]) -> None:
    yard.run("record", str(record()))
    assert yard.json("keeping")["records"] == 0
    found = yard.json("keeping", *LATER)
    assert (found["years"], found["before"], found["removed"]) == (7, "2033-01-01", False)
    assert found["past"] == [{"year": 2026, "records": 1, "photos": 0, "items": 1}]
    assert found["still_needed"] == 3
    said = yard.run("keeping", *LATER)
    assert "Records are kept 7 years: all since 1 Jan 2033." in said
    assert "r 150(3)" in said
    assert "Nothing is removed by itself" in said
    assert "Removed for good: 1 record and 0 photos." in yard.run("keeping", "--remove", *LATER)
    assert (yard.json("keeping", *LATER)["records"], yard.json("keeping", *LATER)["removed_earlier"]) == (0, 1)
    assert "Nothing of before 1 Jan 2033 is past keeping" in yard.refused("keeping", "--remove", *LATER)
    assert yard.json("check")["faults"] == []
