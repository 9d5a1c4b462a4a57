"""One row of a sheet while it is read: its cells by field, and what is wrong with them."""

import re
from collections import defaultdict
from collections.abc import Mapping as Lookup
from dataclasses import dataclass, field
from datetime import date, time
from decimal import Decimal
from typing import Final

from register.errors import Refused
from register.exchange.sheets.cells import Broken, Value, text_of
from register.exchange.sheets.dates import DateRules, read_date
from register.exchange.sheets.fields import OF_TESTS, Field
from register.exchange.sheets.headings import SEVERAL, Column, Suggestion
from register.exchange.sheets.layout import Layout
from register.exchange.sheets.mapping import Mapping
from register.exchange.sheets.values import FREE_TABLES, WordTable, key_of
from register.services.intake.rows import RowPlace, RowProblem

NOTHING: Final = frozenset({"", "-", "–", "—", "n/a", "na", "n.a."})  # noqa: RUF001 - dashes as people type them
"""What people write into a cell to say that there is nothing to say."""

MOST_LISTED: Final = 12
"""So many choices are listed in a sentence; where there are more, only the nearest is named."""

MOST_UNKNOWN: Final = 200
"""For so many unknown words of a sheet the nearest is looked for; with more it is not words that are wrong."""

LONGEST_SHOWN: Final = 200
"""So much of a cell is shown where it can't be taken."""

_NUMBER: Final = re.compile(r"(\d{1,6}(?:[.,]\d{1,3})?)\s*([a-z]*)", re.IGNORECASE | re.ASCII)


@dataclass(slots=True)
class Sheet:
    """What all rows of one sheet share: how it is laid out, the words it may use, and its columns by field."""

    layout: Layout
    mapping: Mapping
    tables: Lookup[Field, WordTable]
    rules: DateRules
    unknown: dict[tuple[str, str], Suggestion] = field(default_factory=dict)
    single: dict[Field, Column] = field(default_factory=dict)
    several: dict[Field, list[Column]] = field(default_factory=lambda: defaultdict(list))
    tests: dict[int, list[Column]] = field(default_factory=lambda: defaultdict(list))

    def __post_init__(self) -> None:
        for column in self.layout.columns:
            use = column.use
            if use is None or use.field is Field.IGNORE:
                continue
            if use.field in OF_TESTS:
                self.tests[use.test].append(column)
            elif use.field in SEVERAL:
                self.several[use.field].append(column)
            else:
                self.single[use.field] = column


@dataclass(slots=True)
class RowCells:
    """The cells of one row. Each method reads one column; what is wrong there is kept as a problem."""

    sheet: Sheet
    place: RowPlace
    values: tuple[Value, ...]
    under: str = ""
    """The title above the row, where titles name areas."""
    problems: list[RowProblem] = field(default_factory=list)

    @property
    def refused(self) -> bool:
        """Whether anything found so far keeps the row from being taken."""
        return any(problem.refused for problem in self.problems)

    def complain(self, column: Column, reason: str, *, refused: bool = True, in_mapping: str = "") -> None:
        """Keep what is wrong in a column."""
        shown = short(text_of(self.value(column)), LONGEST_SHOWN)
        self.problems.append(RowProblem(self.place, column.heading, shown, reason, refused, in_mapping=in_mapping))

    def value(self, column: Column) -> Value:
        """Return what stands in a column."""
        return self.values[column.place] if column.place < len(self.values) else None

    def text(self, column: Column | None) -> str:
        """Return a column's text, empty where nothing is said. A mapping's own words for it are put in."""
        value = self.value(column) if column else None
        if column is None or value is None:
            return ""
        if isinstance(value, Broken):
            self.complain(column, f"{value.why[:1].upper()}{value.why[1:]}.")
            return ""
        text = text_of(value)
        if text.casefold() in NOTHING:
            return ""
        name = column.use.field.value if column.use else ""
        own = self.sheet.mapping.words(name) if name in FREE_TABLES else None
        return next((word for written, word in own.items() if key_of(written) == key_of(text)), text) if own else text

    def word(self, column: Column | None) -> str | None:
        """Return the register's word for what stands in a column; None where nothing does, or nothing that is known."""
        text = self.text(column)
        if not text or column is None or column.use is None:
            return None
        table = self.sheet.tables[column.use.field]
        found = table.match(text)
        if found in table.choices:
            return found
        if found is not None:
            self.complain(column, f"The mapping takes “{text}” for “{found}”, which is none of {_list(table)}.")
        else:
            self.complain_of_word(column, text, table)
        return None

    def complain_of_word(self, column: Column, text: str, table: WordTable) -> None:
        """Keep that a word can't be taken, with the nearest known one; it is kept as a suggestion, too."""
        near = self.suggest(column, text, table)
        hint = f" Did you mean {near.proposal}?" if near and near.proposal else ""
        text = short(text)
        choices = f" It can be: {_list(table)}." if len(table.choices) <= MOST_LISTED else ""
        self.complain(
            column, f"“{text}” is not known here.{hint}{choices} Correct the cell, or say what it means.",
            in_mapping=f'[values.{table.name}] "{text}" = "…"',
        )  # fmt: skip

    def suggest(self, column: Column, text: str, table: WordTable) -> Suggestion | None:
        """Keep, and return, what an unknown word may mean, for the user to say; None where there are too many."""
        known = self.sheet.unknown
        if (table.name, text) not in known and len(known) < MOST_UNKNOWN:
            proposal, certainty = table.nearest(text) or ("", 0.0)
            known[table.name, text] = Suggestion(
                self.place.sheet, column.heading, text, proposal, certainty, taken=False, table=table.name,
                choices=table.choices,
            )  # fmt: skip
        return known.get((table.name, text))

    def flag(self, column: Column | None) -> bool | None:
        """Return a yes or no; None where nothing is said."""
        word = self.word(column)
        return None if word is None else word == "yes"

    def number(
        self, column: Column | None, factors: Lookup[str, Decimal], largest: Decimal, unit: str = ""
    ) -> Decimal | None:
        """Return a positive number in a column's own unit, given the factor of each unit that may stand with it."""
        text = self.text(column)
        if not text or column is None:
            return None
        match = _NUMBER.fullmatch(text)
        factor = factors.get(match[2].casefold()) if match else None
        if match and factor is not None:
            number = Decimal(match[1].replace(",", ".")) * factor
            if 0 < number <= largest:
                return number.normalize() + 0 if number != number.to_integral_value() else number.quantize(Decimal(1))
        what = f"above 0 and up to {largest:,f} {unit}" if unit else f"from 1 to {largest:,f}"
        self.complain(column, f"“{short(text)}” is not a number {what}. Correct the cell.")
        return None

    def day(self, column: Column | None) -> tuple[date, time | None] | None:
        """Return the day in a column and the time with it; None where nothing is said, or nothing that can be taken."""
        value = self.value(column) if column else None
        if column is None or value is None or column.place in self.sheet.layout.dates_asked:
            return None
        if text_of(value).casefold() in NOTHING:
            return None
        try:
            return read_date(value, self.sheet.layout.date_styles.get(column.place, ()), self.sheet.rules)
        except Refused as refused:
            self.complain(column, str(refused))
            return None


def short(text: str, most: int = 60) -> str:
    """Return a text as it is quoted in a sentence: cut where it is a whole story."""
    return text if len(text) <= most else f"{text[:most].rstrip()}…"


def _list(table: WordTable) -> str:
    return ", ".join(table.choices)
