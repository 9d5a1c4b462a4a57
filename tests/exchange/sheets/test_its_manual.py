"""The manual names every field, style and word of a mapping, and its example is one."""

import re
from pathlib import Path

import pytest

from register.domain.records import MULTIPLES
from register.domain.words import Check, TestCurrent
from register.exchange.sheets import cells, gate
from register.exchange.sheets.fields import DateStyle, Field
from register.exchange.sheets.mapping_file import parse_mapping
from register.exchange.sheets.values import FREE_TABLES, tables

MANUAL = (Path(__file__).parents[3] / "docs" / "spreadsheets.md").read_text(encoding="utf-8")
NAMED = set(re.findall(r"`([^`\n]+)`", MANUAL))


@pytest.mark.parametrize(
    "words",
    [
        list(Field),
        list(DateStyle),
        list(TestCurrent),
        [check for check in Check if check is not Check.LOOK],
        [f"{multiple:f}" for multiple in MULTIPLES],
        sorted({table.name for table in tables(frozenset(), {}).values()} | set(FREE_TABLES)),
        list(tables(frozenset(), {})[Field.STANDING].choices),
        list(tables(frozenset(), {})[Field.WORK_DONE].choices),
    ],
)
def test_every_word_of_a_mapping_is_named(words: list[str]) -> None:
    assert not {str(word) for word in words} - NAMED


def test_the_example_is_a_mapping_and_shows_every_kind_of_line() -> None:
    section = MANUAL.partition("## A mapping")[2].partition("\n\nHeadings are")[0]
    text = "\n".join(line.removeprefix("    ") for line in section.splitlines())
    mapping, problems = parse_mapping(text, "the example")
    assert mapping is not None, problems
    assert mapping.sheets["Register"].columns["t both"].reading is not None
    assert mapping.constants.rulebook == "au-in-service"


def test_the_limits_are_those_of_the_program() -> None:
    limits = MANUAL.partition("## Limits")[2]
    for number in (gate.MOST_ENTRIES, cells.MOST_ROWS, cells.MOST_COLUMNS, cells.MOST_SHEETS, cells.LONGEST_CELL):
        assert f"{number:,}" in limits
    assert f"{gate.LARGEST_FILE // 1_000_000} MB" in limits
    assert f"{gate.LARGEST_UNPACKED // 1_000_000} MB" in limits
    assert f"{cells.MOST_BLANK_ROWS:,} blank rows" in limits
