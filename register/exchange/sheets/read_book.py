"""Reads a spreadsheet file sheet by sheet: what its rows say in the register's words, and what has to be asked first.

Of each sheet the rows are loaded; merged cells are taken apart, and items that stand side by side put below one
another. Then it is settled how the sheet is laid out (`layout.py`), and each row is read by that (`rows.py`). What a
tag's rows say together, be they on one sheet or on several, is seen at the end (`file_reading.py`). The register is
not asked for anything: what a reading means to it is found by those who take it in.
"""

from collections.abc import Callable
from collections.abc import Mapping as Lookup
from dataclasses import dataclass, field, replace
from datetime import date

from register.domain.words import counted
from register.errors import Refused
from register.exchange.sheets.asking import questions_of
from register.exchange.sheets.cells import MOST_ROWS_OF_FILE, Book, Row, SheetSource, too_many_in_file
from register.exchange.sheets.dates import EPOCH_1900, EPOCH_1904, DateRules
from register.exchange.sheets.fields import Field
from register.exchange.sheets.file_reading import FileReading, put_together
from register.exchange.sheets.heading_rows import ROWS_LOOKED_AT, has_headings, heading_at
from register.exchange.sheets.layout import Layout, lay_out
from register.exchange.sheets.mapping import Constants, Mapping, SheetMapping, find
from register.exchange.sheets.merged import spread_down
from register.exchange.sheets.record_row import day_column
from register.exchange.sheets.row import Sheet
from register.exchange.sheets.rows import EVERY_ROWS, SheetSays, read_rows
from register.exchange.sheets.side_by_side import unfolded
from register.exchange.sheets.values import WordTable, tables
from register.services.intake.rows import RowPlace, RowProblem

Progress = Callable[[int], None]


def read_book(
    name: str,
    book: Book,
    *,
    mapping: Mapping | None,
    today: date,
    environments: frozenset[str],
    constants: Constants | None = None,
    progress: Progress | None = None,
) -> FileReading:
    """Read an open workbook or text table of this name.

    `environments` are the classes that an item may have. `constants` go before the mapping's. `progress` is called
    now and then with the number of rows read so far; what it raises stops the reading.
    Refused, with the cause, when it is damaged, no spreadsheet, or beyond a limit. Rows that can't be taken are
    problems of the reading, each with its place and reason.
    """
    said = mapping or Mapping()
    said = replace(said, constants=(constants or Constants()).over(said.constants))
    rules = DateRules(today, EPOCH_1904 if book.counts_from_1904 else EPOCH_1900, said.allow_old_dates)
    reader = _Reader(name, said, tables(environments, said.values), rules, progress)
    for source in book.sheets:
        reader.read(source)
    if not reader.layouts:
        raise Refused(_nothing_in(name, book))
    for text in book.notes:
        reader.note(reader.layouts[0].sheet, 1, text)
    return put_together(said, reader.layouts, reader.says, reader.problems)


def _nothing_in(name: str, book: Book) -> str:
    hidden = any(sheet.hidden for sheet in book.sheets)
    why = "all its sheets are hidden or left out" if hidden else "its sheets are blank"
    return f"“{name}” holds nothing to read: {why}. Choose another file, or show the sheets."


@dataclass(slots=True)
class _Reader:
    """Reads the sheets of a file one after the other, and keeps what it finds.

    There is a layout for each sheet with anything on it, `says` for those that are lists. `problems` are those with a
    sheet as a whole; those with its rows are in `says`.
    """

    file_name: str
    mapping: Mapping
    tables: Lookup[Field, WordTable]
    rules: DateRules
    progress: Progress | None
    layouts: list[Layout] = field(default_factory=list)
    says: list[SheetSays] = field(default_factory=list)
    problems: list[RowProblem] = field(default_factory=list)
    rows_loaded: int = 0

    def note(self, sheet: str, row: int, reason: str, column: str = "") -> None:
        """Keep what the user should know, though nothing is refused for it."""
        self.problems.append(RowProblem(RowPlace(sheet, row), column, "", reason, refused=False))

    def read(self, source: SheetSource) -> None:
        """Read one sheet, unless it is hidden or the mapping leaves it out."""
        if source.hidden:
            self.note(source.name, 1, "The sheet is hidden and was left out. Show it in the file if it is wanted.")
            return
        said = self.mapping.for_sheet(source.name)
        rows = [] if said.skip else self._one_item_a_row(source, said)
        if not rows:
            return
        layout = lay_out(source.name, rows, said, self.tables, self.mapping.decimal)
        self.layouts.append(layout)
        self._note_stale_columns(layout)
        if layout.gives_anything:
            sheet = Sheet(layout, self.mapping, self.tables, self.rules)
            self._note_undated_tests(sheet)
            self.says.append(read_rows(sheet, rows, self._tell))
        elif not questions_of(layout):
            self.note(source.name, 1, "No list of items or tests was found on this sheet; it was left out.")

    def _tell(self, rows_of_sheet: int) -> None:
        """Tell how far the file is read, with so many rows of the sheet that is being read."""
        if self.progress is not None:
            self.progress(sum(each.rows_read for each in self.says) + rows_of_sheet)

    # --- the rows of a sheet ---

    def _one_item_a_row(self, source: SheetSource, said: SheetMapping) -> list[Row]:
        """Return the rows of a sheet, each with all that is said of one item; what had to be done for it is noted."""
        rows = self._load(source, said)
        for note in source.notes:
            self.note(source.name, note.row or 1, note.text)
        rows = self._taken_apart(source, rows, said)
        rows, times = unfolded(rows, said)
        if times > 1:
            reason = f"{times} items stand side by side in a row; each was read as a row of its own."
            self.note(source.name, 1, reason)
        return rows

    def _load(self, source: SheetSource, said: SheetMapping) -> list[Row]:
        """Return the rows of a sheet; only the first ones where there are no headings among them.

        Each text is kept once, however often it stands in the sheet.
        """
        texts: dict[str, str] = {}
        rows: list[Row] = []
        for number, values in source.rows():
            if len(rows) == ROWS_LOOKED_AT and not has_headings(rows, said):
                break
            if number % EVERY_ROWS == 0:
                self._tell(0)
            kept = (texts.setdefault(each, each) if isinstance(each, str) else each for each in values)
            rows.append((number, tuple(kept)))
            if self.rows_loaded + len(rows) > MOST_ROWS_OF_FILE:
                raise too_many_in_file(self.file_name)
        self.rows_loaded += len(rows)
        return rows

    def _taken_apart(self, source: SheetSource, rows: list[Row], said: SheetMapping) -> list[Row]:
        """Return the rows with what cells merged over several of them say, those of the headings left as they are."""
        at = heading_at(rows, said)
        if at is None:
            return rows
        below = rows[at][0]
        spans = [span for span in source.spans if span.first > below]
        if not spans:
            return rows
        count = counted(len(spans), "cell is", "cells are")
        reason = f"{count} merged over several rows; what stands there was taken for each."
        self.note(source.name, spans[0].first, reason)
        return [*rows[: at + 1], *spread_down(rows[at + 1 :], spans)]

    # --- what is noted of a sheet as a whole ---

    def _note_stale_columns(self, layout: Layout) -> None:
        """Note the columns that the mapping names for this very sheet and that it does not have."""
        own = find(self.mapping.sheets, layout.sheet)
        if own and layout.columns:
            have = {column.heading: column for column in layout.columns}
            for heading in own.columns:
                if find(have, heading) is None:
                    reason = "The mapping names this column, which the sheet does not have."
                    self.note(layout.sheet, layout.heading_row, reason, heading)

    def _note_undated_tests(self, sheet: Sheet) -> None:
        """Note results and readings of a test that has no column for its day: they can't be taken."""
        for columns in sheet.tests.values():
            if day_column(columns) is None:
                listed = ", ".join(f"“{column.heading}”" for column in columns)
                reason = f"There is no column with the day of this test, so {listed} were left out."
                self.note(sheet.layout.sheet, sheet.layout.heading_row, reason, columns[0].heading)
