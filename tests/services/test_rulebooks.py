"""Rulebooks that come with the program and rulebooks of the user's own."""

import json
import subprocess
import sys
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from register.domain.intervals import Occasion
from register.domain.rulebook import Confidence, Fact, Strength
from register.domain.words import (
    CONTRACTORS_DUTIES,
    Check,
    Delay,
    Duty,
    Kind,
    SwitchType,
    TestCurrent,
    Unit,
    Waveform,
)
from register.errors import Refused, Unavailable
from register.services.rulebooks import (
    LARGEST_BYTES,
    find_rulebook,
    interval_rows,
    rulebook,
    rulebook_from_file,
    rulebook_ids,
)

WORDS = (Check, Confidence, Delay, Duty, Fact, Kind, Occasion, Strength, SwitchType, TestCurrent, Unit, Waveform)
TOP = Path(__file__).resolve().parents[2]
SHIPPED = TOP / "resources" / "rulebooks"
HOUSE = """\
id = "house"
title = "House rules"
version = "1"
about = "One firm's own, on top of the Australian ones."
extends = "au-in-service"

[edition.house-1]
title = "House rules of 2026"

[[interval]]
duty = "inspection-and-test"
kinds = ["equipment"]
environments = ["benign"]
every = "P2Y"
source = "House rules, paragraph 3"
edition = "house-1"
confidence = "read"
"""


def refusal(path: Path) -> str:
    with pytest.raises(Refused) as refused:
        rulebook_from_file(path)
    return str(refused.value)


def write(path: Path, text: str) -> Path:
    path.write_text(text, encoding="utf-8")
    return path


def test_two_rulebooks_come_with_the_program() -> None:
    assert rulebook_ids() == ("au-in-service", "au-qld")


@pytest.mark.parametrize("id_", ["au-in-service", "au-qld"])
def test_each_is_named_like_its_file_and_read_once(id_: str) -> None:
    book = rulebook(id_)
    assert book.id == id_
    assert book.version
    assert rulebook(id_) is book


def test_an_unknown_id_is_refused_with_those_that_are_there() -> None:
    with pytest.raises(Refused, match=r"There is no rulebook “au”\. There are: au-in-service, au-qld\."):
        rulebook("au")


@pytest.mark.parametrize("id_", ["au-in-service", "au-qld"])
def test_every_line_says_where_it_stands(id_: str) -> None:
    book = rulebook(id_)
    sources = [line.source for line in book.intervals]
    sources += [line.source for line in book.checklists]
    sources += [line.source for line in book.limits]
    sources += [rule.source for rule in book.conditions.values()]
    for source in sources:
        assert source.text
        assert source.edition.id in book.editions
    assert all(other.value and other.source for line in book.intervals for other in line.others)


@pytest.mark.parametrize("id_", ["au-in-service", "au-qld"])
def test_every_duty_of_the_contractor_has_its_checks(id_: str) -> None:
    book = rulebook(id_)
    listed = {(line.duty, kind) for line in book.checklists for kind in line.kinds}
    for line in book.intervals:
        if line.duty in CONTRACTORS_DUTIES:
            assert {(line.duty, kind) for kind in line.kinds} <= listed


LOOK, EARTH, POLARITY = (Check.LOOK,), (Check.EARTH_RESISTANCE,), (Check.POLARITY,)
INSULATION, EITHER = (Check.INSULATION_RESISTANCE,), (Check.INSULATION_RESISTANCE, Check.LEAKAGE_CURRENT)
ON_OUTLETS = ((LOOK, EITHER), (EARTH, POLARITY))


@pytest.mark.parametrize(
    ("kind", "per_item", "per_outlet"),
    [
        (Kind.APPLIANCE_CLASS_1, (LOOK, EARTH, EITHER), ()),
        (Kind.APPLIANCE_CLASS_2, (LOOK, EITHER), ()),
        (Kind.CORD_SET, *ON_OUTLETS),
        (Kind.EXTENSION_LEAD, *ON_OUTLETS),
        (Kind.PORTABLE_OUTLET_DEVICE, *ON_OUTLETS),
        (Kind.PORTABLE_SAFETY_SWITCH, *ON_OUTLETS),
        (Kind.ISOLATING_TRANSFORMER, (LOOK, INSULATION), ()),
    ],
)
def test_inspection_and_test_asks_what_the_kind_has(
    kind: Kind, per_item: tuple[tuple[Check, ...], ...], per_outlet: tuple[tuple[Check, ...], ...]
) -> None:
    lines = [
        line
        for line in rulebook("au-in-service").checklists
        if line.duty is Duty.INSPECTION_AND_TEST and kind in line.kinds
    ]
    assert [(line.per_item, line.per_outlet, line.switch_multiples) for line in lines] == [(per_item, per_outlet, ())]


def test_operating_time_asks_a_look_and_the_time_at_the_rated_current() -> None:
    (line,) = [line for line in rulebook("au-qld").checklists if line.duty is Duty.OPERATING_TIME]
    assert (line.per_item, line.per_outlet, line.switch_multiples) == ((LOOK,), (), (Decimal(1),))
    assert line.kinds == frozenset(Kind)


def test_interval_rows_have_the_shape_of_the_command_line() -> None:
    row = interval_rows(rulebook("au-in-service"), Kind.PORTABLE_SAFETY_SWITCH, "cleaning")[1].as_json()
    assert json.loads(json.dumps(row)) == row
    assert {key: row[key] for key in ("duty", "every", "rulebook", "environment", "kind", "edition", "confidence")} == {
        "duty": "operating-time",
        "every": "P6M",
        "rulebook": "au-in-service",
        "environment": "cleaning",
        "kind": "portable-safety-switch",
        "edition": "AS/NZS 3760:2010",
        "confidence": "disputed",
    }
    assert row["source"] == "AS/NZS 3760:2010 Table 4, row 5, operating-time column for portable switches"
    assert row["others"] == [
        {
            "value": "3 months",
            "source": "trade restatements of AS/NZS 3760 for Western Australia and New South Wales",
        }
    ]
    assert row["taken_from"] is None
    assert "on" not in row
    assert "up_to" not in row


def test_a_row_for_an_occasion_has_no_interval() -> None:
    rows = interval_rows(rulebook("au-in-service"), Kind.CORD_SET, "hire", has_switch=True)
    said = {str(row.as_json()["duty"]): row.as_json() for row in rows}
    assert list(said) == ["inspection-and-test", "operating-time", "button-press", "look-before-hire"]
    assert said["button-press"]["on"] == "before-hire"
    assert "every" not in said["button-press"]
    assert said["button-press"]["words"] == "before each hire"


def test_a_row_reads_with_its_conditions_and_says_from_where_it_was_taken() -> None:
    book = rulebook("au-qld")
    (row,) = interval_rows(book, Kind.APPLIANCE_CLASS_1, "office")
    assert row.words == ("every 5 years, only if it is moved in normal use, unless it is connected to a safety switch")
    assert row.as_json()["unless"] == ["protected-by-switch"]
    (first, *_) = interval_rows(book, Kind.CORD_SET, "construction")
    assert first.words == "every 3 months, and before first use at the site"
    assert (first.as_json()["rulebook"], first.as_json()["taken_from"]) == ("au-qld", "au-in-service")
    assert first.as_json()["first"] == "before-first-use"


def test_rows_for_hired_equipment_on_a_construction_site_are_those_of_the_place() -> None:
    rows = interval_rows(rulebook("au-in-service"), Kind.CORD_SET, "hire", "construction")
    assert [(str(row.line.duty), row.words) for row in rows] == [
        ("inspection-and-test", "every month"),
        ("look-before-hire", "before each hire"),
    ]


def test_a_class_of_another_rulebook_is_refused_with_those_that_are_there() -> None:
    with pytest.raises(
        Refused, match=r"“workshop” is not an environment class of the rulebook au-qld\. It has: constr"
    ):
        interval_rows(rulebook("au-qld"), Kind.CORD_SET, "workshop")


def test_a_users_own_file_extends_a_rulebook_of_the_program(tmp_path: Path) -> None:
    path = write(tmp_path / "house.toml", HOUSE)
    for book in (rulebook_from_file(path), find_rulebook(str(path))):
        (benign,) = interval_rows(book, Kind.CORD_SET, "benign")
        (workshop,) = interval_rows(book, Kind.CORD_SET, "workshop")
        assert (benign.words, workshop.words) == ("every 2 years", "every 6 months")
        assert book.limits == rulebook("au-in-service").limits
    assert find_rulebook("au-qld") is rulebook("au-qld")


def test_marks_and_line_ends_of_other_systems_are_read(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    path.write_bytes(b"\xef\xbb\xbf" + HOUSE.replace("\n", "\r\n").encode())
    assert rulebook_from_file(path).id == "house"


def test_a_missing_source_is_refused_with_table_key_and_line(tmp_path: Path) -> None:
    path = write(tmp_path / "house.toml", HOUSE.replace('source = "House rules, paragraph 3"\n', ""))
    assert refusal(path) == (
        "The rulebook house.toml is not used, because something in it is wrong.\n"
        "house.toml, [[interval]] 1, source, line 10: The key “source” is missing. Every rule says where it stands: "
        "write the standard or regulation and its clause."
    )


def test_many_mistakes_are_counted_and_the_first_ones_shown(tmp_path: Path) -> None:
    bad = HOUSE.replace("confidence", "confidense").replace('every = "P2Y"', "every = 2\na = 1\nb = 1\nc = 1")
    lines = refusal(write(tmp_path / "house.toml", bad)).splitlines()
    assert lines[0] == "The rulebook house.toml is not used, because 6 things in it are wrong."
    assert len(lines) == 7
    assert lines[-1] == "and 1 more."
    few = HOUSE.replace("confidence", "confidense")
    assert len(refusal(write(tmp_path / "house.toml", few)).splitlines()) == 3


@pytest.mark.parametrize("extends", ["au-nsw", "house"])
def test_a_file_that_extends_nothing_known_is_refused(tmp_path: Path, extends: str) -> None:
    path = write(tmp_path / "house.toml", HOUSE.replace('"au-in-service"', f'"{extends}"'))
    assert f"extends, line 5: “{extends}” is not a rulebook that is there to extend." in refusal(path)


def test_a_changed_copy_must_take_an_id_of_its_own(tmp_path: Path) -> None:
    text = (SHIPPED / "au-in-service.toml").read_text(encoding="utf-8")
    same = write(tmp_path / "copy.toml", text)
    assert rulebook_from_file(same).intervals == rulebook("au-in-service").intervals
    longer = write(tmp_path / "longer.toml", text.replace('every = "P6M"', 'every = "P5Y"', 1))
    assert refusal(longer) == (
        "The file longer.toml calls itself “au-in-service”, which is a rulebook of the program and says something "
        "else. Give it an id of its own."
    )


def test_what_is_not_a_text_of_sensible_size_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    path.write_bytes(b"\xff\xfe\x00id")
    assert refusal(path) == "The file house.toml is not text in UTF-8, so it can't be read. Save it as UTF-8."
    path.write_bytes(b"#" * (LARGEST_BYTES + 1))
    assert refusal(path) == "The file house.toml is larger than 1 MB. Choose a rulebook."


def test_a_file_that_is_not_there_or_is_a_folder_is_named(tmp_path: Path) -> None:
    for path in (tmp_path / "none.toml", tmp_path):
        with pytest.raises(Unavailable, match="can't be read: ") as unavailable:
            rulebook_from_file(path)
        assert str(path) in str(unavailable.value)


def test_rulebooks_are_found_from_any_folder(tmp_path: Path) -> None:
    code = "from register.services.rulebooks import rulebook_ids; print(*rulebook_ids())"
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env={"PYTHONPATH": str(TOP)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.split() == ["au-in-service", "au-qld"]


def test_the_example_in_the_manual_does_what_the_manual_says(tmp_path: Path) -> None:
    manual = (TOP / "docs" / "rulebooks.md").read_text(encoding="utf-8")
    example = manual.split("```toml\n")[1].split("```")[0]
    book = rulebook_from_file(write(tmp_path / "house.toml", example))
    words = [interval_rows(book, kind, "benign")[0].words for kind in (Kind.CORD_SET, Kind.APPLIANCE_CLASS_1)]
    assert words == ["every 2 years", "every 5 years"]
    (timed,) = [line for line in book.checklists if line.duty is Duty.OPERATING_TIME]
    assert timed.switch_multiples == (Decimal(1), Decimal(5))


def test_the_manual_names_every_key_and_word_of_the_format() -> None:
    manual = (TOP / "docs" / "rulebooks.md").read_text(encoding="utf-8")
    words = [word.value for words in WORDS for word in words if word.value]
    keys = {name for path in SHIPPED.glob("*.toml") for name in _keys(tomllib.loads(path.read_text(encoding="utf-8")))}
    assert keys >= {"every", "others", "of_rated"}
    assert [word for word in (*words, *sorted(keys)) if f"`{word}`" not in manual and f'"{word}"' not in manual] == []


def _keys(table: dict[str, Any]) -> set[str]:
    """Return the names of the keys of a rulebook file that the format fixes."""
    lines = [line for name in ("interval", "checklist", "limit") for line in table.get(name, [])]
    named = [entry for name in ("edition", "environment", "condition") for entry in table.get(name, {}).values()]
    tables = {"scope", "edition", "environment", "condition", "kinds", "interval", "checklist", "limit"}
    return {key for entry in [*lines, *named, table["scope"]] for key in entry} | (set(table) - tables)
