"""What would become of each row of a file, as a workbook: its own columns, with what was left out marked and why."""

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

from register.errors import Refused
from register.exchange.sheets.book import open_book
from register.exchange.sheets.cells import SheetSource, text_of
from register.exchange.sheets.heading_words import OF_PREVIEW
from register.exchange.sheets.mapping import SheetMapping
from register.exchange.sheets.rows import PASSED_OVER
from register.exchange.sheets.side_by_side import unfolded
from register.exchange.taking_in import FileTaken
from register.exchange.workbook.book import BookWriter
from register.exchange.workbook.columns import Column, Sheet
from register.exchange.workbook.looks import ACCENT, CellKind
from register.exchange.workbook.paper import PageText
from register.exchange.workbook.swap_in import swap_in
from register.exchange.workbook.table_sheet import write_sheet
from register.services.intake.rows import Became, RowPlace, RowProblem
from register.services.intake.taking_in import Taken
from register.stopping import step_by_step

LEFT_OUT: Final = "Left out"
TEST_LEFT_OUT: Final = "Test left out"
_ITEMS: Final = {Became.NEW: "New item", Became.CHANGED: "Item changed", Became.SAME: "As it was"}
_NOT_IN_TITLES: Final = re.compile(r"[\[\]:*?/\\\x00-\x1f]")
_WIDTH: Final = 16
_TITLE_LETTERS: Final = 31


@dataclass(frozen=True, slots=True)
class _Line:
    """One row of the file: what becomes of it, why, and its cells as text."""

    becomes: str
    number: int
    why: str
    cells: Sequence[str]


def write_preview(file: Path, done: FileTaken, path: Path, *, as_at: date) -> int:
    """Write what would become of the rows of `file` to `path`, and return how many rows are marked as left out.

    Refused where the file is no list whose rows could be marked; Unavailable as when writing any workbook.
    """
    heads = done.reading.heads
    if not heads:
        raise Refused(f"“{file.name}” has no list of items, so no row can be marked. Choose a file that has one.")
    problems: dict[RowPlace, list[RowProblem]] = defaultdict(list)
    for each in done.taken.problems:
        problems[each.place].append(each)
    with BookWriter() as book, open_book(file) as source:
        for number, sheet in enumerate((each for each in source.sheets if each.name in heads), 1):
            said = done.reading.mapping_used.for_sheet(sheet.name)
            lines = tuple(_lines(sheet, said, done.taken, problems))
            write_sheet(book, _sheet(sheet.name, number, heads[sheet.name], lines), PageText(file.name, "", as_at))
        book.name(f"What becomes of the rows of {file.name}", "", as_at)
        swap_in(book.finished(), path, book.check)
    return len({place for place, found in problems.items() if any(each.refused for each in found)})


def _sheet(name: str, number: int, heads: Sequence[str], lines: tuple[_Line, ...]) -> Sheet[_Line]:
    becomes, row, why = OF_PREVIEW
    return Sheet(
        title=_title(name, number),
        table=f"Rows{number}",
        about="",
        empty="No row stands under the headings.",
        colour=ACCENT,
        columns=(
            Column(becomes, 17, CellKind.TEXT, lambda line: line.becomes),
            Column(row, 9, CellKind.COUNT, lambda line: line.number),
            Column(why, 48, CellKind.PROSE, lambda line: line.why),
            *(_cell(place, head) for place, head in enumerate(heads)),
        ),
        rows=lines,
        marked=becomes,
        mark=LEFT_OUT,
        also=TEST_LEFT_OUT,
    )


def _title(name: str, number: int) -> str:
    """Return a name that a sheet of a workbook can have, which the name of a text file need not be."""
    title = _NOT_IN_TITLES.sub(" ", name).strip(" '")
    return title if 0 < len(title) <= _TITLE_LETTERS else f"{number} {title}"[:_TITLE_LETTERS].rstrip()


def _cell(place: int, head: str) -> Column[_Line]:
    return Column(head, _WIDTH, CellKind.CODE, lambda line: line.cells[place] if place < len(line.cells) else "")


def _lines(
    sheet: SheetSource, said: SheetMapping, taken: Taken, problems: dict[RowPlace, list[RowProblem]]
) -> Iterator[_Line]:
    first = said.heading_row or 0
    rows, _ = unfolded(list(step_by_step(sheet.rows())), said)
    for number, values in rows:
        if number > first:
            place = RowPlace(sheet.name, number)
            found = problems.get(place, [])
            yield _Line(_becomes(place, taken, found), number, _why(taken, found), [text_of(value) for value in values])


def _becomes(place: RowPlace, taken: Taken, problems: Sequence[RowProblem]) -> str:
    """Say what becomes of a row; one of whose tests alone is left out is marked as well, since he has to mend it."""
    if any(each.refused for each in problems):
        return TEST_LEFT_OUT if place in taken.items else LEFT_OUT
    item, test = taken.items.get(place), taken.records.get(place)
    said = [_ITEMS[item]] if item and not (item is Became.SAME and test is Became.NEW) else []
    said += ["New test"] if test is Became.NEW else ["Test known"] if test and not item else []
    return ", ".join(said).capitalize() if said else PASSED_OVER


def _why(taken: Taken, problems: Sequence[RowProblem]) -> str:
    said = ((each.column, taken.why(each)) for each in problems)
    return "\n".join(f"{column}: {why}" if column else why for column, why in said)
