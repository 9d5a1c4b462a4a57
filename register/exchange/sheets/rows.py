"""The rows under the headings: which are items and tests, and which are only titles, totals or repeated headings."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from register.exchange.sheets.cells import Row, Value, text_of
from register.exchange.sheets.fields import Field
from register.exchange.sheets.heading_words import BECOMES, plain
from register.exchange.sheets.headings import Column, makes_items, makes_records
from register.exchange.sheets.item_row import read_item, read_site, read_tag
from register.exchange.sheets.record_row import RowTest, read_tests
from register.exchange.sheets.row import RowCells, Sheet
from register.services.intake.rows import IntakeItem, RowPlace, RowProblem

EVERY_ROWS: Final = 200
"""After so many rows the caller is told how far it is, and may stop it."""

PASSED_OVER: Final = "Passed over"
"""Stands in a preview that comes back mended where a row is none of the list."""

_TITLE: Final = "This was taken for a title and left out. If such rows name areas, say so."
_IN_MAPPING: Final = 'titles_are = "area"'
MOST_CELLS_OF_A_TOTAL: Final = 4
_TOTAL: Final = re.compile(
    r"(?:grand |sub ?)?totals?\b|(?:number|no|count) of (?:items|tests)\b|\d+ items\b|sum\s*:?$"
    r"|(?:passed|failed|tested)\s*[:=]\s*\d+$"
)


@dataclass(frozen=True, slots=True)
class RowSays:
    """What one row says: its tag, its item where the sheet describes items, and its tests."""

    tag: str
    item: IntakeItem | None
    tests: tuple[RowTest, ...]


@dataclass(slots=True)
class SheetSays:
    """Everything that the rows of one sheet say."""

    sheet: Sheet
    rows: list[RowSays] = field(default_factory=list)
    problems: list[RowProblem] = field(default_factory=list)
    titles: list[str] = field(default_factory=list)
    rows_read: int = 0


def read_rows(sheet: Sheet, rows: Sequence[Row], progress: Callable[[int], None] | None = None) -> SheetSays:
    """Return what the rows say. `progress` is called now and then with the number of rows read; it stops by raising."""
    says = SheetSays(sheet)
    layout = sheet.layout
    at = layout.place_of(Field.TAG)
    tag_column = next(column for column in layout.columns if column.place == at)
    for number, values, under in _data_rows(says, rows[layout.begins :], tag_column):
        says.rows_read += 1
        if progress and says.rows_read % EVERY_ROWS == 0:
            progress(says.rows_read)
        row = RowCells(sheet, RowPlace(layout.sheet, number), values, under)
        said = _read(row, tag_column, items=makes_items(layout.columns), tests=makes_records(layout.columns))
        says.problems += row.problems
        if said:
            says.rows.append(said)
    return says


def _read(row: RowCells, tag_column: Column, *, items: bool, tests: bool) -> RowSays | None:
    """Return what a row says; None where nothing of it can be taken."""
    tag = read_tag(row, tag_column)
    if not tag:
        return None
    item = read_item(row, tag) if items else None
    site = item.site if item else read_site(row)[0]
    remarks = "; ".join(filter(None, (row.text(column) for column in row.sheet.several.get(Field.REMARKS, ()))))
    if row.refused:
        return None
    found = read_tests(row, tag, site, remarks) if tests else []
    if item is None:
        return RowSays(tag, None, tuple(found))
    item = _with_day_of_removal(row, item, found)
    if item is None:
        return None
    return RowSays(tag, item if found else replace(item, remarks=remarks), tuple(found))


def _with_day_of_removal(row: RowCells, item: IntakeItem, tests: Sequence[RowTest]) -> IntakeItem | None:
    """Return the item with the day on which it was removed, if it was; None where nobody can tell that day."""
    column = row.sheet.single.get(Field.STANDING)
    if item.removed_on or column is None or row.word(column) != "removed":
        return item
    last = max((test.record.record.tested_on for test in tests), default=None)
    if last is None:
        row.complain(column, "The item was removed, but on which day is not said. Write in the day.")
        return None
    row.complain(column, "The day of the removal is not said; the day of the last test was taken.", refused=False)
    return replace(item, removed_on=last)


def _data_rows(
    says: SheetSays, rows: Sequence[Row], tag_column: Column
) -> Iterator[tuple[int, tuple[Value, ...], str]]:
    """Yield the rows that say something of an item, each with the title above it that names its area; note others."""
    layout, problems = says.sheet.layout, says.problems
    headings = [plain(heading) for heading in layout.headings]
    below_total, under = False, ""
    titles_are = says.sheet.mapping.for_sheet(layout.sheet).titles_are
    mended = headings[:1] == [plain(BECOMES)]
    for number, values in rows:
        if mended and text_of(values[0]) == PASSED_OVER:
            continue
        filled = [place for place, value in enumerate(values) if value is not None]
        if len(filled) > MOST_CELLS_OF_A_TOTAL:
            if _repeats(headings, values, filled):
                continue
            below_total = False
            yield number, values, under
            continue
        first = text_of(values[filled[0]])
        total, title = _is_total(values, filled), _is_title(values, filled, tag_column, len(headings))
        if title and titles_are and not total:
            under, below_total = first, False
            says.titles.append(first)
        elif total or below_total:
            below_total = True
            what = "total" if total else "line below the total"
            problems.append(_note(layout.sheet, number, first, f"This was taken for a {what} and left out."))
        elif title:
            says.titles.append(first)
            problems.append(_note(layout.sheet, number, first, _TITLE, _IN_MAPPING))
        elif not _repeats(headings, values, filled):
            yield number, values, under


def _is_total(values: Sequence[Value], filled: Sequence[int]) -> bool:
    return any(_TOTAL.match(text_of(values[place]).casefold()) for place in filled[:2])


def _is_title(values: Sequence[Value], filled: Sequence[int], tag_column: Column, width: int) -> bool:
    """Whether a row is only a title between others: one cell in a wide table, and no number of a tag."""
    if len(filled) > 1 or width <= MOST_CELLS_OF_A_TOTAL:
        return False
    return filled[0] != tag_column.place or not any(letter.isdigit() for letter in text_of(values[filled[0]]))


def _repeats(headings: Sequence[str], values: Sequence[Value], filled: Sequence[int]) -> bool:
    """Whether a row is the headings once more, as at the top of each printed page."""
    return all(place < len(headings) and plain(text_of(values[place])) == headings[place] for place in filled)


def _note(sheet: str, number: int, shown: str, reason: str, in_mapping: str = "") -> RowProblem:
    return RowProblem(RowPlace(sheet, number), "", shown, reason, refused=False, in_mapping=in_mapping)
