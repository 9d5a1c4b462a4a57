"""Answers as owners give them, whatever their program and habits do to the book: never a wrong match."""

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.comments import Comment
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.workbook import Workbook

from register.errors import Refused
from register.exchange.returned_sheet import Returned
from register.exchange.review import read_returned
from register.services.owners.review import Deed, State, Word, review
from tests.desk import Desk
from tests.exchange.hotel import answer, answered, column, desk, row_of, sent
from tests.registers import empty_file, path, register

__all__ = ["desk", "empty_file", "path", "register", "sent"]

REGISTER, MARK, PRESSED = "Register", "Row mark", date(2026, 11, 18)
NOON = datetime(2026, 11, 18, 12, 0)  # noqa: DTZ001 - a moment in a cell


def back(sent: Path, alter: Callable[[Workbook], None], *, rich: bool = False) -> Returned:
    """Let an owner alter the book, and read what comes back."""
    book = load_workbook(sent, rich_text=rich)
    alter(book)
    book.save(sent.with_name("back.xlsx"))
    return read_returned(sent.with_name("back.xlsx"))


def said(returned: Returned, tag: str) -> tuple[Word | None, str, date | None]:
    found = next(each for each in returned.answers if each.tag == tag)
    return found.word, found.comment, found.pressed_on


def mark_as(book: Workbook, tag: str, other: str) -> None:
    """Put the hidden mark of another row into that of one."""
    sheet = book[REGISTER]
    mark = sheet.cell(row_of(sheet, other), column(sheet, MARK)).value
    sheet.cell(row_of(sheet, tag), column(sheet, MARK), mark)


def test_a_row_with_the_mark_of_another_answers_for_neither(desk: Desk, sent: Path) -> None:
    def alter(book: Workbook) -> None:
        mark_as(book, "P2", "P1")
        answer(book, "P2", word="Not found")

    returned = back(sent, alter)
    with desk.change() as change:
        (step,) = review(change, returned.sent, returned.answers).steps
    assert (step.tag, step.state, step.done) == ("P1", State.REFUSED, False)
    assert step.why == "The row shows P2, but its hidden mark is that of P1. Ask the owner which it is."
    assert desk.answer("P1").not_found_on is None


def test_where_a_mark_stands_twice_only_the_row_that_shows_its_item_is_taken(desk: Desk, sent: Path) -> None:
    def alter(book: Workbook) -> None:
        mark_as(book, "P2", "P1")
        answer(book, "P1", comment="Is it ours?")
        answer(book, "P2", word="Not found")

    returned = back(sent, alter)
    assert said(returned, "P1") == (None, "Is it ours?", None)
    assert len(returned.answers) == 1
    assert "Register, row 5 shows P2, but its hidden mark is that of Register, row 3" in returned.notes[0]
    with desk.change() as change:
        assert [step.deed for step in review(change, returned.sent, returned.answers).steps] == [Deed.ASK]


def test_of_two_answers_about_one_item_the_first_is_taken_and_nothing_is_lost(sent: Path) -> None:
    def alter(book: Workbook) -> None:
        answer(book, "P3", "For your decision", word="Not found", comment="Ask Jo")
        answer(book, "P3", word="Moved to", to="Kitchen", comment="It was there in May", on=NOON)

    returned = back(sent, alter)
    (found,) = returned.answers
    assert (found.word, found.moved_to) == (Word.NOT_FOUND, "")
    assert (found.comment, found.pressed_on) == ("Ask Jo; It was there in May", PRESSED)
    (note,) = returned.notes
    assert "says “Moved to Kitchen”" in note
    assert note.endswith("about the same item: that was taken. Ask the owner which is right.")


def test_two_days_of_one_press_are_asked_about_and_an_area_is_put_to_its_word(sent: Path) -> None:
    def alter(book: Workbook) -> None:
        answer(book, "P3", "For your decision", word="Moved to", on=NOON)
        answer(book, "P3", word="Moved to", to="Kitchen", on=datetime(2026, 11, 17))  # noqa: DTZ001 - a day in a cell

    returned = back(sent, alter)
    (found,) = returned.answers
    assert (found.word, found.moved_to, found.pressed_on) == (Word.MOVED, "Kitchen", PRESSED)
    assert ["says “pressed on 2026-11-17”" in note for note in returned.notes] == [True]


def test_a_press_is_called_one_beside_whatever_else_was_answered(desk: Desk, sent: Path) -> None:
    returned = back(sent, lambda book: answer(book, "P1", word="Agree", on=NOON))
    with desk.change() as change:
        (step,) = review(change, returned.sent, returned.answers).steps
    assert step.answer == "Pressed"


def test_answers_in_a_protected_and_hidden_sheet_in_hidden_rows_count(sent: Path) -> None:
    def alter(book: Workbook) -> None:
        for sheet in book.worksheets:
            sheet.protection.sheet = True
        book[REGISTER].sheet_state = "hidden"
        book[REGISTER].row_dimensions[row_of(book[REGISTER], "P1")].hidden = True
        answer(book, "P1", word="Query", comment="Whose?")

    assert said(back(sent, alter), "P1") == (Word.QUERY, "Whose?", None)


def test_a_book_that_counts_days_from_1904_means_the_same_day(sent: Path) -> None:
    def alter(book: Workbook) -> None:
        book.epoch = CALENDAR_MAC_1904
        answer(book, "P1", on=NOON)

    assert said(back(sent, alter), "P1") == (None, "", PRESSED)


def test_text_in_two_looks_is_one_text(sent: Path) -> None:
    def alter(book: Workbook) -> None:
        bold = InlineFont(b=True)
        answer(
            book,
            "P1",
            word=CellRichText("Not ", TextBlock(bold, "found")),
            comment=CellRichText(TextBlock(bold, "Gone")),
        )

    assert said(back(sent, alter, rich=True), "P1") == (Word.NOT_FOUND, "Gone", None)


def test_that_comments_are_pinned_to_cells_is_said(sent: Path) -> None:
    def alter(book: Workbook) -> None:
        book[REGISTER]["B2"].comment = Comment("It is gone", "Owner")

    returned = back(sent, alter)
    assert returned.answers == []
    assert returned.notes == [
        "Comments are pinned to cells of this workbook and were not read. Open it and see whether one is an answer."
    ]


@pytest.mark.parametrize("word", ["oui", "Nicht gefunden", "yes", "✓", "Not found.", "No"])
def test_a_word_that_is_none_of_the_list_is_a_query_and_never_a_guess(sent: Path, word: str) -> None:
    returned = back(sent, lambda book: answer(book, "P1", word=word))
    assert said(returned, "P1") == (Word.QUERY, word, None)
    assert f"“{word}” is none of the answers to choose from" in returned.notes[0]


@pytest.mark.parametrize("word", ["  NOT FOUND  ", "Not\u00a0found", "not  found", "\u200bNot found\n"])
def test_capitals_and_blanks_make_no_other_word(sent: Path, word: str) -> None:
    assert said(back(sent, lambda book: answer(book, "P1", word=word)), "P1") == (Word.NOT_FOUND, "", None)


@pytest.mark.parametrize("day", ["18/11/2026", " 2026-11-18", 46344, NOON])
def test_a_day_counts_as_text_as_a_number_and_with_a_time_of_day(sent: Path, day: object) -> None:
    assert said(back(sent, lambda book: answer(book, "P1", on=day)), "P1") == (None, "", PRESSED)


@pytest.mark.parametrize("day", ["03/04/2026", "yesterday", "✓", True, 20261118, "18/11"])
def test_what_is_no_day_or_could_be_two_is_asked_about(sent: Path, day: object) -> None:
    returned = back(sent, lambda book: answer(book, "P1", on=day))
    assert returned.answers == []
    assert "“Test button pressed on”" in returned.notes[0]
    assert "Ask the owner" in returned.notes[0]


@pytest.mark.parametrize("formula", ['=IF(1,"Not found","")', "=1+1", '=HYPERLINK("http://x","y")'])
def test_a_formula_whose_result_was_not_saved_is_no_answer(sent: Path, formula: str) -> None:
    returned = back(sent, lambda book: answer(book, "P1", word=formula))
    assert returned.answers == []
    assert "holds a formula whose result was not saved" in returned.notes[0]


def test_rows_above_the_heading_and_a_column_less_are_no_hindrance(sent: Path) -> None:
    def alter(book: Workbook) -> None:
        answer(book, "P1", word="Not found")
        book[REGISTER].delete_cols(column(book[REGISTER], "Your comment"))
        book[REGISTER].insert_rows(1, 3)
        book[REGISTER]["A1"] = "Checked by the desk"

    returned = back(sent, alter)
    assert said(returned, "P1") == (Word.NOT_FOUND, "", None)
    assert returned.notes == ["The sheet “Register” has no column “Your comment”."]


def test_answers_under_another_heading_are_listed_and_not_taken(sent: Path) -> None:
    def alter(book: Workbook) -> None:
        answer(book, "P1", word="Not found")
        book[REGISTER].cell(1, column(book[REGISTER], "Your answer"), "Ihre Antwort")

    returned = back(sent, alter)
    assert returned.answers == []
    assert [(each.column, each.after) for each in returned.changes] == [("Ihre Antwort", "Not found")]
    assert returned.notes == ["The sheet “Register” has no column “Your answer”."]


@pytest.mark.parametrize("mark", ["' OR 1=1 --", "0" * 40, "../../x", "=1+1"])
def test_a_mark_that_is_none_is_of_no_item(desk: Desk, sent: Path, mark: str) -> None:
    def alter(book: Workbook) -> None:
        answer(book, "P1", word="Not found")
        book[REGISTER].cell(row_of(book[REGISTER], "P1"), column(book[REGISTER], MARK), mark).data_type = "s"

    returned = back(sent, alter)
    with pytest.raises(Refused, match="No item of this workbook is in this register"), desk.change() as change:
        review(change, returned.sent, returned.answers)


def test_a_press_on_a_day_that_can_not_be_right_is_refused_and_the_others_are_kept(desk: Desk, sent: Path) -> None:
    days = {"P1": datetime(2031, 1, 1), "P2": datetime(1901, 1, 1), "L1": NOON}  # noqa: DTZ001 - days in cells
    returned = read_returned(answered(sent, **{tag: {"on": day} for tag, day in days.items()}))
    with desk.change(keep=False) as change:
        states = {step.tag: (step.state, step.why) for step in review(change, returned.sent, returned.answers).steps}
    assert "is in the future" in states["P1"][1]
    assert "is before 1990" in states["P2"][1]
    assert [states[tag][0] for tag in ("P1", "P2", "L1")] == [State.REFUSED] * 3, "a lead has no test button"


def test_a_comment_as_long_as_a_cell_holds_is_kept_whole(desk: Desk, sent: Path) -> None:
    returned = back(sent, lambda book: answer(book, "P1", comment="x" * 32_000))
    with desk.change(keep=False) as change:
        (step,) = review(change, returned.sent, returned.answers).steps
    assert step.state in {State.NEW, State.REFUSED}
    assert len(returned.answers[0].comment) == 32_000


def test_copies_of_a_row_say_it_once_and_no_story_grows_without_end(sent: Path) -> None:
    def alter(book: Workbook) -> None:
        sheet = book[REGISTER]
        copied = [cell.value for cell in sheet[row_of(sheet, "P1")]]
        for comment in ("Whose?", "Whose?", "x" * 32_760, "Ours?"):
            sheet.append(copied)
            sheet.cell(sheet.max_row, column(sheet, "Your comment"), comment)

    returned = back(sent, alter)
    assert said(returned, "P1") == (None, "Whose?; Ours?", None)
    assert len([note for note in returned.notes if "says “xxx" in note]) == 1


@pytest.mark.parametrize(("name", "value"), [("owner", "Somebody Else"), ("as at", "2199-01-01")])
def test_a_hidden_part_that_names_somebody_else_or_a_day_to_come_is_not_followed(
    desk: Desk, sent: Path, name: str, value: str
) -> None:
    def alter(book: Workbook) -> None:
        answer(book, "P1", word="Not found")
        next(row for row in book["As sent"] if row[0].value == name)[1].value = value

    returned = back(sent, alter)
    with desk.change() as change:
        reviewed = review(change, returned.sent, returned.answers)
    assert (reviewed.foreign, reviewed.done) == (True, 0)


def test_a_sheet_that_is_named_many_times_is_read_once(sent: Path) -> None:
    def alter(book: Workbook) -> None:
        answer(book, "P1", word="Not found")
        hidden = book["As sent"]
        line = next([cell.value for cell in row] for row in hidden if row[1].value == REGISTER)
        for _ in range(3):
            hidden.append([*line[:2], 9, *line[3:]])

    returned = back(sent, alter)
    assert said(returned, "P1") == (Word.NOT_FOUND, "", None)
    assert returned.notes == []
