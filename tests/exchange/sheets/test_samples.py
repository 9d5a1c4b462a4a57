"""The sample spreadsheets come in whole: every wrong row is found where it is, and no other is refused."""

import json
import tomllib
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, Final

import pytest

import sample_sites
from register.domain.items import SAFETY_SWITCHES
from register.domain.words import Duty
from register.exchange.sheets.file_reading import FileReading
from register.exchange.sheets.mapping import Mapping
from register.exchange.sheets.mapping_file import read_mapping
from tests.exchange.sheets.made_files import read

ROOT: Final = Path(sample_sites.__file__).parent
PLAN: Final = tomllib.loads((ROOT / "sites.toml").read_text(encoding="utf-8"))
KNOWN: Final[list[dict[str, Any]]] = json.loads((ROOT / "known_problems.json").read_text(encoding="utf-8"))
CLASSES: Final = {
    "au-in-service": {"workshop", "flexed-or-hostile", "benign", "residential", "cleaning", "hire", "construction"},
    "au-qld": {"manufacturing", "construction", "amusement", "service", "office", "rural"},
}
SITES: Final = {site["code"]: site for site in PLAN["sites"]}
NOTED: Final = frozenset({"repeated-row"})
"""What is only noted: the same row a second time takes nothing away."""


def mapping_of(style: str) -> Mapping | None:
    path = ROOT / "mappings" / f"{style}.toml"
    return read_mapping(path) if path.exists() else None


@pytest.fixture(params=SITES)
def site(request: pytest.FixtureRequest) -> dict[str, Any]:
    return SITES[request.param]


@cache
def read_sample(code: str) -> FileReading:
    return read_as(code, mapping_of(SITES[code]["style"]))


def read_as(code: str, mapping: Mapping | None) -> FileReading:
    site = SITES[code]
    today = date.fromisoformat(str(PLAN["demo"]["today"]))
    classes = frozenset(CLASSES[site["rulebook"]])
    return read(ROOT / site["file"], mapping, today=today, environments=classes)


@pytest.fixture
def reading(site: dict[str, Any]) -> FileReading:
    return read_sample(site["code"])


def test_nothing_has_to_be_asked_and_every_row_is_accounted_for(site: dict[str, Any], reading: FileReading) -> None:
    assert not reading.questions
    assert reading.rows.items
    assert reading.rows.records
    assert (
        {item.site for item in reading.rows.items} == {record.site for record in reading.rows.records} == {site["code"]}
    )
    assert all(item.kind for item in reading.rows.items)
    assert all(item.safety_switch for item in reading.rows.items if item.kind in SAFETY_SWITCHES)


def test_every_known_problem_is_told_at_its_row_and_column(site: dict[str, Any], reading: FileReading) -> None:
    told = {(each.place.row, each.column, each.value) for each in reading.rows.problems}
    for known in (each for each in KNOWN if each["file"] == site["file"]):
        assert (known["row"], known["column"], known["value"]) in told, known


def test_no_other_row_is_refused(site: dict[str, Any], reading: FileReading) -> None:
    known = [each for each in KNOWN if each["file"] == site["file"] and each["problem"] not in NOTED]
    refused = [each for each in reading.rows.problems if each.refused]
    assert {(each.place.row, each.column) for each in refused} == {(each["row"], each["column"]) for each in known}


def test_a_bare_result_claims_no_operating_time(reading: FileReading, site: dict[str, Any]) -> None:
    claims = {
        bool(record.record.readings)
        for record in reading.rows.records
        if Duty.OPERATING_TIME in record.record.duties and record.as_found == "pass"
    }
    assert claims == ({True} if site["style"] != "C" else set())


def test_reading_a_file_with_the_mapping_it_was_read_by_changes_nothing(
    site: dict[str, Any], reading: FileReading
) -> None:
    assert read_as(site["code"], reading.mapping_used).rows == reading.rows
