"""An owner workbook goes out, is answered, comes back in whatever state, and is taken in once."""

import time
from datetime import date, datetime
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.workbook import Workbook

from register.domain.words import Duty
from register.errors import Refused
from register.exchange.returned_sheet import MOST_NOTES, Returned
from register.exchange.review import read_returned
from register.exchange.workbook.answers import AS_SENT
from register.services.moves import move_item
from register.services.owners.queries import open_queries
from register.services.owners.review import Deed, Reviewed, State, review
from register.services.places import area_named, known_site
from register.services.withdrawals.deeds import remove
from tests.desk import Desk
from tests.exchange.hotel import answer, answered, column, desk, row_of, sent
from tests.registers import TODAY, empty_file, path, register

__all__ = ["desk", "empty_file", "path", "register", "sent"]


def take(desk: Desk, returned: Returned, *, keep: bool = True, everything: bool = False) -> Reviewed:
    with desk.change(keep=keep) as change:
        if everything:
            return review(change, returned.sent, returned.answers, wanted=lambda _step: True)
        return review(change, returned.sent, returned.answers)


def test_each_answer_does_what_it_says_under_the_owners_name_and_twice_adds_nothing(desk: Desk, sent: Path) -> None:
    pressed = datetime(2026, 11, 18)  # noqa: DTZ001 - a day in a cell
    file = answered(
        sent,
        P1={"word": "Not found", "on": pressed},
        P2={"word": "moved to", "to": " bar "},
        P3={"word": "Disposed of"},
        L1={"word": "Agree", "comment": "Ours?"},
    )
    before = len(desk.events())
    returned = read_returned(file)
    assert (returned.changes, returned.notes) == ([], [])

    assert take(desk, returned, keep=False).done == 5
    assert len(desk.events()) == before
    done = take(desk, returned)

    assert sorted((step.tag, step.deed) for step in done.steps) == [
        ("L1", Deed.ASK), ("P1", Deed.PRESS), ("P1", Deed.MARK_MISSING), ("P2", Deed.MOVE), ("P3", Deed.ASK),
    ]  # fmt: skip
    assert all(step.done for step in done.steps)
    assert done.by == "Owner of HOTEL"
    assert desk.answer("P1").not_found_on == TODAY
    press = next(each for each in desk.answer("P1").duties if each.duty is Duty.BUTTON_PRESS)
    assert press.last_done == date(2026, 11, 18)
    assert desk.answer("P2").area == "Bar"
    assert not desk.answer("P3").removed, "an owner's word removes nothing"
    with desk.read() as connection:
        assert {query.tag: query.asked_by for query in open_queries(connection)} == {
            "P3": "Owner of HOTEL", "L1": "Owner of HOTEL",
        }  # fmt: skip
    events = desk.events(before)
    assert events[-1] == "review:take"

    again = take(desk, returned)
    assert {step.state for step in again.steps} == {State.KNOWN}
    assert desk.events(before) == events
    assert desk.faults() == ()


def test_what_an_answer_can_not_do_is_said_and_the_rest_is_done(desk: Desk, sent: Path) -> None:
    tomorrow = datetime(2026, 11, 25)  # noqa: DTZ001 - a day in a cell
    file = answered(
        sent,
        L1={"on": datetime(2026, 11, 18)},  # noqa: DTZ001 - a day in a cell
        P1={"word": "Moved to", "to": "Moon"},
        P2={"on": tomorrow},
        P3={"word": "yes, fine"},
    )

    done = take(desk, read_returned(file))

    said = {step.tag: (step.state, step.why or step.does) for step in done.steps}
    assert said["L1"] == (State.REFUSED, said["L1"][1])
    assert "has no test-button press" in said["L1"][1]
    assert said["P2"][0] is State.REFUSED
    assert "no area of this owner" in said["P1"][1]
    assert "yes, fine" in said["P3"][1]
    assert done.done == 2


def test_a_copy_that_was_sorted_filtered_cut_and_added_to_gives_the_same_answers(desk: Desk, sent: Path) -> None:
    book = load_workbook(sent)
    answer(book, "P1", word="Not found")
    sheet = book["Register"]
    rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=2)]
    kept = [row for row in reversed(rows) if row[1] != "L1"]
    lead = [None, "NEW-1", "A lead of ours"]
    for number, row in enumerate([*kept, lead, [None] * len(rows[0])], start=2):
        for place in range(1, len(rows[0]) + 1):
            sheet.cell(number, place).value = row[place - 1] if place <= len(row) else None
    sheet.row_dimensions[3].hidden = True
    sheet.cell(row_of(sheet, "P2"), column(sheet, "Serial number"), "altered")
    sheet.insert_rows(1, 2)
    sheet["A1"] = "Looked over by the caretaker"
    file = sent.with_name("sorted.xlsx")
    book.save(file)

    returned = read_returned(file)

    assert [(each.word, each.item_id) for each in returned.answers] == [("Not found", desk.id("P1"))]
    changes = {(each.column, each.before, each.after) for each in returned.changes}
    assert changes == {("Serial number", "", "altered"), ("the whole row", "", "NEW-1; A lead of ours")}
    assert returned.notes == ["Gone from “Register”: 1 of 4 rows. A deleted row says nothing."]


def test_answers_in_both_sheets_are_one_answer_unless_they_differ(sent: Path) -> None:
    book = load_workbook(sent)
    answer(book, "P3", word="Disposed of")
    answer(book, "P3", "For your decision", word="Query", comment="Worth a repair?")
    file = sent.with_name("both.xlsx")
    book.save(file)

    returned = read_returned(file)

    assert len(returned.answers) == 1
    assert len(returned.notes) == 1
    assert "something else" in returned.notes[0]


def test_what_changed_since_the_workbook_went_out_is_not_overruled_unasked(desk: Desk, sent: Path) -> None:
    file = answered(sent, P1={"word": "Not found"}, P2={"word": "Not found"}, L1={"comment": "Ours?"})
    desk.test("P1")
    with desk.change() as change:
        remove(change, desk.id("P2"), reason="scrapped")
    with desk.change() as change:
        remove(change, desk.id("L1"), reason="scrapped")
    returned = read_returned(file)

    done = take(desk, returned)

    assert {step.tag: step.state for step in done.steps} == {
        "P1": State.CONFLICT, "P2": State.REFUSED, "L1": State.REFUSED,
    }  # fmt: skip
    assert "tested" in next(step.why for step in done.steps if step.tag == "P1")
    assert done.done == 0
    assert take(desk, returned, everything=True).done == 1


def test_a_later_move_is_told_by_the_day_that_it_was_at_the_desk(
    desk: Desk, sent: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At noon of 20 November by UTC it is the morning of the 21st at the desk."""
    file = answered(sent, P1={"word": "Not found"})
    with desk.change() as change:
        site = known_site(change.session.connection(), "HOTEL")
        move_item(change, desk.id("P1"), area_named(change, site, "Cellar"))
    monkeypatch.setenv("TZ", "Pacific/Kiritimati")
    time.tzset()
    (step,) = take(desk, read_returned(file)).steps
    monkeypatch.undo()
    time.tzset()
    assert step.why == "It was moved in the register after the workbook was written, on 21 Nov 2026."


def test_a_book_of_another_register_is_refused_and_one_of_another_state_done_only_on_purpose(
    desk: Desk, sent: Path
) -> None:
    returned = read_returned(answered(sent, P1={"word": "Not found"}))
    other = Returned(returned.sent, [type(returned.answers[0])("0" * 32, returned.answers[0].word)])
    with pytest.raises(Refused, match="No item of this workbook"):
        take(desk, other)

    with desk.change() as change:
        strange = type(returned.sent)(7, "ff" * 32, returned.sent.owner, returned.sent.sites, TODAY)
        done = review(change, strange, returned.answers)
    assert done.foreign
    assert [step.state for step in done.steps] == [State.CONFLICT]


def test_a_file_that_is_no_owner_workbook_is_refused_with_the_reason(tmp_path: Path, sent: Path) -> None:
    other = tmp_path / "other.xlsx"
    Workbook().save(other)
    text = tmp_path / "other.csv"
    text.write_text("Tag,Your answer\nP1,Agree\n", encoding="utf-8")
    broken = tmp_path / "broken.xlsx"
    broken.write_bytes(sent.read_bytes()[:-2_000])
    headless = load_workbook(sent)
    headless["Register"].delete_cols(column(headless["Register"], "Row mark"))
    cut = tmp_path / "cut.xlsx"
    headless.save(cut)

    for file in (other, text):
        with pytest.raises(Refused, match="no owner workbook"):
            read_returned(file)
    with pytest.raises(Refused, match="damaged"):
        read_returned(broken)
    assert any("lost its heading row" in note for note in read_returned(cut).notes)


@pytest.mark.parametrize(("fact", "wrong"), [("events", "9" * 40), ("events", "-1"), ("as at", "soon"), ("site", None)])
def test_a_hidden_sheet_that_was_written_over_is_refused(desk: Desk, sent: Path, fact: str, wrong: str | None) -> None:
    book = load_workbook(sent)
    hidden = book[AS_SENT]
    (row,) = (row for row in hidden.iter_rows() if row[0].value == fact)
    row[0 if wrong is None else 1].value = wrong
    book.save(sent)
    with pytest.raises(Refused, match=r"hidden part of “hotel\.xlsx” was altered"):
        take(desk, read_returned(sent))


def test_a_book_full_of_answers_that_are_none_tells_of_some_and_counts_the_rest(sent: Path) -> None:
    book = load_workbook(sent)
    sheet = book["Register"]
    mark, place = column(sheet, "Row mark"), column(sheet, "Your answer")
    for number in range(MOST_NOTES + 20):
        sheet.cell(10 + number, mark, f"mark {number}")
        sheet.cell(10 + number, place, "Perhaps")
    book.save(sent)
    notes = read_returned(sent).notes
    assert len(notes) == MOST_NOTES + 1
    assert notes[-1] == "20 further notes of this sort: look through the workbook."


def test_what_was_changed_in_sheets_without_answers_is_listed_with_what_stood_there(sent: Path) -> None:
    book = load_workbook(sent)
    duties, tests = book["Your duties"], book["Withdrawn"]
    duties.cell(2, column(duties, "Area"), "Cellar")
    tests.cell(2, column(tests, "Days out"), 99)
    duties.delete_rows(3)
    book.save(sent)

    returned = read_returned(sent)

    told = {(each.sheet, each.row, each.column, each.after) for each in returned.changes}
    assert told == {("Your duties", 2, "Area", "Cellar"), ("Withdrawn", 2, "Days out", "99")}
    assert {each.before for each in returned.changes} == {"Bar", "0"}
    assert [note for note in returned.notes if "Your duties" in note] == [
        "Gone from “Your duties”: 1 of 3 rows. A deleted row says nothing."
    ]
    assert returned.answers == []
