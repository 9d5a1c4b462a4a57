"""Random items and records out in an owner workbook and in again: nothing changes, at home or in another register."""

import shutil
from collections.abc import Sequence
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any, Final
from uuid import NAMESPACE_URL, uuid5

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from register.domain.measures import read_measure
from register.domain.words import Check, Duty, Kind, Result
from register.exchange.taking_in import read_file, take_in_reading
from register.exchange.workbook import write_owner_workbook
from register.services.intake.taking_in import IntakeChoices
from register.services.items import NewItem, add_item
from register.services.owners.report import owner_report
from register.services.owners.rows import Period, RecordRow
from register.services.places import known_site
from register.services.recording import record_tests
from register.store.engine import open_register
from tests.desk import TYPE_II, WHOLE, Desk, entry
from tests.domain.verdict_rules import earth, insulation, leakage, polarity, tripped
from tests.registers import ACTOR, TODAY, empty_file

__all__ = ["empty_file"]

ITEMS: Final = 4
TESTS: Final = 10
"""So many tests of so many items stand in each workbook."""

EVER: Final = Period(date(2000, 1, 1), TODAY)
NEW: Final = IntakeChoices("HOTEL", "Hotel of the bay", "Owner of HOTEL", "au-in-service", "residential")
SWITCH: Final = Kind.PORTABLE_SAFETY_SWITCH
TYPED: Final = st.text(st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]), max_size=30).map(
    lambda text: " ".join(text.split())
) | st.sampled_from(
    ["=1+1", "+1", "-1", "@SUM(1)", "00042", "1E5", "3/4/2026", "Case; scratched", "_x0041_", "␟", "a␟b"]
)
TEXTS: Final = TYPED.filter(lambda text: not text.startswith("'"))
"""Without the apostrophe before a sign by which other programs mark text: it is taken away where a sheet is read."""

NUMBERS: Final = st.decimals("0.01", "900", places=2) | st.decimals("1", "900", places=0)


def printed(*odd: str) -> st.SearchStrategy[str]:
    """Draw a value as an instrument prints it: `31.0`, `>299`, or one of the odd ones."""
    numbers = st.tuples(st.sampled_from(["", "", "<", ">"]), NUMBERS).map(lambda both: f"{both[0]}{both[1]}")
    return numbers | st.sampled_from(odd) if odd else numbers


NOTHING: Final = read_measure(Check.TRIP_TIME, "no reading")
EARTH, INSULATION = st.builds(earth, printed()), st.builds(insulation, printed())
READINGS: Final = {
    SWITCH: st.one_of(
        st.builds(
            tripped, printed("no trip", "no reading"), st.sampled_from([1, 2]), st.sampled_from([0, 180]),
            st.sampled_from(["0.5", "1", "5"]),
        ),
        st.builds(earth, printed(), st.sampled_from([1, 2])),
        st.builds(polarity, st.sampled_from(["right", "wrong"]), st.sampled_from([1, 2])),
        INSULATION,
    ),
    Kind.EXTENSION_LEAD: st.one_of(EARTH, INSULATION, st.builds(polarity, st.sampled_from(["right", "wrong"]))),
    Kind.APPLIANCE_CLASS_1: st.one_of(EARTH, INSULATION, st.builds(leakage, printed())),
}  # fmt: skip


@st.composite
def an_item(draw: st.DrawFn) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """Draw what is known of an item, and the records of its tests."""
    kind = draw(st.sampled_from(list(READINGS)))
    facts = {"kind": kind, "description": draw(TEXTS), "serial": draw(TEXTS)}
    if kind is SWITCH:
        facts |= {"safety_switch": TYPE_II, "outlets": 2}
    return facts, [draw(a_record(kind, TODAY - timedelta(days=90 * n))) for n in range(TESTS)]


@st.composite
def a_record(draw: st.DrawFn, kind: Kind, last: date) -> dict[str, Any]:
    """Draw the record of one test of an item of a kind, at most 89 days before a day."""
    return {
        "on": last - timedelta(days=draw(st.integers(0, 89))),
        "duties": WHOLE if kind is SWITCH else (Duty.INSPECTION_AND_TEST,),
        "readings": draw(st.lists(READINGS[kind], max_size=5, unique_by=lambda each: replace(each, measure=NOTHING))),
        "look": draw(st.sampled_from([Result.PASS, Result.PASS, Result.FAIL, None])),
        "at": draw(st.none() | st.integers(360, 660).map(lambda minute: time(minute // 60, minute % 60))),
        "tester": draw(TEXTS), "instrument": draw(TEXTS), "remarks": draw(TEXTS),
    }  # fmt: skip


def keep(desk: Desk, drawn: Sequence[tuple[dict[str, Any], list[dict[str, Any]]]]) -> None:
    """Keep the items and the tests of them in a register."""
    desk.site("HOTEL", "residential")
    area = desk.area("HOTEL", "Bar")
    with desk.change() as change:
        for number, (facts, records) in enumerate(drawn):
            tag = f"P{number}"
            add_item(change, NewItem(tag=tag, area_id=area, since=date(2020, 1, 1), **facts))
            record_tests(
                change,
                [entry(tag, id=str(uuid5(NAMESPACE_URL, f"{tag} {at}")), **each) for at, each in enumerate(records)],
            )


def taken(desk: Desk, file: Path) -> tuple[int, ...]:
    """Take a workbook in; return how many items and records were new, changed and refused."""
    reading = read_file(desk.register, file, NEW, today=TODAY)
    at = datetime.combine(TODAY, time(12), UTC)
    done = take_in_reading(desk.register, file, reading, NEW, actor=ACTOR, at=at, today=TODAY, dry_run=False).taken
    return done.new_items, done.changed_items, done.new_records, done.refused, len(done.problems)


def write(desk: Desk, path: Path) -> list[object]:
    """Write the workbook; return its tests as they are to come back."""
    with desk.read() as connection:
        report = owner_report(connection, known_site(connection, "HOTEL"), TODAY, EVER)
        write_owner_workbook(report, path)
        return sorted((as_tested(row) for row in report.records), key=repr)


@pytest.mark.timeout(7_200)
@pytest.mark.parametrize("books", [6, pytest.param(250, marks=pytest.mark.long)])
def test_what_goes_out_comes_in_again_without_a_change(books: int, empty_file: Path, tmp_path: Path) -> None:
    """240 random records in the short run, 10,000 in the long one; a failure is told as it was drawn, at once."""

    @settings(
        max_examples=books,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
        phases=[Phase.generate],
    )
    @given(st.data())
    def both_ways(data: st.DataObject) -> None:
        drawn = data.draw(st.lists(an_item(), min_size=ITEMS, max_size=ITEMS))
        here, there = (Path(shutil.copy(empty_file, tmp_path / name)) for name in ("here", "there"))
        with closing(open_register(here)) as own, closing(open_register(there)) as other:
            keep(Desk(own), drawn)
            told = write(Desk(own), tmp_path / "hotel.xlsx")
            assert taken(Desk(own), tmp_path / "hotel.xlsx") == (0, 0, 0, 0, 0)
            assert taken(Desk(other), tmp_path / "hotel.xlsx") == (ITEMS, 0, ITEMS * TESTS, 0, 0)
            assert taken(Desk(other), tmp_path / "hotel.xlsx") == (0, 0, 0, 0, 0)
            assert write(Desk(other), tmp_path / "again.xlsx") == told

    both_ways()


def as_tested(row: RecordRow) -> tuple[object, ...]:
    return (
        row.item.tag, row.tested_on, row.tester, row.instrument, row.duties, row.verdict, row.remarks,
        [(each.place, each.measure, each.result) for each in row.findings],
    )  # fmt: skip
