"""Rows of a returned workbook that were parted from their hidden marks, renamed, merged or written beside."""

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from register.errors import Refused
from register.exchange.returned_sheet import Returned
from register.exchange.review import read_returned
from register.exchange.taking_in import read_file
from register.services.intake.taking_in import IntakeChoices
from register.services.owners.review import Word
from tests.desk import Desk
from tests.domain.verdict_rules import earth
from tests.exchange.hotel import COLUMNS, answer, column, desk, row_of, sent, written
from tests.registers import TODAY, empty_file, path, register

__all__ = ["desk", "empty_file", "path", "register", "sent"]

Change = Callable[[Any], None]


def back(sent: Path, change: Change) -> Returned:
    """Return what came back after somebody changed the workbook."""
    book = load_workbook(sent)
    change(book)
    book.save(sent)
    return read_returned(sent)


def answers(desk: Desk, returned: Returned) -> dict[str, str]:
    """Return what was answered, by tag."""
    tags = {desk.id(tag): tag for tag in ("P1", "P2", "P3", "L1")}
    return {tags[each.item_id]: each.word or each.comment or str(each.pressed_on) for each in returned.answers}


def turned_round(sheet: Any, last: str) -> None:  # noqa: ANN401 - openpyxl's
    """Turn the order of the rows round, of the columns up to one."""
    until = column(sheet, last)
    rows = [[sheet.cell(row, at).value for at in range(1, until + 1)] for row in range(2, sheet.max_row + 1)]
    for row, values in enumerate(reversed(rows), start=2):
        for at, value in enumerate(values, start=1):
            sheet.cell(row, at).value = value
            if isinstance(value, str):
                sheet.cell(row, at).data_type = "s"  # no formula, whatever it begins with


def test_rows_sorted_without_their_hidden_columns_answer_for_the_items_that_they_show(desk: Desk, sent: Path) -> None:
    def sort(book: Any) -> None:  # noqa: ANN401 - openpyxl's
        answer(book, "P1", word="Not found")
        answer(book, "P2", comment="Ours?")
        turned_round(book["Register"], "Your comment")

    returned = back(sent, sort)

    assert answers(desk, returned) == {"P1": Word.NOT_FOUND, "P2": "Ours?"}
    assert returned.changes == []
    (note,) = returned.notes
    assert note.startswith("Rows of “Register” were sorted or copied without their hidden columns. Each row was taken")


def test_a_row_that_shows_neither_its_own_item_nor_another_answers_for_none(desk: Desk, sent: Path) -> None:
    def write_over(book: Any) -> None:  # noqa: ANN401 - openpyxl's
        sheet = book["Register"]
        answer(book, "P1", word="Not found")
        sheet.append([cell.value for cell in sheet[row_of(sheet, "P1")]])
        sheet.cell(sheet.max_row, 2, "NEW-1")
        sheet.cell(sheet.max_row, column(sheet, COLUMNS["comment"]), "One more of ours")
        answer(book, "P2", word="Agree")
        sheet.cell(row_of(sheet, "P2"), 2, "P9")

    returned = back(sent, write_over)

    assert answers(desk, returned) == {"P1": Word.NOT_FOUND}
    shown = {(each.column, each.before) for each in returned.changes}
    assert shown == {("the whole row", ""), ("Tag", "P2")}
    assert [note.split(" so ")[0] for note in returned.notes] == [
        "Register, row 5 shows P9 but carries the hidden mark of P2,",
        "Register, row 6 shows NEW-1 but carries the hidden mark of P1,",
    ]


def test_without_the_column_of_tags_a_row_must_show_all_that_it_was_sent_with(desk: Desk, sent: Path) -> None:
    def cut(book: Any) -> None:  # noqa: ANN401 - openpyxl's
        sheet = book["Register"]
        for tag in ("P1", "P2"):
            answer(book, tag, word="Not found")
        sheet.cell(row_of(sheet, "P2"), column(sheet, "Serial number"), "altered")
        sheet.delete_cols(column(sheet, "Tag"))

    returned = back(sent, cut)

    assert answers(desk, returned) == {"P1": Word.NOT_FOUND}
    assert returned.notes[0] == "The sheet “Register” has no column “Tag”."
    assert "shows no tag but carries the hidden mark of P2" in returned.notes[1]


def test_a_sheet_of_another_name_is_known_again_and_a_copy_of_one_is_not_read(desk: Desk, sent: Path) -> None:
    def rename(book: Any) -> None:  # noqa: ANN401 - openpyxl's
        answer(book, "P1", word="Not found")
        book.copy_worksheet(book["Withdrawn"]).title = "Withdrawn, mine"
        book["Register"].title = "Register, checked"

    returned = back(sent, rename)

    assert answers(desk, returned) == {"P1": Word.NOT_FOUND}
    assert returned.notes == [
        "The sheet “Register” is called “Register, checked” now.",
        "The sheet “Withdrawn, mine” is a copy of one that was sent. Nothing was read from it.",
    ]


def test_one_answer_merged_over_several_rows_is_the_answer_of_each(sent: Path) -> None:
    def merge(book: Any) -> None:  # noqa: ANN401 - openpyxl's
        sheet = book["Register"]
        at = column(sheet, COLUMNS["word"])
        sheet.cell(2, at, "Agree")
        sheet.merge_cells(start_row=2, end_row=4, start_column=at, end_column=at)

    returned = back(sent, merge)

    assert {each.word for each in returned.answers} == {Word.AGREE}
    assert len(returned.answers) == 3


def test_what_is_written_beside_the_table_is_listed(sent: Path) -> None:
    def scribble(book: Any) -> None:  # noqa: ANN401 - openpyxl's
        sheet = book["Register"]
        sheet.cell(2, sheet.max_column + 2, "see the caretaker")

    returned = back(sent, scribble)

    (change,) = returned.changes
    assert (change.sheet, change.row, change.after) == ("Register", 2, "see the caretaker")
    assert change.column.startswith("column ")


@pytest.mark.parametrize(
    ("written", "day"),
    [
        (datetime(2026, 11, 18), date(2026, 11, 18)),  # noqa: DTZ001 - a day in a cell
        ("2026-11-18", date(2026, 11, 18)),
        ("18/11/2026", date(2026, 11, 18)),
        ("18.11.26", date(2026, 11, 18)),
        ("11/18/2026", date(2026, 11, 18)),
        ("Wed 18 Nov 2026", date(2026, 11, 18)),
        ("3/4/2026", None),
        ("31/4/2026", None),
        ("46344", None),
        ("yesterday", None),
        (True, None),
    ],
)
def test_a_day_written_as_text_is_taken_where_it_can_be_one_day_alone(
    sent: Path, written: object, day: date | None
) -> None:
    returned = back(sent, lambda book: answer(book, "P1", on=written))

    assert [each.pressed_on for each in returned.answers] == ([day] if day else [])
    assert len(returned.notes) == (day is None)
    assert all("Ask the owner for the day." in note for note in returned.notes)


def test_an_error_of_the_spreadsheet_is_no_answer(sent: Path) -> None:
    returned = back(sent, lambda book: answer(book, "P1", word="#N/A", comment="#VALUE!"))

    assert returned.answers == []
    assert [note.partition(" can't")[0].split(": ")[1] for note in returned.notes] == [
        "“Your answer”",
        "“Your comment”",
    ]


def test_a_workbook_whose_tests_were_parted_from_their_readings_is_not_taken_over(desk: Desk, tmp_path: Path) -> None:
    for tag in ("P1", "P2"):
        desk.test(tag, readings=[earth("0.2")])
    path = written(desk, tmp_path)
    book = load_workbook(path)
    turned_round(book["Test results"], "Remarks")
    book.save(path)

    with pytest.raises(Refused, match="“Test results” were sorted or copied without their hidden columns"):
        read_file(desk.register, path, IntakeChoices("HOTEL"), today=TODAY)
