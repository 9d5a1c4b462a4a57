"""An owner workbook of this program where a list was expected: read back as the items and tests it was written from.

Its rows are known by their hidden marks, so that the register which wrote it finds everything as it was, and another
firm's register takes over the whole history. Its answers are no list: they come back by the review.
"""

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal
from itertools import islice
from typing import Final

from register.domain.measures import measure
from register.domain.records import Reading, TestRecord
from register.domain.rulebook import EnvironmentClass
from register.domain.words import Bound, Check, Result, Standing, counted, spoken
from register.errors import Refused
from register.exchange import own_words
from register.exchange.returned_sheet import Returned, marked_heads
from register.exchange.review import returned_in
from register.exchange.sheets.cells import Book, SheetSource, Value, text_of
from register.exchange.sheets.dates import DateRules
from register.exchange.sheets.file_reading import FileReading
from register.exchange.sheets.mapping import Mapping as SheetMapping
from register.exchange.workbook.answers import AS_SENT, ROW_MARK
from register.exchange.workbook.cells import unguarded
from register.exchange.workbook.columns import STANDING, TAG
from register.exchange.workbook.item_sheets import REGISTER
from register.exchange.workbook.record_sheets import READINGS, RECORDS
from register.exchange.workbook.wording import AS_FOUND, SUPERSEDED, standing_word, word
from register.services.intake.rows import IntakeItem, IntakeRecord, RowPlace, RowProblem, SheetRows

LACKS: Final = (
    "Repairs, moves, overrides and times of day don't come along, so some dates may differ from those in the workbook."
)
_NUMBER: Final = re.compile(r"\d{1,6}(\.\d{1,6})?")
_NOT_TAKEN: Final = "It was “{}” when the workbook was written. Changes beside the answers are not taken in."


@dataclass(frozen=True, slots=True)
class _OwnRow:
    """One row of a sheet, its cells by their headings."""

    place: RowPlace
    mark: str
    cells: Mapping[str, Value]

    def text(self, heading: str) -> str:
        """Return the text of a cell as it was before it was written."""
        return unguarded(text_of(self.cells.get(heading)))

    def day(self, heading: str) -> date:
        """Return the day in a cell; refused where there is none."""
        value = self.cells.get(heading)
        if isinstance(value, datetime):
            return value.date()
        if isinstance(value, date):
            return value
        raise Refused(f"“{text_of(value)}” is not the day that stood here. Write a new workbook and take that in.")

    def number(self, heading: str) -> Decimal | None:
        """Return the number in a cell, None where it is empty; refused where something else stands there."""
        text = self.text(heading)
        if text and not _NUMBER.fullmatch(text):
            raise Refused(f"“{text}” is not the number that stood here. Write a new workbook and take that in.")
        return Decimal(text) if text else None

    def whole(self, heading: str) -> int | None:
        """Return the whole number in a cell; as `number`."""
        found = self.number(heading)
        return None if found is None else int(found)


@dataclass(slots=True)
class _Measured:
    """What the sheet of readings says of one test."""

    readings: list[Reading] = field(default_factory=list)
    look: Result | None = None


@dataclass(slots=True)
class _Own:
    """A workbook while it is read."""

    sites: tuple[str, ...]
    rules: DateRules
    classes: Mapping[str, EnvironmentClass]
    problems: list[RowProblem] = field(default_factory=list)
    rows: int = 0

    def complain(self, place: RowPlace, column: str, value: str, reason: str, *, refused: bool = True) -> None:
        """Keep what is wrong in a row."""
        self.problems.append(RowProblem(place, column, value, reason, refused))


def is_own(book: Book) -> bool:
    """Whether an open file is an owner workbook of this program."""
    return any(sheet.hidden and sheet.name == AS_SENT for sheet in book.sheets)


def read_own(name: str, book: Book, *, today: date, classes: Mapping[str, EnvironmentClass]) -> FileReading:
    """Return the items and tests of an owner workbook. `classes` are those of its site's rulebook, by their titles.

    Refused where there are answers in it, and as the review refuses it.
    """
    returned = returned_in(name, book)
    if returned.answers:
        answers = counted(len(returned.answers), "answer")
        raise Refused(
            f"“{name}” is an owner workbook with {answers} in it, and no list. Take it in with “Take in the"
            " owner's answers”, or on the command line with review."
        )
    if returned.astray:
        raise Refused(
            f"In “{name}” rows of {', '.join(f'“{each}”' for each in returned.astray)} were sorted or copied without "
            "their hidden columns, so nothing tells which readings are of which test. Take in the workbook as it was "
            "written."
        )
    own = _Own(returned.sent.sites, DateRules(today), classes)
    sheets = {sheet.name: sheet for sheet in book.sheets}
    sheets |= {title: sheets[now] for title, now in returned.renamed.items()}
    measured = _measured(own, sheets)
    items = list(_items(own, sheets))
    records = list(_records(own, sheets, measured))
    _note_changes(own, returned)
    rows = SheetRows(tuple(_in_areas(items, classes)), tuple(records), tuple(own.problems), own.rows)
    return FileReading(rows, SheetMapping(), lacks=LACKS)


def _note_changes(own: _Own, returned: Returned) -> None:
    for each in returned.changes:
        reason = _NOT_TAKEN.format(each.before) if each.before else "The row was added by hand. It was not taken in."
        own.complain(RowPlace(each.sheet, each.row), each.column, each.after, reason, refused=False)
    for note in returned.notes:
        own.complain(RowPlace(REGISTER, 1), "", "", note, refused=False)


def _rows(own: _Own, sheets: Mapping[str, SheetSource], title: str, *, once: bool = True) -> Iterator[_OwnRow]:
    """Yield the marked rows of a sheet; of each mark the first alone, unless several rows share one."""
    if title not in sheets:
        return
    rows = sheets[title].rows()
    heads = marked_heads(rows)
    if heads is None:
        _note_unmarked(own, sheets[title])
        return
    seen: set[str] = set()
    for number, values in rows:
        cells = {head: values[place] if place < len(values) else None for head, place in heads.items()}
        row = _OwnRow(RowPlace(title, number), text_of(cells[ROW_MARK]), cells)
        if row.mark and not (once and row.mark in seen):
            seen.add(row.mark)
            own.rows += once
            yield row


def _note_unmarked(own: _Own, sheet: SheetSource) -> None:
    """Note that a sheet has rows that can't be told apart any more; one that was written empty has one sentence."""
    if len(list(islice(sheet.rows(), 2))) > 1 and sheet.name != REGISTER:  # of the register the review says so
        reason = f"The sheet has lost its hidden column “{ROW_MARK}”, so nothing was read from it."
        own.complain(RowPlace(sheet.name, 1), "", "", reason, refused=False)


def _items(own: _Own, sheets: Mapping[str, SheetSource]) -> Iterator[IntakeItem]:
    for row in _rows(own, sheets, REGISTER):
        try:
            yield _item(own, row)
        except Refused as refused:
            own.complain(row.place, "", row.text(TAG), str(refused))


def _item(own: _Own, row: _OwnRow) -> IntakeItem:
    kind = own_words.said_kind(row.text("Kind"))
    switch, amperes, outlets = own_words.said_rating(row.text("Rating"))
    site, area = _place(own, row)
    standing, remarks = row.text(STANDING), row.text("Remarks")
    known = own.classes.get(row.text("Environment class"))
    removed = standing == standing_word(Standing.REMOVED)
    return IntakeItem(
        place=row.place, mark=row.mark, tag=row.text(TAG), site=site, area=area, kind=kind,
        description="" if kind and row.text("Item") == word(kind) else row.text("Item"),
        serial=row.text("Serial number"), environment=known.id if known else None, outlets=outlets,
        safety_switch=switch, rated_current_a=amperes,
        earlier_tags=tuple(filter(None, row.text("Earlier tags").split(", "))),
        removed_on=(own_words.removal_day(remarks, own.rules) or own.rules.today) if removed else None,
        not_found=remarks.startswith("Not found on "), out_of_service=standing == standing_word(Standing.WITHDRAWN),
    )  # fmt: skip


def _place(own: _Own, row: _OwnRow) -> tuple[str, str]:
    """Return the site's code and the area; in a book of several sites its name is all that there is."""
    text = row.text("Area")
    if len(own.sites) == 1:
        return own.sites[0], text
    site, _, area = text.rpartition(", ")
    return site or text, area


def _in_areas(items: list[IntakeItem], classes: Mapping[str, EnvironmentClass]) -> Iterator[IntakeItem]:
    """Yield the items with the class of their area, which is what most of its items have, and else with their own."""
    of_premises = {each.id for each in classes.values() if not each.of_equipment}
    counts: dict[tuple[str, str], dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for item in items:
        if item.environment in of_premises:
            counts[item.site, item.area][item.environment] += 1
    for item in items:
        among = counts[item.site, item.area]
        of_area = max(among, key=lambda name: among[name], default=None)
        yield replace(
            item, area_environment=of_area, environment=None if item.environment == of_area else item.environment
        )


def _records(own: _Own, sheets: Mapping[str, SheetSource], measured: Mapping[str, _Measured]) -> Iterator[IntakeRecord]:
    """Yield the tests that still count: what took the place of the others stands in the book as well."""
    for row in _rows(own, sheets, RECORDS):
        if row.text("Verdict") == SUPERSEDED:
            continue
        try:
            yield _record(own, row, measured.get(row.mark) or _Measured())
        except Refused as refused:
            own.complain(row.place, "", row.text(TAG), str(refused))


def _record(own: _Own, row: _OwnRow, measured: _Measured) -> IntakeRecord:
    instrument, set_up = own_words.said_instrument(row.text("Instrument and set-up"))
    return IntakeRecord(
        place=row.place, mark=row.mark, tag=row.text(TAG), site=_place(own, row)[0],
        record=TestRecord(
            own_words.said_duties(row.text("Duties")), tuple(measured.readings), measured.look, row.day("Tested on"),
            set_up=set_up,
        ),
        as_found=own_words.said(Result, row.text("Verdict")), tester=row.text("Tester"), instrument=instrument,
        remarks=row.text("Remarks").replace(AS_FOUND, "").strip(),
    )  # fmt: skip


def _measured(own: _Own, sheets: Mapping[str, SheetSource]) -> dict[str, _Measured]:
    """Return the readings and the look of each test, by its mark."""
    found: dict[str, _Measured] = defaultdict(_Measured)
    for row in _rows(own, sheets, READINGS, once=False):
        try:
            _take_reading(found[row.mark], row)
        except Refused as refused:
            own.complain(row.place, "Value", row.text("Value"), str(refused))
    return found


def _take_reading(measured: _Measured, row: _OwnRow) -> None:
    checked = own_words.said_check(row.text("Check"))
    if checked is None:
        raise Refused(f"“{row.text('Check')}” is no check of this program. Write a new workbook and take that in.")
    check, current = checked
    if check is Check.LOOK:
        measured.look = own_words.said(Result, row.text("Result"))
        return
    bound = next((each for each in Bound if row.text("Bound") in {each.value, spoken(each)}), Bound.EXACT)
    measured.readings.append(
        Reading(
            check, measure(check, row.text("Value"), row.text("Unit"), bound.value), row.whole("Outlet"),
            row.whole("Half-cycle"), row.number("Multiple"), current,
        )
    )  # fmt: skip
