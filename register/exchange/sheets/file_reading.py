"""What a spreadsheet file says, once all its sheets are read, and how it was read."""

from collections.abc import Iterable, Iterator, Sequence
from collections.abc import Mapping as Lookup
from dataclasses import dataclass, field, replace

from register.domain.words import Kind
from register.exchange.sheets.asking import only_tags, questions_of
from register.exchange.sheets.fields import Field
from register.exchange.sheets.gather import gather
from register.exchange.sheets.headings import ALL_ROWS, EXAMPLES, OPEN_CERTAINTY, TITLES, Suggestion, names_of
from register.exchange.sheets.layout import Layout
from register.exchange.sheets.mapping import Constants, Mapping, SheetMapping
from register.exchange.sheets.question import Question
from register.exchange.sheets.rows import SheetSays
from register.services.intake.rows import RowProblem, SheetRows


@dataclass(frozen=True, slots=True)
class FileReading:
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


def put_together(
    mapping: Mapping, layouts: Sequence[Layout], says: Sequence[SheetSays], problems: Iterable[RowProblem]
) -> FileReading:
    """Return the reading of a file from what was found sheet by sheet, in the order of the sheets.

    There is a layout for each sheet with anything on it; `says` are of those that are lists.
    """
    return FileReading(
        rows=_rows(layouts, says, problems),
        mapping_used=_mapping_used(mapping, layouts),
        suggestions=tuple(_suggestions(mapping, layouts, says)),
        questions=tuple(_questions(layouts, says)),
        heads={layout.sheet: tuple(names_of(layout.headings)) for layout in layouts if layout.is_list},
    )


def _rows(layouts: Sequence[Layout], says: Sequence[SheetSays], problems: Iterable[RowProblem]) -> SheetRows:
    gathered = gather(says)
    order = {layout.sheet: place for place, layout in enumerate(layouts)}

    def place_in_file(problem: RowProblem) -> tuple[int, int]:
        return order.get(problem.place.sheet, len(order)), problem.place.row

    return SheetRows(
        items=tuple(gathered.items.values()),
        records=tuple(test.record for test in gathered.tests),
        problems=tuple(sorted((*problems, *gathered.problems), key=place_in_file)),
        rows_read=sum(each.rows_read for each in says),
    )


def _suggestions(mapping: Mapping, layouts: Sequence[Layout], says: Sequence[SheetSays]) -> Iterator[Suggestion]:
    for layout in layouts:
        yield from layout.suggestions
    for each in says:
        yield from each.sheet.unknown.values()
        if each.titles:
            yield _about_titles(mapping, each)
        if _lacks_kinds(each):
            yield _about_kind(each)


def _about_titles(mapping: Mapping, says: SheetSays) -> Suggestion:
    """Return the suggestion that titles between the rows name areas."""
    sheet = says.sheet.layout.sheet
    said = mapping.for_sheet(sheet).titles_are
    return Suggestion(
        sheet, TITLES, value="", proposal=said or "area", certainty=OPEN_CERTAINTY, taken=bool(said),
        examples=tuple(dict.fromkeys(says.titles))[:EXAMPLES],
    )  # fmt: skip


def _lacks_kinds(says: SheetSays) -> bool:
    """Whether a sheet describes items and has no column that says what they are."""
    layout = says.sheet.layout
    unsaid = any(row.item and row.item.kind is None for row in says.rows)
    return layout.place_of(Field.KIND) is None and bool(unsaid or layout.constants.kind)


def _about_kind(says: SheetSays) -> Suggestion:
    """Return the suggestion to say what all items of a sheet are."""
    layout = says.sheet.layout
    examples = tuple(row.tag for row in says.rows if row.item and row.item.kind is None)[:EXAMPLES]
    return Suggestion(
        layout.sheet, ALL_ROWS, value="", proposal=layout.constants.kind or Field.KIND, certainty=OPEN_CERTAINTY,
        taken=bool(layout.constants.kind), examples=examples, choices=tuple(Kind),
    )  # fmt: skip


def _questions(layouts: Sequence[Layout], says: Sequence[SheetSays]) -> list[Question]:
    questions = list(dict.fromkeys(question for layout in layouts for question in questions_of(layout)))
    if questions or says:
        return questions
    lists = [layout for layout in layouts if layout.is_list]
    return [only_tags(layout) for layout in lists] or [_where_are_headings(layouts)]


def _where_are_headings(layouts: Sequence[Layout]) -> Question:
    sheets = ", ".join(f"“{layout.sheet}”" for layout in layouts)
    return Question(
        f"No row of headings was found on {sheets}.",
        "Say in the mapping which row they are in, and which of them is the tag: "
        f'[sheets."{layouts[0].sheet}"] heading_row = …',
    )


def _mapping_used(mapping: Mapping, layouts: Sequence[Layout]) -> Mapping:
    """Return the mapping that was given, filled up with all that the program found by itself."""
    signs = {layout.decimal for layout in layouts if layout.decimal}
    return replace(
        mapping,
        sheets={layout.sheet: _used_of(mapping, layout) for layout in layouts if layout.columns},
        decimal=mapping.decimal or (signs.pop() if len(signs) == 1 else ""),
    )


def _used_of(mapping: Mapping, layout: Layout) -> SheetMapping:
    said = mapping.for_sheet(layout.sheet)
    constants = Constants(kind=said.constants.kind)
    return replace(layout.as_mapping(), rows_are=said.rows_are, titles_are=said.titles_are, constants=constants)
