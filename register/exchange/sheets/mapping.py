"""A mapping: how one source of spreadsheets is to be read, where its own words are not enough."""

from collections.abc import Mapping as Lookup
from dataclasses import dataclass, field, fields, replace
from types import MappingProxyType
from typing import Final, TypeVar

from register.exchange.sheets.fields import ColumnUse
from register.exchange.sheets.heading_words import plain

ANY_SHEET: Final = "*"
"""The name under which a mapping says what holds for every sheet."""

Value = TypeVar("Value")
_NONE: Final[Lookup[str, str]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Constants:
    """What holds for every row that does not say otherwise. Empty where nothing is said.

    `result` stands for tests of which the sheet gives a day and nothing else. `rulebook` and `environment` are
    those of a site that is new to the register. `kind` is what all items of a list are of which nothing says it.
    """

    site: str = ""
    site_name: str = ""
    owner: str = ""
    area: str = ""
    environment: str = ""
    rulebook: str = ""
    result: str = ""
    tester: str = ""
    instrument: str = ""
    kind: str = ""

    def over(self, other: "Constants") -> "Constants":
        """Return these constants, filled up from others where they say nothing."""
        own = {each.name: getattr(self, each.name) for each in fields(self) if getattr(self, each.name)}
        return replace(other, **own)


@dataclass(frozen=True, slots=True)
class SheetMapping:
    """How one sheet is read. `heading_row` counts from 1; None where the program is to find it.

    `columns` are keyed by heading as it stands in the sheet; the second of two columns with one heading is
    "Result [2]". `rows_are` says whether a tag that comes again is a further test or a mistake; `titles_are` "area"
    where a row with one cell names the area of the rows below it.
    """

    heading_row: int | None = None
    skip: bool = False
    rows_are: str = ""
    columns: Lookup[str, ColumnUse] = field(default_factory=lambda: MappingProxyType({}))
    constants: Constants = Constants()
    titles_are: str = ""


@dataclass(frozen=True, slots=True)
class Mapping:
    """How the spreadsheets of one source are read. `values` are own words by the name of their table."""

    source: str = ""
    sheets: Lookup[str, SheetMapping] = field(default_factory=lambda: MappingProxyType({}))
    values: Lookup[str, Lookup[str, str]] = field(default_factory=lambda: MappingProxyType({}))
    constants: Constants = Constants()
    decimal: str = ""
    allow_old_dates: bool = False

    def for_sheet(self, name: str) -> SheetMapping:
        """Return what is said of one sheet: its own table over the one for any sheet."""
        every, own = self.sheets.get(ANY_SHEET, SheetMapping()), find(self.sheets, name) or SheetMapping()
        return SheetMapping(
            heading_row=own.heading_row or every.heading_row,
            skip=own.skip or every.skip,
            rows_are=own.rows_are or every.rows_are,
            columns={**every.columns, **own.columns},
            constants=own.constants.over(every.constants).over(self.constants),
            titles_are=own.titles_are or every.titles_are,
        )

    def words(self, table: str) -> Lookup[str, str]:
        """Return the own words of one table of values."""
        return self.values.get(table, _NONE)


def find(named: Lookup[str, Value], name: str) -> Value | None:
    """Return what a mapping says under a name, however that is spaced and cased."""
    if name in named:
        return named[name]
    wanted = plain(name)
    return next((value for key, value in named.items() if wanted and plain(key) == wanted), None)


def not_there(mapping: Mapping, heads: Lookup[str, tuple[str, ...]]) -> list[str]:
    """Return the columns that a mapping names and a file has not, given the headings of each of its sheets."""
    every = dict.fromkeys(heading for of_sheet in heads.values() for heading in of_sheet)
    missing: dict[str, None] = {}
    for name, said in mapping.sheets.items():
        there = every if name == ANY_SHEET else dict.fromkeys(find(heads, name) or ())
        missing |= {heading: None for heading in said.columns if not said.skip and not _stands_among(there, heading)}
    return list(missing)


def _stands_among(headings: Lookup[str, None], name: str) -> bool:
    wanted = plain(name)
    return name in headings or bool(wanted and any(plain(heading) == wanted for heading in headings))
