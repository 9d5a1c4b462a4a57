"""What nobody should type, and what happens then: one sentence, and a register as it was."""

import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from register.cli import context
from tests.cli.conftest import SHEET, Shell

Writer = Callable[..., Path]


def unchanged(shell: Shell, before: int) -> bool:
    return bool(shell.json("check")["events"] == before)


@pytest.mark.parametrize(
    "words",
    [
        ("plan", "--vans", "0"),
        ("plan", "--vans", "1000000"),
        ("plan", "--seed", "-1"),
        ("plan", "--seed", "99999999999999999999"),
        ("plan", "--effort", "nan"),
        ("plan", "--effort", "inf"),
        ("plan", "--effort", "-1"),
        ("plan", "--effort", "long"),
        ("forecast", "--more-vans", "1000000"),
        ("due", "--within", "٣"),
        ("due", "--on", "20261124"),
        ("due", "--on", "2026-W48-2"),
    ],
)
def test_a_number_or_day_that_can_not_be_meant_is_wrong_usage(yard: Shell, words: tuple[str, ...]) -> None:
    with pytest.raises(SystemExit) as stopped:
        yard.run(*words)
    assert stopped.value.code == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("forecast", "--interval", "tea-break=P6M"), "is no interval of a duty"),
        (("forecast", "--interval", "operating-time"), "is no interval of a duty"),
        (("forecast", "--new-site-items", "4"), "--new-site-like"),
        (("plan", "--pin", "NOPE=2027-06-01"), "There is no site NOPE"),
        (("plan", "--pin", "=2026-11-25"), "is no pin"),
        (("plan", "--pin", "YARD=2027-06-01"), "Give a day of it"),
    ],
)
def test_a_trial_of_what_is_not_there_is_refused(yard: Shell, words: tuple[str, ...], said: str) -> None:
    assert said in yard.refused(*words)


def test_nothing_is_taken_in_where_its_preview_can_not_be_written(yard: Shell, tmp_path: Path) -> None:
    before = yard.json("check")["events"]
    more = tmp_path / "more.csv"
    more.write_text(SHEET.replace("YD-000", "YD-100"), encoding="utf-8")
    for place in (tmp_path / "none" / "preview.xlsx", tmp_path / "preview.csv", tmp_path):
        yard.refused("import", str(more), "--site", "YARD", "--preview", str(place))
    assert unchanged(yard, before)


@pytest.mark.parametrize("name", ["--ics", "--gpx", "--geojson", "--xlsx"])
def test_no_week_is_kept_where_its_files_can_not_be_written(yard: Shell, tmp_path: Path, name: str) -> None:
    before = yard.json("check")["events"]
    yard.refused("plan", "--keep", name, str(tmp_path / "none" / "week.xlsx"))
    yard.refused("plan", "--keep", name, str(tmp_path))
    assert unchanged(yard, before)


def test_more_than_anybody_wrote_is_not_read(yard: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(context, "LARGEST", 1000)
    large = tmp_path / "large.json"
    large.write_text(json.dumps(["x" * 1000]), encoding="utf-8")
    assert "Check the file, or split it" in yard.refused("record", str(large))
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(large.read_bytes())))
    assert "standard input" in yard.refused("record", "-")
