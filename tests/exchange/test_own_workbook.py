"""The owner workbook where a list was expected: its register finds all as it was, another takes the history over."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, time
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from register.domain.items import SafetySwitch
from register.domain.records import Place
from register.domain.words import Check, Delay, Duty, Kind, Result, SetUp, Standing, SwitchType, TestCurrent, Waveform
from register.errors import Refused
from register.exchange import own_words
from register.exchange.taking_in import FileTaken, read_file, take_in_reading
from register.exchange.workbook import write_owner_workbook
from register.exchange.workbook.record_sheets import READINGS
from register.exchange.workbook.wording import check_words, duties_words, instrument_words, rating_words
from register.services.intake.rows import RowPlace
from register.services.intake.taking_in import IntakeChoices
from register.services.owners.all_sites import report_on_all
from register.services.owners.report import owner_report
from register.services.owners.rows import OwnerReport, Period, RecordRow, RegisterRow, ReportedItem
from register.services.places import known_owner, known_site
from register.store.engine import Register, create_register
from tests.desk import Desk
from tests.domain.verdict_rules import earth
from tests.registers import ACTOR, TODAY, empty_file, path, register

__all__ = ["empty_file", "path", "register"]

EVER = Period(date(2000, 1, 1), TODAY)
NEW = IntakeChoices("HOTEL", "Hotel of the bay", "Owner of HOTEL", "au-in-service", "residential")


@pytest.fixture
def desk(register: Register) -> Desk:
    """A hotel: a switch that passed twice, one that failed, a lead without its own record, an item gone for good."""
    desk = Desk(register)
    desk.site("HOTEL", "residential")
    desk.area("HOTEL", "Plant room", "workshop")
    desk.item("P1", site="HOTEL", area="Bar", serial="=1+1", since=date(2024, 1, 1), outlets=1)
    desk.item("P2", site="HOTEL", area="Plant room", since=date(2024, 1, 1), rated_current_a=Decimal(10))
    desk.item("L1", Kind.EXTENSION_LEAD, site="HOTEL", area="Bar", safety_switch=None, description="Lead 5 m")
    desk.test("P1", date(2025, 2, 3), at=time(9, 30))
    desk.test("P1", date(2026, 2, 3), remarks="Case, scratched")
    desk.test("P2", date(2026, 5, 4), readings=[earth("2.50", 1)], duties=(Duty.INSPECTION_AND_TEST,))
    return desk


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Desk]:
    """The register of another firm, with nothing in it."""
    made = create_register(tmp_path / "other.register")
    yield Desk(made)
    made.close()


@contextmanager
def report(desk: Desk) -> Iterator[OwnerReport]:
    with desk.read() as connection:
        yield owner_report(connection, known_site(connection, "HOTEL"), TODAY, EVER)


@pytest.fixture
def sent(desk: Desk, tmp_path: Path) -> Path:
    with report(desk) as told:
        write_owner_workbook(told, tmp_path / "hotel.xlsx")
    return tmp_path / "hotel.xlsx"


def take(desk: Desk, file: Path, choices: IntakeChoices = NEW, *, dry_run: bool = False) -> FileTaken:
    reading = read_file(desk.register, file, choices, today=TODAY)
    at = datetime.combine(TODAY, time(12), UTC)
    return take_in_reading(desk.register, file, reading, choices, actor=ACTOR, at=at, today=TODAY, dry_run=dry_run)


def counts(done: FileTaken) -> tuple[int, ...]:
    taken = done.taken
    return taken.new_items, taken.changed_items, taken.same_items, taken.new_records, taken.same_records, taken.refused


def test_the_register_that_wrote_it_finds_everything_as_it_was(desk: Desk, sent: Path) -> None:
    before = desk.events()
    done = take(desk, sent, IntakeChoices())
    assert counts(done) == (0, 0, 3, 0, 3, 0)
    assert done.taken.problems == ()
    assert desk.events() == before


def test_what_changed_in_the_register_since_is_not_brought_back(desk: Desk, sent: Path) -> None:
    with desk.change() as change:
        change.session.connection().exec_driver_sql("UPDATE item SET serial = 'S 9' WHERE tag_number = 'P1'")
    assert counts(take(desk, sent)) == (0, 0, 3, 0, 3, 0)
    with desk.read() as connection:
        assert connection.exec_driver_sql("SELECT serial FROM item WHERE tag_number = 'P1'").scalar() == "S 9"


def test_a_workbook_of_all_sites_of_an_owner_is_known_as_well(desk: Desk, tmp_path: Path) -> None:
    desk.site("MOTEL", "residential", owner="Owner of HOTEL")
    desk.item("M1", site="MOTEL", area="Bar, upstairs")
    with desk.read() as connection:
        both = report_on_all(connection, known_owner(connection, "Owner of HOTEL"), TODAY, EVER)
        write_owner_workbook(both, tmp_path / "both.xlsx")
    assert counts(take(desk, tmp_path / "both.xlsx", IntakeChoices())) == (0, 0, 4, 0, 3, 0)


def test_another_register_takes_the_items_and_their_whole_history_over_once(
    desk: Desk, sent: Path, other: Desk
) -> None:
    assert "moves, overrides and times of day don't come along" in take(other, sent, dry_run=True).lacks
    assert counts(take(other, sent)) == (3, 0, 0, 3, 0, 0)
    assert take(other, sent, dry_run=True).lacks == ""
    with report(desk) as here, report(other) as there:
        assert [told(row) for row in there.items] == [told(row) for row in here.items]
        assert [as_tested(row) for row in there.records] == [as_tested(row) for row in here.records]
    assert counts(take(other, sent)) == (0, 0, 3, 0, 3, 0)
    assert other.faults() == ()


def told(row: RegisterRow) -> tuple[object, ...]:
    item = row.item
    return (
        item.tag, item.kind, item.description, item.area, item.standing, row.environment, row.next_due, row.duties,
        row.serial, row.outlets, row.safety_switch, row.rated_current_a,
    )  # fmt: skip


def as_tested(row: RecordRow) -> tuple[object, ...]:
    return (
        row.item.tag, row.tested_on, row.tester, row.instrument, row.duties, row.verdict, row.set_up, row.remarks,
        [(each.place, each.measure, each.result) for each in row.findings],
    )  # fmt: skip


def test_one_with_answers_in_it_is_sent_to_the_review_and_nothing_is_kept(desk: Desk, sent: Path) -> None:
    book = load_workbook(sent)
    sheet = book["Register"]
    place = next(cell.column for cell in sheet[1] if cell.value == "Your answer")
    sheet.cell(2, place, "Query")
    book.save(sent)
    before = desk.events()
    with pytest.raises(Refused, match=r"an owner workbook with 1 answer in it.*“Take in the owner's answers”.*review"):
        take(desk, sent)
    assert desk.events() == before


def test_what_was_written_into_other_cells_is_listed_and_not_taken(desk: Desk, sent: Path) -> None:
    book = load_workbook(sent)
    sheet = book["Register"]
    sheet.cell(2, 3, "Golden lead")
    sheet.append(["In service", "P9", "New one"])
    book.save(sent)
    done = take(desk, sent)
    assert counts(done) == (0, 0, 3, 0, 3, 0)
    assert sorted((each.place.row, each.column, each.refused) for each in done.taken.problems) == [
        (2, "Item", False), (5, "the whole row", False),
    ]  # fmt: skip


@pytest.mark.parametrize(("heading", "wrong"), [
    ("Outlet", "the left one"), ("Half-cycle", "both"), ("Multiple", "1.2.3"), ("Value", "9" * 400),
])  # fmt: skip
def test_a_reading_whose_cells_say_anything_is_listed_and_the_rest_is_taken(
    other: Desk, sent: Path, heading: str, wrong: str
) -> None:
    book = load_workbook(sent)
    sheet = book[READINGS]
    place = {cell.value: cell.column for cell in sheet[1]}
    row = next(row for row in range(2, sheet.max_row + 1) if sheet.cell(row, place["Value"]).value is not None)
    sheet.cell(row, place[heading], wrong)
    book.save(sent)
    done = take(other, sent)
    assert done.taken.new_items == 3
    refused = [each.place for each in done.taken.problems if each.refused]
    assert refused == [RowPlace(READINGS, row)]


@pytest.mark.parametrize("wrong", ["1.2.3 A", "1.2.3 mA", "... A", "9" * 5_000 + " A"])
def test_a_rating_that_is_none_is_refused(wrong: str) -> None:
    with pytest.raises(Refused, match="is nothing that a rating plate says"):
        own_words.said_rating(wrong)


def test_a_sheet_that_lost_its_marks_is_said_to_be_left_out(desk: Desk, sent: Path) -> None:
    book = load_workbook(sent)
    book["Test results"].delete_cols(12)
    book.save(sent)
    done = take(desk, sent)
    assert counts(done) == (0, 0, 3, 0, 0, 0)
    assert "Test results" in {each.place.sheet for each in done.taken.problems}


NUMBERS = st.decimals("0.1", "900", places=1)
SWITCHES = st.builds(
    SafetySwitch, st.none() | NUMBERS, st.none() | st.sampled_from(SwitchType), st.sampled_from(Delay),
    st.none() | st.sampled_from(Waveform),
)  # fmt: skip
HEAD = ReportedItem("P1", Kind.CORD_SET, "", "", Standing.IN_SERVICE)


@settings(max_examples=2_500, deadline=None)
@given(st.none() | SWITCHES, st.none() | NUMBERS, st.integers(0, 20))
def test_a_rating_plate_reads_back_as_it_was_written(
    switch: SafetySwitch | None, amperes: Decimal | None, outlets: int
) -> None:
    row = RegisterRow(HEAD, "", None, safety_switch=switch, rated_current_a=amperes, outlets=outlets)
    assert own_words.said_rating(rating_words(row)) == (switch, amperes, outlets if outlets > 1 else None)


@settings(max_examples=2_500, deadline=None)
@given(
    st.lists(st.sampled_from(Duty), unique=True).map(tuple),
    st.sampled_from(["", "7741-0093", "Set 2; green", "a b", "Tester feeds device", "Set 2; set-up not noted"]),
    st.none() | st.sampled_from(SetUp),
    st.sampled_from(Check),
    st.none() | st.sampled_from([TestCurrent.HALF_WAVE, TestCurrent.DC]),
)
def test_the_words_of_a_test_read_back_as_they_were_written(
    duties: tuple[Duty, ...], instrument: str, set_up: SetUp | None, check: Check, current: TestCurrent | None
) -> None:
    row = RecordRow(HEAD, TODAY, "", instrument, duties, Result.PASS, "", set_up=set_up)
    assert own_words.said_duties(duties_words(duties)) == duties
    assert own_words.said_instrument(instrument_words(row)) == (instrument, set_up)
    assert own_words.said_check(check_words(Place(check, test_current=current))) == (check, current)
