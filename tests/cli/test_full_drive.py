"""A drive that is full while a file is written to it: an earlier one of its name is as it was, and nothing is left.

The register is on another drive.
"""

import shutil
from pathlib import Path

import pytest

from tests.cli.conftest import SHEET, Shell
from tests.registers import stick

__all__ = ["stick"]

EARLIER = b"what was written last week"
WEEK = ("plan", "--effort", "0")
WRITTEN = {
    "due.xlsx": ("export", "--site", "YARD", "{file}"),
    "week.xlsx": (*WEEK, "--xlsx", "{file}"),
    "week.ics": (*WEEK, "--ics", "{file}"),
    "week.geojson": (*WEEK, "--geojson", "{file}"),
    "week.gpx": (*WEEK, "--gpx", "{file}"),
    "yard.fieldpack": ("pack", "{file}", "--site", "YARD", "--holder", "Kim Ferro"),
    "yard.toml": ("import", "{sheet}", "--site", "YARD", "--dry-run", "--write-mapping", "{file}"),
    "seen.xlsx": ("import", "{sheet}", "--site", "YARD", "--dry-run", "--preview", "{file}"),
}


def fill(stick: Path) -> None:
    """Leave no room on a drive."""
    (stick / "rest").write_bytes(bytes(shutil.disk_usage(stick).free))


@pytest.mark.parametrize("name", WRITTEN)
def test_an_earlier_file_is_as_it_was_and_nothing_is_left_beside_it(
    yard: Shell, stick: Path, tmp_path: Path, name: str
) -> None:
    sheet, file = tmp_path / "again.csv", stick / name
    sheet.write_text(SHEET, encoding="utf-8")
    file.write_bytes(EARLIER)
    fill(stick)

    words = [word.format(file=file, sheet=sheet) for word in WRITTEN[name]]
    yard.run(*words, code=1)

    assert "Traceback" not in yard.err
    assert any(said in yard.err for said in ("is full", "Make room", "No space left"))
    assert file.read_bytes() == EARLIER
    assert sorted(each.name for each in stick.iterdir()) == sorted([name, "rest"])
    (stick / "rest").unlink()
    yard.run(*words)
    assert file.read_bytes() != EARLIER


def test_copies_that_are_there_are_as_they_were_and_no_half_one_is_beside_them(yard: Shell, stick: Path) -> None:
    fill(stick)
    said = yard.refused("backup", "--to", str(stick))
    size = -(-yard.db.stat().st_size // 100_000) / 10
    assert said == (
        f"The drive {stick} is full, so no copy was made in stick. Older copies were left as they are. Free {size} MB"
        " there or choose another folder."
    )
    assert [each.name for each in stick.iterdir()] == ["rest"]
    (stick / "rest").unlink()
    yard.run("backup", "--to", str(stick))
    (copy,) = stick.iterdir()
    before = copy.read_bytes()
    yard.run("missing", "YD-0003")
    fill(stick)
    yard.refused("backup", "--to", str(stick))
    assert sorted(stick.iterdir()) == sorted([copy, stick / "rest"])
    assert copy.read_bytes() == before
