"""What a spreadsheet says is taken in once, row by row, in one transaction; what can't be taken says why."""

from dataclasses import replace
from datetime import date

import pytest
import sqlalchemy as sa

from register.domain.words import Condition, Result, Standing
from register.errors import Refused
from register.services.intake.rows import RowPlace, RowProblem
from register.services.intake.taking_in import MANY, IntakeChoices
from register.store.tables import Intake
from tests.desk import INSPECTION, SLOW, SOUND, TYPE_II, WHOLE, Desk
from tests.domain.verdict_rules import both, earth, insulation
from tests.registers import TODAY
from tests.services.sheet import DAY, SWITCH, counts, item, kept_record, sheet_test, take


def test_a_files_items_and_tests_make_a_new_site(desk: Desk) -> None:
    taken = take(
        desk,
        [
            item("1", site_name="Ridge yard", owner="Ridge Joinery", area="Slip way", description="Lead 10 m"),
            item("2", SWITCH, safety_switch=TYPE_II, earlier_tags=("OLD2",)),
        ],
        [
            sheet_test("1", date(2026, 5, 1), readings=SOUND, tester=" Kim  Ferro", instrument="SN 1", remarks="ok"),
            sheet_test("old2", date(2026, 6, 1), duties=WHOLE, readings=(*SOUND, *both("24"))),
        ],
    )
    assert counts(taken) == (2, 0, 0, 2, 0, 0, 0)
    answer = desk.answer("1")
    assert (answer.site, answer.site_name, answer.area, answer.environment) == (
        "YARD", "Ridge yard", "Slip way", "workshop",
    )  # fmt: skip
    assert (answer.next_due, answer.last.tester, answer.last.tested_on) == (
        date(2026, 11, 1), "Kim Ferro", date(2026, 5, 1),
    )  # fmt: skip
    assert desk.dates("2") == {"inspection-and-test": date(2026, 12, 1), "operating-time": date(2027, 6, 1)}
    assert desk.events()[-1] == "intake:take"
    assert desk.faults() == ()


def test_the_same_rows_twice_change_nothing(desk: Desk) -> None:
    rows = (
        [item("1", description="Lead", serial="S1", area="Shed", outlets=2), item("2", SWITCH, safety_switch=TYPE_II)],
        [
            sheet_test("1", date(2026, 1, 1), Result.PASS),
            sheet_test("1", date(2026, 2, 1), readings=SOUND),
            sheet_test("2", date(2026, 2, 1), Result.FAIL, duties=WHOLE, readings=SLOW),
        ],
    )
    assert counts(take(desk, *rows))[:5] == (2, 0, 0, 3, 0)
    before = desk.events()
    assert counts(take(desk.on(TODAY + DAY), *rows)) == (0, 0, 2, 0, 3, 0, 0)
    assert desk.events() == before


def test_every_file_that_changes_something_is_noted_with_its_name_and_content(desk: Desk) -> None:
    take(desk, [item("1")])
    take(desk, [item("1")])
    with desk.read() as connection:
        (row,) = connection.execute(sa.select(Intake.__table__))
    assert (row.file_name, row.sha256) == ("yard.xlsx", "ab" * 32)
    assert row.counts == {"new_items": 1, "changed_items": 0, "new_records": 0, "refused": 0}


def test_what_the_reader_could_not_read_is_passed_on_and_counted(desk: Desk) -> None:
    unread = RowProblem(RowPlace("Register", 7), "Date", "31/4/2026", "No such day.")
    known = replace(unread, refused=False)
    taken = take(desk, [item("1")], problems=(unread, known))
    assert (taken.problems, taken.refused) == ((unread, known), 1)


VERDICTS = [
    (Result.PASS, (), Result.PASS, Result.PASS, True, None),
    (Result.FAIL, (), Result.PASS, Result.FAIL, True, None),
    (None, (), Result.PASS, Result.INCOMPLETE, False, None),
    (Result.INCOMPLETE, (), Result.PASS, Result.INCOMPLETE, False, None),
    (Result.PASS, SOUND, Result.PASS, Result.PASS, False, None),
    (None, SOUND, Result.PASS, Result.PASS, False, None),
    (Result.FAIL, SOUND, Result.FAIL, Result.FAIL, False, None),
    (Result.PASS, SOUND, Result.FAIL, Result.FAIL, False, "The sheet says pass, the readings say fail: "),
    (Result.FAIL, SOUND, Result.PASS, Result.FAIL, True, "The sheet says fail, the readings say pass: "),
    (
        Result.INCOMPLETE,
        SOUND,
        Result.PASS,
        Result.INCOMPLETE,
        True,
        "The sheet says incomplete, the readings say pass: ",
    ),
    (Result.INCOMPLETE, SOUND, Result.FAIL, Result.FAIL, False, "The sheet says incomplete, the readings say fail: "),
]


@pytest.mark.parametrize(("found", "readings", "look", "verdict", "as_found", "note"), VERDICTS)
def test_the_worse_of_the_sheets_result_and_the_readings_counts_and_a_gap_is_filled_as_found(
    desk: Desk,
    found: Result | None,
    readings: tuple,
    look: Result,
    verdict: Result,
    *,
    as_found: bool,
    note: str | None,
) -> None:
    taken = take(desk, [item("1", outlets=1)], [sheet_test("1", found=found, readings=readings, look=look)])
    row = kept_record(desk)
    assert (row.verdict, row.as_found, taken.as_found) == (verdict.value, as_found, int(as_found))
    assert (desk.dates("1")["inspection-and-test"] is not None) is (verdict is Result.PASS)
    assert (desk.answer("1").standing is Standing.WITHDRAWN) is (verdict is Result.FAIL)
    if note is None:
        assert taken.problems == ()
    else:
        (problem,) = taken.problems
        assert problem.reason.startswith(note)
        assert problem.reason.endswith(
            {Result.FAIL: "Kept as a fail.", Result.INCOMPLETE: "Kept as incomplete."}[verdict]
        )
        assert not problem.refused
    assert desk.faults() == ()


def test_a_verdict_as_found_says_what_was_missing(desk: Desk) -> None:
    take(desk, [item("1")], [sheet_test("1", found=Result.PASS)])
    assert kept_record(desk).why.startswith("Pass as found in the earlier register. ")
    assert "as found in an earlier register" in desk.answer("1").duties[0].why[0]


PROBLEMS = [
    (
        [item("1"), item(" 1 ", row=3)],
        [],
        ("tag", " 1 ", "The tag stands in row 2 already; this row was left out. Give it its own tag."),
    ),
    ([item("1", None)], [], ("kind", "", "A new item needs a kind. Say what it is.")),
    ([item(" ")], [], ("tag", " ", "The tag is empty. Scan or type the number on the tag.")),
    ([item("1", outlets=99)], [], ("", "1", "1 can't have 99 outlets. Give a number from 0 to 48.")),
    ([item("1", environment="swamp")], [], ("", "1", "The rulebook au-in-service has no environment class “swamp”.")),
    (
        [item("1", area="Shed", area_environment="swamp")],
        [],
        ("area", "Shed", "The rulebook au-in-service has no environment class “swamp”."),
    ),
    (
        [item("2", earlier_tags=("A1",))],
        [],
        ("", "2", "The tag A1 is, or was, another item's of this owner, at site YARD."),
    ),
    (
        [],
        [sheet_test("77")],
        ("tag", "77", "No item has this tag, so the test was left out. Take in the item first, or mend the tag."),
    ),
    ([], [sheet_test("")], ("tag", "", "The tag is empty. Scan or type the number on the tag.")),
    (
        [],
        [sheet_test("A1", TODAY + DAY)],
        ("date", "21 Nov 2026", "The date 21 Nov 2026 is in the future: today is 20 Nov 2026."),
    ),
    (
        [],
        [sheet_test("A1", readings=(insulation("100"), *both("24", 1)))],
        ("readings", "", "A trip time can't be measured on an extension lead"),
    ),
]


@pytest.mark.parametrize(("items", "records", "problem"), PROBLEMS)
def test_a_row_that_cant_be_taken_is_left_out_with_its_reason_and_the_rest_is_taken(
    desk: Desk, items: list, records: list, problem: tuple[str, str, str]
) -> None:
    good = [item("A1", row=8), item("A2", row=9)]
    taken = take(desk, good, [sheet_test("A2", readings=SOUND, row=9)])
    assert (counts(taken)[0], counts(taken)[3]) == (2, 1)
    taken = take(desk, [*items, item("A3", row=10)], [*records, sheet_test("A3", readings=SOUND, row=10)])
    column, value, reason = problem
    (found,) = taken.problems
    assert (found.column, found.value, found.refused) == (column, value, True)
    assert found.reason.startswith(reason)
    assert taken.new_records == 1
    assert desk.answer("A3").standing is Standing.IN_SERVICE
    assert desk.faults() == ()


def test_a_tag_of_another_site_of_the_owner_leaves_out_only_its_row(desk: Desk) -> None:
    for code in ("YARD", "BARN"):
        desk.site(code, owner="Ridge Joinery")
    take(desk, [item("1")])
    taken = take(desk, [item("1", row=4), item("2", row=5)], choices=IntakeChoices(site="barn"))
    assert counts(taken) == (1, 0, 0, 0, 0, 0, 1)
    assert "another item's of this owner, at site YARD" in taken.problems[0].reason


WHOLE_FILE = [
    (IntakeChoices(), "The file does not say which site it is of. Name the site, or its column in the mapping."),
    (
        IntakeChoices(site="mill"),
        (
            "The site MILL is new. Name the class its places have by the rulebook au-in-service, one of: workshop,"
            " flexed-or-hostile, benign, residential, cleaning, hire, construction."
        ),
    ),
    (
        IntakeChoices(site="mill", rulebook="mars", environment="hire"),
        "There is no rulebook “mars”. There are: au-in-service, au-qld.",
    ),
    (
        IntakeChoices(site="mill", environment="swamp"),
        (
            "The rulebook au-in-service has no environment class “swamp”. Choose one of: workshop, flexed-or-hostile,"
            " benign, residential, cleaning, hire, construction."
        ),
    ),
]


@pytest.mark.parametrize(("choices", "sentence"), WHOLE_FILE)
def test_a_file_that_cant_be_taken_at_all_is_refused_and_nothing_kept(
    desk: Desk, choices: IntakeChoices, sentence: str
) -> None:
    desk.site()
    before = desk.events()
    with pytest.raises(Refused) as told:
        take(desk, [item("1", site="YARD"), item("2")], [sheet_test("1")], choices)
    assert str(told.value) == sentence
    assert desk.events() == before


def test_one_file_may_speak_of_several_sites(desk: Desk) -> None:
    taken = take(
        desk, [item("1", site="yard"), item("1", site="mill", site_name="Sable Mill", owner="Sable")],
        [sheet_test("1", site="MILL", readings=SOUND)], IntakeChoices(environment="hire"),
    )  # fmt: skip
    assert counts(taken) == (2, 0, 0, 1, 0, 0, 0)
    assert desk.answer("1", site="mill").last is not None
    assert desk.answer("1", site="yard").last is None


def test_readings_that_name_no_outlet_of_several_are_said_to_count_for_none(desk: Desk) -> None:
    """With one outlet it goes without saying which was measured; what is measured on the whole item names none."""
    rows = (earth("0.1"), insulation("20"), *both("24", outlet=None))
    one, two = item("1", SWITCH, safety_switch=TYPE_II), item("2", SWITCH, row=3, outlets=2, safety_switch=TYPE_II)
    tests = [sheet_test(tag, readings=rows, duties=WHOLE, row=row) for tag, row in (("1", 2), ("2", 3))]
    taken = take(desk, [one, two], tests)
    (note,) = taken.problems
    assert (note.place.row, note.column, note.refused) == (3, "earth resistance, trip time", False)
    assert (
        "Which of the 2 outlets this was measured on is not said, so it shows none of them to be good." in note.reason
    )
    assert (taken.new_records, taken.tests_alone) == (2, 0)


def test_an_item_is_in_its_place_from_the_first_day_the_file_shows_it(desk: Desk) -> None:
    take(desk, [item("1")], [sheet_test("1", date(2026, 3, 1)), sheet_test("1", date(2024, 2, 1))])
    with desk.read() as connection:
        first = connection.execute(sa.text("SELECT min(since) FROM exposure")).scalar()
    assert str(first) == "2024-02-01"


def test_rows_of_things_gone_lost_and_stored_are_entered_as_such(desk: Desk) -> None:
    take(
        desk,
        [
            item("GONE", removed_on=date(2026, 3, 1), remarks="crushed"),
            item("LOST", not_found=True),
            item("KEPT", condition=Condition.STORED, since=date(2026, 1, 1)),
            item("NEW", condition=Condition.NEW, since=date(2026, 10, 1)),
        ],
        [sheet_test("GONE", date(2026, 2, 1), Result.FAIL), sheet_test("LOST", date(2026, 9, 1), Result.PASS)],
    )
    gone, lost = desk.answer("GONE"), desk.answer("LOST")
    assert (gone.standing, gone.removed, gone.withdrawn) == (Standing.REMOVED, "crushed", None)
    assert (lost.standing, lost.not_found_on) == (Standing.IN_SERVICE, TODAY)
    assert [desk.planned(tag) for tag in ("GONE", "LOST", "KEPT", "NEW")] == [False, True, False, True]
    assert desk.answer("NEW").next_due == date(2027, 4, 1)
    assert desk.faults() == ()


def test_a_test_after_an_item_was_removed_is_left_out(desk: Desk) -> None:
    taken = take(
        desk, [item("GONE", removed_on=date(2026, 3, 1))],
        [sheet_test("GONE", date(2026, 3, 1), Result.PASS), sheet_test("GONE", date(2026, 3, 2), Result.PASS)],
    )  # fmt: skip
    assert (taken.new_records, taken.problems[0].column, taken.problems[0].value) == (1, "date", "2 Mar 2026")
    assert taken.problems[0].reason == (
        "The item was removed for good on 1 Mar 2026, before this test. Check the tag and the date."
    )


def test_an_item_that_its_row_says_is_out_of_service_stays_out_until_it_passes(desk: Desk) -> None:
    rows = [item("1", out_of_service=True), item("2", row=3)]
    tests = [sheet_test("1", date(2026, 10, 1), readings=SOUND), sheet_test("2", date(2026, 10, 1), readings=SOUND)]
    take(desk, rows, tests)
    assert desk.answer("1").standing is Standing.WITHDRAWN
    assert "does not say why" in desk.answer("1").withdrawn.detail
    assert desk.answer("2").standing is Standing.IN_SERVICE


def test_what_the_sheet_says_is_out_of_service_is_kept_out_where_no_failed_test_explains_it(desk: Desk) -> None:
    rows = (
        [item("1", out_of_service=True), item("2", out_of_service=True), item("3", out_of_service=True, row=4)],
        [sheet_test("2", date(2026, 8, 1), Result.FAIL), sheet_test("3", date(2026, 8, 1), Result.PASS)],
    )
    take(desk, *rows)
    out = {tag: desk.answer(tag).withdrawn for tag in ("1", "2", "3")}
    assert [(each.reason.value, each.since) for each in out.values()] == [
        ("damaged", TODAY), ("failed", date(2026, 8, 1)), ("damaged", TODAY),
    ]  # fmt: skip
    assert out["1"].detail == "Out of service in the earlier register, which does not say why."
    assert desk.faults() == ()
    desk.on(TODAY + DAY).test("1", duties=(INSPECTION,), readings=SOUND)
    assert counts(take(desk, *rows))[:3] == (0, 0, 3)
    assert desk.answer("1").standing is Standing.IN_SERVICE, "the same file does not take it out again"


def test_a_large_file_leaves_every_index_in_its_place_and_the_lists_right(desk: Desk) -> None:
    with desk.read() as connection:
        before = _indexes(connection)
    many = range(MANY)
    taken = take(desk, [item(f"L{number:05}") for number in many], [sheet_test(f"L{number:05}") for number in many])
    with desk.read() as connection:
        assert _indexes(connection) == before
    assert not desk.faults()
    assert (taken.new_items, taken.new_records) == (MANY, MANY)


def _indexes(connection: sa.Connection) -> list[sa.Row]:
    kept = sa.text("SELECT name, sql FROM sqlite_master WHERE type = 'index' ORDER BY name")
    return list(connection.execute(kept))
