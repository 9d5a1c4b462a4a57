"""The files: four styles, made again from the same seed, as committed, every wrong row where it is said to be."""

import json
import re
import tomllib
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from register.domain.measures import read_measure
from register.domain.words import Check
from register.errors import Refused
from sample_sites.make import FIXED_DAY, HERE, SampleFile, make

Rows = list[list[Any]]
Sheets = dict[str, dict[str, Rows]]
BESIDE = ("sites.toml", "known_problems.json", "demo_record.json")
DAY_FORMATS = ("%d/%m/%Y", "%Y-%m-%d", "%d-%b-%y")


@pytest.fixture(scope="module")
def problems(made: list[SampleFile]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads((made[0].path.parent / "known_problems.json").read_text(encoding="utf-8"))
    return found


def test_each_site_has_a_file_of_its_own_and_each_style_four(made: list[SampleFile]) -> None:
    assert len({each.path for each in made}) == len(made) == 16
    styles = [each.style for each in made]
    assert {style: styles.count(style) for style in styles} == {"A": 4, "B": 4, "C": 4, "D": 4}
    assert {each.path.suffix for each in made if each.style in "AC"} == {".xlsx"}
    assert {each.path.suffix for each in made if each.style in "BD"} == {".csv"}
    assert any(each.rulebook == "au-qld" for each in made)


def test_the_same_day_and_seed_give_the_same_files(made: list[SampleFile], tmp_path: Path) -> None:
    for first, again in zip(made, make(tmp_path, FIXED_DAY), strict=True):
        assert first.path.read_bytes() == again.path.read_bytes(), first.path.name
    for name in BESIDE:
        assert (made[0].path.parent / name).read_bytes() == (tmp_path / name).read_bytes()


def test_another_seed_gives_other_readings(
    made: list[SampleFile], tmp_path: Path, rows_of: Callable[[Path], dict[str, Rows]], sheets: Sheets
) -> None:
    for each in make(tmp_path, FIXED_DAY, seed=1):
        assert rows_of(each.path) != sheets[each.path.name]
    assert len(made) == len(sheets)


def test_the_committed_files_are_those_of_the_fixed_day(
    made: list[SampleFile], rows_of: Callable[[Path], dict[str, Rows]], sheets: Sheets
) -> None:
    committed = {path.name for path in HERE.iterdir() if path.suffix in {".xlsx", ".csv", ".json", ".toml"}}
    assert committed == {*sheets, *BESIDE}
    for name, rows in sheets.items():
        assert rows_of(HERE / name) == rows, f"{name} is not what the script makes"
    for name in BESIDE:
        new = (made[0].path.parent / name).read_text(encoding="utf-8")
        assert (HERE / name).read_text(encoding="utf-8") == new, f"{name} is not what the script makes"


def test_the_committed_files_stay_small() -> None:
    assert sum(path.stat().st_size for path in HERE.rglob("*") if "__pycache__" not in path.parts) < 1_000_000


def test_each_style_writes_dates_and_numbers_in_its_own_way(made: list[SampleFile], sheets: Sheets) -> None:
    for each in made:
        rows = [row for table in sheets[each.path.name].values() for row in table]
        dates = [cell for row in rows for cell in row if isinstance(cell, datetime)]
        texts = [str(cell) for row in rows for cell in row if isinstance(cell, str)]
        assert bool(dates) == (each.style == "A")
        assert any(re.fullmatch(r"\d\d/\d\d/\d{4}", text) for text in texts) == (each.style == "B")
        assert any(re.fullmatch(r"\d\d-[A-Z][a-z]{2}-\d\d", text) for text in texts) == (each.style == "C")
        assert any(re.fullmatch(r"\d{4}-\d\d-\d\d", text) for text in texts) == (each.style == "D")
        assert any(re.fullmatch(r"[\d.]+ms", text) for text in texts) == (each.style == "B")
        assert any(re.fullmatch(r"\d+,\d+", text) for text in texts) == (each.style == "D")


def test_the_list_style_has_rows_above_between_and_below_its_table(made: list[SampleFile], sheets: Sheets) -> None:
    for each in made:
        if each.style == "C":
            rows = sheets[each.path.name]["List"]
            head = next(place for place, row in enumerate(rows) if "Tag" in row)
            total = next(place for place, row in enumerate(rows) if "Total items" in row)
            assert rows[1][:2] == ["Site:", each.site_code]
            assert head == 5
            assert [None] * len(rows[0]) in rows[head:total]


def test_every_known_problem_stands_where_it_is_said_to(problems: list[dict[str, Any]], sheets: Sheets) -> None:
    assert len(problems) >= 30
    for problem in problems:
        rows = sheets[problem["file"]][problem["sheet"]]
        head = next(row for row in rows if problem["column"] in row)
        cell = rows[problem["row"] - 1][head.index(problem["column"])]
        written = cell.date().isoformat() if isinstance(cell, datetime) else cell
        assert ("" if written is None else str(written)) == problem["value"], problem


def test_every_known_problem_is_really_wrong(problems: list[dict[str, Any]], sheets: Sheets) -> None:
    for problem in problems:
        rows = sheets[problem["file"]][problem["sheet"]]
        assert WRONG[problem["problem"]](problem, rows), problem
    assert {problem["problem"] for problem in problems} == set(WRONG)


def day_of(text: str) -> date | None:
    for form in DAY_FORMATS:
        try:
            return datetime.strptime(text, form).date()  # noqa: DTZ007 - a day, of no zone
        except ValueError:
            continue
    return None


def refused(check: Check, text: str) -> bool:
    try:
        read_measure(check, text)
    except Refused:
        return True
    return False


def same_tag(problem: dict[str, Any], rows: Rows) -> list[list[Any]]:
    place = next(row for row in rows if problem["column"] in row).index(problem["column"])
    return [row for row in rows if row[place] is not None and str(row[place]) == problem["value"]]


def is_another_item(problem: dict[str, Any], rows: Rows) -> bool:
    head = next(row for row in rows if problem["column"] in row)
    kind = next(place for place, heading in enumerate(head) if heading in {"Kind", "Type", "Group"})
    return len({row[kind] for row in same_tag(problem, rows)}) > 1


def is_beyond_the_outlets(problem: dict[str, Any], rows: Rows) -> bool:
    """The row has nothing in the second outlet's columns, so a later one can't be right."""
    head = rows[0]
    row = rows[problem["row"] - 1]
    second = [place for place, heading in enumerate(head) if re.search(r"(Outlet |\bO)2\b", str(heading))]
    return bool(second) and all(row[place] is None for place in second if head[place] != problem["column"])


WRONG: dict[str, Callable[[dict[str, Any], Rows], bool]] = {
    "impossible-date": lambda problem, _: day_of(problem["value"]) is None,
    "future-date": lambda problem, _: (day_of(problem["value"]) or FIXED_DAY) > FIXED_DAY,
    "before-1990": lambda problem, _: (day_of(problem["value"]) or FIXED_DAY) < date(1990, 1, 1),
    "negative-reading": lambda problem, _: refused(Check.TRIP_TIME, problem["value"]),
    "letters-in-reading": lambda problem, _: refused(Check.TRIP_TIME, problem["value"]),
    "absurd-reading": lambda problem, _: refused(Check.TRIP_TIME, problem["value"]),
    "wrong-unit": lambda problem, _: refused(Check.EARTH_RESISTANCE, problem["value"]),
    "no-such-outlet": is_beyond_the_outlets,
    "unknown-kind": lambda problem, _: problem["value"] == "misc",
    "unknown-class": lambda problem, _: problem["value"] == "tbc",
    "missing-tag": lambda problem, _: problem["value"] == "",
    "duplicate-tag": is_another_item,
    "repeated-row": lambda problem, rows: rows.count(rows[problem["row"] - 1]) == 2,
}


def test_the_register_of_sites_names_the_firm_and_every_site_with_its_file(made: list[SampleFile]) -> None:
    register = tomllib.loads((made[0].path.parent / "sites.toml").read_text(encoding="utf-8"))
    assert [(site["code"], site["file"], site["owner"]) for site in register["sites"]] == [
        (each.site_code, each.path.name, each.owner) for each in made
    ]
    assert {site["owner"] for site in register["sites"]} == {owner["name"] for owner in register["owners"]}
    assert len(register["testers"]) == len(register["instruments"]) == 2
    for instrument in register["instruments"]:
        assert instrument["calibrated_on"] < FIXED_DAY < instrument["calibration_due"]


def test_the_demos_switch_is_in_the_boat_yards_sheet_and_was_last_tested_half_a_year_ago(
    made: list[SampleFile], sheets: Sheets
) -> None:
    demo = tomllib.loads((made[0].path.parent / "sites.toml").read_text(encoding="utf-8"))["demo"]
    boat_yard = next(each for each in made if each.site_code == demo["site"])
    head, *rows = sheets[boat_yard.path.name]["Items"]
    item = next(dict(zip(head, row, strict=True)) for row in rows if row[0] == demo["tag"])
    assert (item["Kind"], item["Outlets"], item["Switch type"]) == ("Portable safety switch", 2, "Type II")
    head, *rows = sheets[boat_yard.path.name]["Tests"]
    tests = [dict(zip(head, row, strict=True)) for row in rows if row[0] == demo["tag"]]
    assert {test["Result"] for test in tests} == {"Pass"}
    last = max(test["Test date"].date() for test in tests)
    assert timedelta(days=184) < FIXED_DAY - last < timedelta(days=194)


def test_the_demo_record_is_complete_but_for_one_half_cycle_of_the_second_outlet(made: list[SampleFile]) -> None:
    (record,) = json.loads((made[0].path.parent / "demo_record.json").read_text(encoding="utf-8"))
    times = {
        (reading["outlet"], reading["half_cycle"]): float(reading["value"])
        for reading in record["readings"]
        if reading["quantity"] == "trip-time"
    }
    assert set(times) == {(1, 0), (1, 180), (2, 0), (2, 180)}
    assert [place for place, time in times.items() if time > 300] == [(2, 180)]
    assert record["tested_on"] == FIXED_DAY.isoformat()
