"""How the list on a sheet is laid out: what its columns are taken for, and what holds for all of its rows.

All that is settled here is settled once for the whole sheet, before any row is read, because no single row could
tell: whether 4/5 is in April or May and whether a comma is a decimal sign follow from all values of a column, and
the site may stand once, above the headings.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from register.exchange.sheets.cells import Row, Value, text_of
from register.exchange.sheets.dates import detect
from register.exchange.sheets.fields import DATES, ColumnUse, DateStyle, Field
from register.exchange.sheets.heading_rows import heads_of
from register.exchange.sheets.heading_words import plain
from register.exchange.sheets.headings import (
    Column,
    Suggestion,
    letters,
    makes_items,
    makes_records,
    match_columns,
)
from register.exchange.sheets.mapping import Constants, SheetMapping
from register.exchange.sheets.question import Question
from register.exchange.sheets.values import WordTable

_LABELS: Final = {
    "site": "site", "site code": "site", "premises": "site", "site name": "site_name", "owner": "owner",
    "site owner": "owner", "customer": "owner", "tested by": "tester", "tester": "tester", "instrument": "instrument",
    "test instrument": "instrument",
}  # fmt: skip
"""What lines above the headings begin with, and which of the constants follows."""

_COMMA_DECIMAL: Final = re.compile(r"\d,\d{1,2}(?!\d)|\b0,\d")
_POINT_DECIMAL: Final = re.compile(r"\d\.\d+(?![\d,])")


@dataclass(slots=True)
class Layout:
    """How a sheet is laid out.

    `heading_row` is the number of the row of headings in the sheet, 0 where there are none; `begins` the place of the
    first row below them. `date_styles` says by the place of a column how its dates are written; those at the places
    in `dates_asked` can't be read before a question is answered. `decimal` is the sign in readings written as text.
    """

    sheet: str
    heading_row: int = 0
    headings: tuple[str, ...] = ()
    begins: int = 0
    columns: list[Column] = field(default_factory=list)
    constants: Constants = field(default_factory=Constants)
    decimal: str = ""
    date_styles: dict[int, tuple[DateStyle, ...]] = field(default_factory=dict)
    dates_asked: set[int] = field(default_factory=set)
    suggestions: list[Suggestion] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)

    @property
    def is_list(self) -> bool:
        """Whether the sheet is a list of items or tests at all."""
        return self.place_of(Field.TAG) is not None

    @property
    def gives_anything(self) -> bool:
        """Whether items or tests can be taken from the sheet."""
        return self.is_list and (makes_items(self.columns) or makes_records(self.columns))

    def place_of(self, wanted: Field) -> int | None:
        """Return the place of the column for a field of the row or its latest test, or None."""
        return next(
            (each.place for each in self.columns if each.use and each.use.field is wanted and each.use.test == 1), None
        )

    def as_mapping(self) -> SheetMapping:
        """Return the layout as a mapping of the sheet, to be written down and used again."""
        columns = {}
        for column in self.columns:
            use = column.use or ColumnUse(Field.IGNORE)
            styles = self.date_styles.get(column.place, ())
            columns[column.heading] = ColumnUse(use.field, use.test, use.reading, styles)
        return SheetMapping(heading_row=self.heading_row or None, columns=columns)


def lay_out(
    sheet: str,
    rows: Sequence[Row],
    said: SheetMapping,
    tables: Mapping[Field, WordTable],
    decimal: str,
) -> Layout:
    """Return the layout of a sheet from all its rows; an empty one where there are no headings.

    `tables` are the words that values may be; `decimal` is the sign that the mapping names, empty where it names none.
    """
    heads = heads_of(rows, said)
    if heads is None:
        return Layout(sheet, constants=said.constants, decimal=decimal)
    constants = said.constants.over(_said_above(rows[: heads.at]))
    begins = heads.last + 1
    values = _by_column(rows[begins:], len(heads.texts))
    site_known = bool(constants.site or constants.site_name)
    matched = match_columns(sheet, heads.texts, values, said.columns, tables, site_known=site_known)
    layout = Layout(
        sheet,
        heading_row=rows[heads.at][0],
        headings=heads.texts,
        begins=begins,
        columns=matched.columns,
        constants=constants,
        decimal=decimal,
        suggestions=matched.suggestions,
        questions=matched.questions,
    )
    if layout.is_list:
        _settle_dates(layout, values)
        layout.decimal = decimal or _decimal_sign(layout, values)
    return layout


def _said_above(rows: Sequence[Row]) -> Constants:
    """Return what lines such as "Site: HS01" above the headings say for all rows."""
    found: dict[str, str] = {}
    for _, values in rows:
        texts = [text for text in map(text_of, values) if text]
        label, colon, rest = texts[0].partition(":") if texts else ("", "", "")
        key = _LABELS.get(plain(label))
        said = [text for text in (rest.strip() if colon else "", *texts[1:]) if text]
        if key and said and key not in found:
            found[key] = said[0]
            if key == "site" and len(said) > 1:
                found.setdefault("site_name", said[1])
    return Constants(**found)


def _by_column(rows: Sequence[Row], width: int) -> dict[int, list[Value]]:
    """Return what is filled in under each heading, by the place of its column."""
    columns: dict[int, list[Value]] = {place: [] for place in range(width)}
    for _, values in rows:
        for place, value in enumerate(values[:width]):
            if value is not None:
                columns[place].append(value)
    return columns


def _settle_dates(layout: Layout, values: Mapping[int, Sequence[Value]]) -> None:
    """Settle how the dates of each column are written, as the mapping says or as all of them together show."""
    for column in layout.columns:
        if not column.use or column.use.field not in DATES:
            continue
        if column.use.date_styles:
            layout.date_styles[column.place] = column.use.date_styles
            continue
        detected = detect(values.get(column.place, ()))
        layout.date_styles[column.place] = detected.styles
        if detected.question:
            layout.dates_asked.add(column.place)
            layout.questions.append(_question_of_dates(layout.sheet, column, column.use.field, detected.question))


def _question_of_dates(sheet: str, column: Column, taken_for: Field, question: str) -> Question:
    asked, _, how = question.partition("; ")
    return Question(
        f"Column “{column.heading}” ({letters(column.place)}) of sheet “{sheet}”: {asked}.",
        f"{how[:1].upper()}{how[1:]}, in the mapping: "
        f'[sheets."{sheet}".columns] "{column.heading}" = {{ field = "{taken_for}", date_style = "…" }}.',
    )


def _decimal_sign(layout: Layout, values: Mapping[int, Sequence[Value]]) -> str:
    """Return the decimal sign of the readings written as text; empty unless just one of the two occurs."""
    readings = [
        value
        for column in layout.columns
        if column.use and column.use.field is Field.READING
        for value in values.get(column.place, ())
        if isinstance(value, str)
    ]
    commas, points = any(map(_COMMA_DECIMAL.search, readings)), any(map(_POINT_DECIMAL.search, readings))
    if commas == points:
        return ""
    return "," if commas else "."
