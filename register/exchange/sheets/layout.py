"""Where the table of a sheet is: its heading row under titles and blanks, and what the lines above it say."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from register.exchange.sheets.cells import Row, Value, text_of
from register.exchange.sheets.dates import detect
from register.exchange.sheets.fields import DATES, ColumnUse, DateStyle, Field
from register.exchange.sheets.heading_words import plain
from register.exchange.sheets.headings import (
    Column,
    Suggestion,
    known_use,
    letters,
    makes_items,
    makes_records,
    match_columns,
    score,
)
from register.exchange.sheets.mapping import Constants, SheetMapping
from register.exchange.sheets.question import Question
from register.exchange.sheets.reading_heads import read_head
from register.exchange.sheets.values import WordTable

ROWS_LOOKED_AT: Final = 60
"""So many rows from the top are looked at for headings."""
LEAST_SCORE: Final = 4
"""Two known headings: one alone may stand in a title."""

ONE_KNOWN: Final = 2
LEAST_HEADINGS: Final = 3
"""Where nothing better is found, one known heading among so many texts will do."""

_LABELS: Final = {
    "site": "site", "site code": "site", "premises": "site", "site name": "site_name", "owner": "owner",
    "site owner": "owner", "customer": "owner", "tested by": "tester", "tester": "tester", "instrument": "instrument",
    "test instrument": "instrument",
}  # fmt: skip
_COMMA_DECIMAL: Final = re.compile(r"\d,\d{1,2}(?!\d)|\b0,\d")
_POINT_DECIMAL: Final = re.compile(r"\d\.\d+(?![\d,])")


@dataclass(slots=True)
class Layout:
    """How a sheet is laid out: its columns, where its rows begin, and what holds for all of them."""

    sheet: str
    heading_row: int = 0
    headings: tuple[str, ...] = ()
    columns: list[Column] = field(default_factory=list)
    begins: int = 0
    constants: Constants = field(default_factory=Constants)
    decimal: str = ""
    styles: dict[int, tuple[DateStyle, ...]] = field(default_factory=dict)
    asked: set[int] = field(default_factory=set)
    """Places of the columns whose dates can't be read before a question is answered."""
    suggestions: list[Suggestion] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)

    @property
    def is_list(self) -> bool:
        """Whether the sheet is a list of items or tests at all."""
        return self.place_of(Field.TAG) is not None

    def place_of(self, wanted: Field) -> int | None:
        """Return the place of the column for a field of the row or its latest test, or None."""
        return next(
            (each.place for each in self.columns if each.use and each.use.field is wanted and each.use.test == 1), None
        )


def lay_out(
    sheet: str,
    rows: Sequence[Row],
    said: SheetMapping,
    tables: Mapping[Field, WordTable],
    decimal: str,
) -> Layout:
    """Return the layout of a sheet from all its rows. Nothing is found in it where there are no headings."""
    layout = Layout(sheet, constants=said.constants, decimal=decimal)
    at = heading_at(rows, said)
    if at is None:
        at = _likely(rows)
    if at is None:
        return layout
    headings, used = _headings(rows, at)
    layout.heading_row, layout.headings, layout.begins = rows[at][0], tuple(headings), used + 1
    layout.constants = said.constants.over(_said_above(rows[:at]))
    values = _by_column(rows[used + 1 :], len(headings))
    matched = match_columns(
        sheet,
        headings,
        values,
        said.columns,
        tables,
        site_known=bool(layout.constants.site or layout.constants.site_name),
    )
    layout.columns, layout.suggestions, layout.questions = matched.columns, matched.suggestions, matched.questions
    if layout.is_list:
        _set_dates(layout, values)
        layout.decimal = decimal or _decimal(layout, values)
    return layout


def has_headings(rows: Sequence[Row], said: SheetMapping) -> bool:
    """Whether there are headings among the first rows of a sheet, or the mapping says in which row they are."""
    return said.heading_row is not None or heading_at(rows, said) is not None


def heading_at(rows: Sequence[Row], said: SheetMapping) -> int | None:
    """Return where in `rows` the headings are: the row said, or the one with the most known headings."""
    if said.heading_row:
        return next((at for at, (number, _) in enumerate(rows) if number == said.heading_row), None)
    best, most = None, LEAST_SCORE - 1
    for at, (_, values) in enumerate(rows[:ROWS_LOOKED_AT]):
        if all(value is None or isinstance(value, str) for value in values):
            points = score([text_of(value) for value in values], said.columns)
            if points > most:
                best, most = at, points
    return best if best is not None else _likely(rows, said)


def _likely(rows: Sequence[Row], said: SheetMapping | None = None) -> int | None:
    """Return the first row that is nothing but different texts and has filled rows below it.

    With what is said of the sheet one of them must be a known heading; without, they are there to be named by the user.
    """
    for at, (_, values) in enumerate(rows[:ROWS_LOOKED_AT]):
        texts = [text_of(value) for value in values if isinstance(value, str)]
        wide = sum(value is not None for value in values)
        if wide < LEAST_HEADINGS or len({plain(text) for text in texts}) != wide or _has_digits_only(texts):
            continue
        below = rows[at + 1 : at + 2]
        if not any(sum(value is not None for value in more) >= LEAST_HEADINGS - 1 for _, more in below):
            continue
        if said is None or score(texts, said.columns) >= ONE_KNOWN:
            return at
    return None


def _has_digits_only(texts: Sequence[str]) -> bool:
    return any(not any(letter.isalpha() for letter in text) for text in texts)


def _headings(rows: Sequence[Row], at: int) -> tuple[list[str], int]:
    """Return the headings, those in two rows put together, and where in `rows` the last of them stands."""
    number, values = rows[at]
    own = [text_of(value) for value in values]
    below = rows[at + 1] if at + 1 < len(rows) else (0, ())
    if below[0] == number + 1 and _is_second_row(own, below[1]):
        lower = [text_of(value) for value in below[1]]
        return _together(own, lower, above_are_headings=True), at + 1
    above = rows[at - 1] if at else (0, ())
    if above[0] == number - 1 and sum(value is not None for value in above[1][1:]):
        return _together([text_of(value) for value in above[1]], own, above_are_headings=False), at
    return own, at


def _is_second_row(upper: Sequence[str], values: Sequence[Value]) -> bool:
    """Whether a row under the headings only says which half-cycle, outlet or multiple each reading is of."""
    filled = [(place, text_of(value)) for place, value in enumerate(values) if value is not None]
    spread = _carried(upper, len(values))
    enough = 2
    return len(filled) >= enough and all(read_head(f"{spread[place]} {text}") for place, text in filled)


def _together(upper: Sequence[str], lower: Sequence[str], *, above_are_headings: bool) -> list[str]:
    """Return each column's heading: both rows' words where they make a reading's head, else the lower or upper ones.

    Where the upper row may be a title, a word of it is a heading only if it is a known one.
    """
    width = max(len(upper), len(lower))
    spread = _carried(upper, width)
    upper, lower = [*upper, *[""] * (width - len(upper))], [*lower, *[""] * (width - len(lower))]
    headings = []
    for over, carried, under in zip(upper, spread, lower, strict=True):
        both = f"{carried} {under}"
        if carried and under and read_head(both):
            headings.append(both)
        else:
            headings.append(under or (over if above_are_headings or known_use(over) else ""))
    return headings


def _carried(texts: Sequence[str], width: int) -> list[str]:
    """Return texts carried to the right over blanks, as a merged heading spreads over its columns."""
    spread, last = [], ""
    for place in range(width):
        last = (texts[place] if place < len(texts) else "") or last
        spread.append(last)
    return spread


def _said_above(rows: Sequence[Row]) -> Constants:
    """Return what lines such as "Site: HS01" above the headings say for all rows."""
    found: dict[str, str] = {}
    for _, values in rows:
        texts = [text for text in [text_of(value) for value in values] if text]
        label, colon, rest = texts[0].partition(":") if texts else ("", "", "")
        key = _LABELS.get(plain(label))
        said = [rest.strip(), *texts[1:]] if colon else texts[1:]
        said = [text for text in said if text]
        if key and said and key not in found:
            found[key] = said[0]
            if key == "site" and len(said) > 1:
                found.setdefault("site_name", said[1])
    return Constants(**found)


def _by_column(rows: Sequence[Row], width: int) -> dict[int, list[Value]]:
    columns: dict[int, list[Value]] = {place: [] for place in range(width)}
    for _, values in rows:
        for place, value in enumerate(values):
            if value is not None and place < width:
                columns[place].append(value)
    return columns


def _set_dates(layout: Layout, values: Mapping[int, Sequence[Value]]) -> None:
    for column in layout.columns:
        if not column.use or column.use.field not in DATES:
            continue
        if column.use.date_styles:
            layout.styles[column.place] = column.use.date_styles
            continue
        detected = detect(values.get(column.place, ()))
        layout.styles[column.place] = detected.styles
        if detected.question:
            layout.asked.add(column.place)
            asked, _, how = detected.question.partition("; ")
            layout.questions.append(
                Question(
                    f"Column “{column.heading}” ({letters(column.place)}) of sheet “{layout.sheet}”: {asked}.",
                    f"{how[:1].upper()}{how[1:]}, in the mapping: "
                    f'[sheets."{layout.sheet}".columns] "{column.heading}" = '
                    f'{{ field = "{column.use.field}", date_style = "…" }}.',
                )
            )


def _decimal(layout: Layout, values: Mapping[int, Sequence[Value]]) -> str:
    """Return the decimal sign of the readings written as text, where only one of the two occurs."""
    commas = points = False
    for column in layout.columns:
        if column.use and column.use.field is Field.READING:
            for value in values.get(column.place, ()):
                if isinstance(value, str):
                    commas = commas or bool(_COMMA_DECIMAL.search(value))
                    points = points or bool(_POINT_DECIMAL.search(value))
    return "," if commas and not points else "." if points and not commas else ""


def resolved(layout: Layout) -> SheetMapping:
    """Return the layout as a mapping of the sheet, to be written down and used again."""
    columns = {}
    for column in layout.columns:
        use = column.use or ColumnUse(Field.IGNORE)
        columns[column.heading] = ColumnUse(use.field, use.test, use.reading, layout.styles.get(column.place, ()))
    return SheetMapping(heading_row=layout.heading_row or None, columns=columns)


def gives_anything(layout: Layout) -> bool:
    """Whether items or tests can be taken from the sheet."""
    return layout.is_list and (makes_items(layout.columns) or makes_records(layout.columns))
