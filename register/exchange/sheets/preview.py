"""Reading a spreadsheet for import: what its rows say in the register's words, and what has to be asked first."""

from collections.abc import Callable
from collections.abc import Mapping as Lookup
from dataclasses import dataclass, field, replace
from datetime import date

from register.domain.words import counted
from register.errors import Refused
from register.exchange.sheets.asking import questions_of
from register.exchange.sheets.cells import Book, Row, SheetSource
from register.exchange.sheets.dates import EPOCH_1900, EPOCH_1904, DateRules
from register.exchange.sheets.fields import Field
from register.exchange.sheets.gather import gather
from register.exchange.sheets.headings import EXAMPLES, OPEN_CERTAINTY, TITLES, Suggestion, names_of
from register.exchange.sheets.layout import (
    ROWS_LOOKED_AT,
    Layout,
    gives_anything,
    has_headings,
    heading_at,
    lay_out,
    resolved,
)
from register.exchange.sheets.mapping import Constants, Mapping, SheetMapping, find
from register.exchange.sheets.merged import spread_down
from register.exchange.sheets.question import Question
from register.exchange.sheets.record_row import day_column
from register.exchange.sheets.row import Sheet
from register.exchange.sheets.rows import EVERY_ROWS, SheetSays, read_rows
from register.exchange.sheets.side_by_side import unfolded
from register.exchange.sheets.values import WordTable, tables
from register.services.intake.rows import RowPlace, RowProblem, SheetRows

Progress = Callable[[int], None]


@dataclass(frozen=True, slots=True)
class SheetReading:
    """What a file says and how it was read.

    `questions` are to be answered in a mapping before the rows are taken in; each says what to write.
    `mapping_used` names what every column was taken for, and can be saved as the next file's mapping.
    `suggestions` are all guesses about headings and values, taken or not. `heads` are the headings of each sheet that
    was read as a list, one for each column, by the sheet's name. `said` is the mapping that was given, and `remembered`
    the name of its source where it was remembered from an earlier file. `lacks` says in a sentence what a register that
    takes the file over does not get with it.
    """

    rows: SheetRows
    mapping_used: Mapping
    suggestions: tuple[Suggestion, ...] = ()
    questions: tuple[Question, ...] = ()
    heads: Lookup[str, tuple[str, ...]] = field(default_factory=dict)
    said: Mapping | None = None
    remembered: str = ""
    lacks: str = ""


@dataclass(slots=True)
class _File:
    """What is found while the sheets of a file are read one after the other."""

    mapping: Mapping
    tables: Lookup[Field, WordTable]
    rules: DateRules
    progress: Progress | None
    says: list[SheetSays] = field(default_factory=list)
    layouts: list[Layout] = field(default_factory=list)
    problems: list[RowProblem] = field(default_factory=list)
    rows_before: int = 0


def read_book(
    name: str,
    book: Book,
    *,
    mapping: Mapping | None,
    today: date,
    environments: frozenset[str],
    constants: Constants | None = None,
    progress: Progress | None = None,
) -> SheetReading:
    """Read an open workbook or text table of this name.

    `environments` are the classes that an item may have. `constants` go before the mapping's. `progress` is called
    now and then with the number of rows read so far; what it raises stops the reading.
    Refused, with the cause, when it is damaged, no spreadsheet, or beyond a limit. Rows that can't be taken are
    problems of the reading, each with its place and reason.
    """
    said = mapping or Mapping()
    said = replace(said, constants=(constants or Constants()).over(said.constants))
    rules = DateRules(today, EPOCH_1904 if book.counts_from_1904 else EPOCH_1900, said.allow_old_dates)
    file = _File(said, tables(environments, said.values), rules, progress)
    for source in book.sheets:
        _read_sheet(file, source)
    if not file.layouts:
        raise Refused(_nothing_in(name, book))
    _note_file(file, book)
    return _reading(file)


def _read_sheet(file: _File, source: SheetSource) -> None:
    said = file.mapping.for_sheet(source.name)
    if source.hidden or said.skip:
        if source.hidden:
            _note(file, source.name, 1, "The sheet is hidden and was left out. Show it in the file if it is wanted.")
        return
    rows = _load(file, source, said)
    for note in source.notes:
        _note(file, source.name, note.row or 1, note.text)
    if not rows:
        return
    rows = _taken_apart(file, source, rows, said)
    rows, times = unfolded(rows, said)
    if times > 1:
        _note(file, source.name, 1, f"{times} items stand side by side in a row; each was read as a row of its own.")
    layout = lay_out(source.name, rows, said, file.tables, file.mapping.decimal)
    file.layouts.append(layout)
    _note_stale(file, layout)
    if gives_anything(layout):
        sheet = Sheet(layout, file.mapping, file.tables, file.rules)
        _note_undated(file, sheet)
        says = read_rows(sheet, rows, _further(file.progress, file.rows_before))
        file.says.append(says)
        file.rows_before += says.rows_read
    elif not questions_of(layout):
        _note(file, source.name, 1, "No list of items or tests was found on this sheet; it was left out.")


def _load(file: _File, source: SheetSource, said: SheetMapping) -> list[Row]:
    """Return the rows of a sheet; only the first ones where there are no headings among them.

    Each text is kept once, however often it stands in the sheet.
    """
    texts: dict[str, str] = {}
    rows: list[Row] = []
    for number, values in source.rows():
        if len(rows) == ROWS_LOOKED_AT and not has_headings(rows, said):
            break
        if file.progress and number % EVERY_ROWS == 0:
            file.progress(file.rows_before)
        rows.append((number, tuple(texts.setdefault(each, each) if isinstance(each, str) else each for each in values)))
    return rows


def _taken_apart(file: _File, source: SheetSource, rows: list[Row], said: SheetMapping) -> list[Row]:
    """Return the rows with what cells merged over several of them say, those of the headings left as they are."""
    at = heading_at(rows, said)
    spans = [span for span in source.spans if at is not None and span.first > rows[at][0]]
    if not spans or at is None:
        return rows
    count = counted(len(spans), "cell is", "cells are")
    _note(file, source.name, spans[0].first, f"{count} merged over several rows; what stands there was taken for each.")
    return [*rows[: at + 1], *spread_down(rows[at + 1 :], spans)]


def _further(progress: Progress | None, before: int) -> Progress | None:
    return None if progress is None else lambda count: progress(before + count)


def _note(file: _File, sheet: str, row: int, reason: str, column: str = "") -> None:
    file.problems.append(RowProblem(RowPlace(sheet, row), column, "", reason, refused=False))


def _note_stale(file: _File, layout: Layout) -> None:
    """Note the columns that the mapping names for this very sheet and that it does not have."""
    own = find(file.mapping.sheets, layout.sheet)
    if own and layout.columns:
        have = {column.heading: column for column in layout.columns}
        for heading in own.columns:
            if find(have, heading) is None:
                reason = "The mapping names this column, which the sheet does not have."
                _note(file, layout.sheet, layout.heading_row, reason, heading)


def _note_undated(file: _File, sheet: Sheet) -> None:
    """Note results and readings of a test that has no column for its day: they can't be taken."""
    for columns in sheet.tests.values():
        if day_column(columns) is None:
            listed = ", ".join(f"“{column.heading}”" for column in columns)
            reason = f"There is no column with the day of this test, so {listed} were left out."
            _note(file, sheet.layout.sheet, sheet.layout.heading_row, reason, columns[0].heading)


def _note_file(file: _File, book: Book) -> None:
    for text in book.notes:
        _note(file, file.layouts[0].sheet, 1, text)


def _nothing_in(name: str, book: Book) -> str:
    hidden = sum(sheet.hidden for sheet in book.sheets)
    why = "all its sheets are hidden or left out" if hidden else "its sheets are blank"
    return f"“{name}” holds nothing to read: {why}. Choose another file, or show the sheets."


def _reading(file: _File) -> SheetReading:
    gathered = gather(file.says)
    order = {layout.sheet: place for place, layout in enumerate(file.layouts)}
    problems = sorted(
        (*file.problems, *gathered.problems),
        key=lambda problem: (order.get(problem.place.sheet, len(order)), problem.place.row),
    )
    rows = SheetRows(
        items=tuple(gathered.items.values()),
        records=tuple(test.record for test in gathered.tests),
        problems=tuple(problems),
        rows_read=sum(says.rows_read for says in file.says),
    )
    suggestions = [suggestion for layout in file.layouts for suggestion in layout.suggestions]
    for says in file.says:
        suggestions += says.sheet.unknown.values()
        if says.titles:
            own = file.mapping.for_sheet(says.sheet.layout.sheet).titles_are
            suggestions.append(
                Suggestion(
                    says.sheet.layout.sheet, TITLES, "", own or "area", OPEN_CERTAINTY, taken=bool(own),
                    examples=tuple(dict.fromkeys(says.titles))[:EXAMPLES],
                )
            )  # fmt: skip
    questions = list(dict.fromkeys(question for layout in file.layouts for question in questions_of(layout)))
    if not file.says and not questions:
        questions.append(_no_list(file))
    heads = {layout.sheet: tuple(names_of(layout.headings)) for layout in file.layouts if layout.is_list}
    return SheetReading(rows, _used(file), tuple(suggestions), tuple(questions), heads)


def _no_list(file: _File) -> Question:
    sheets = ", ".join(f"“{layout.sheet}”" for layout in file.layouts)
    return Question(
        f"No row of headings was found on {sheets}.",
        "Say in the mapping which row they are in, and which of them is the tag: "
        f'[sheets."{file.layouts[0].sheet}"] heading_row = …',
    )


def _used(file: _File) -> Mapping:
    decimals = {layout.decimal for layout in file.layouts if layout.decimal}
    return replace(
        file.mapping,
        sheets={layout.sheet: _used_of(file, layout) for layout in file.layouts if layout.columns},
        decimal=file.mapping.decimal or (decimals.pop() if len(decimals) == 1 else ""),
    )


def _used_of(file: _File, layout: Layout) -> SheetMapping:
    said = file.mapping.for_sheet(layout.sheet)
    return replace(resolved(layout), rows_are=said.rows_are, titles_are=said.titles_are)
