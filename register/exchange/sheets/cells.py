"""What one cell of a spreadsheet can hold, and its text."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Final, NamedTuple, Protocol, TypeAlias

from register.domain.text import clean_text
from register.errors import Refused

LONGEST_CELL: Final = 32_767
MOST_ROWS: Final = 100_000
MOST_ROWS_OF_FILE: Final = 200_000
"""On all sheets of lists together: a small file can say the same sheet twenty times."""
MOST_COLUMNS: Final = 200
MOST_BLANK_ROWS: Final = 1_000
LOOK_ON: Final = 10_000
"""So many further rows are looked through after too many blank ones, to say if something was left out."""
MOST_SHEETS: Final = 20
MOST_CELLS: Final = 2_000_000
"""In one sheet, blank ones with a format included: 100,000 rows of 20 columns, some 20 seconds of reading."""
MOST_LETTERS: Final = 50_000_000
"""All text of one sheet together: what a full sheet of a register holds many times over."""

_FORMULA_SIGNS: Final = "=+-@\t\r＝＋－＠"  # noqa: RUF001 - the full-width forms count as well


@dataclass(frozen=True, slots=True)
class Broken:
    """A cell without a usable value: what stands there, and why it can't be read."""

    shown: str
    why: str

    def __str__(self) -> str:
        return self.shown


Value: TypeAlias = str | int | float | bool | datetime | date | time | timedelta | Broken | None
Row: TypeAlias = tuple[int, tuple[Value, ...]]
"""A filled row: its number in the sheet, counted from 1, and its values without the blanks at the end."""


@dataclass(frozen=True, slots=True)
class Note:
    """Something to be known of a sheet, at a row (None for the sheet as a whole)."""

    row: int | None
    text: str


class Span(NamedTuple):
    """A cell that reaches from its row down to the row `last`; `column` is counted from 0."""

    first: int
    last: int
    column: int


class SheetSource(Protocol):
    """One sheet of a file, read row by row."""

    @property
    def name(self) -> str:
        """The sheet's name; a text file's is its own."""

    @property
    def hidden(self) -> bool:
        """Whether the sheet is hidden, and so left out."""

    @property
    def notes(self) -> list[Note]:
        """What was found while reading the rows."""

    @property
    def spans(self) -> Sequence[Span]:
        """The cells that are merged over several rows, known once the first row was asked for."""

    def rows(self) -> Iterator[Row]:
        """Yield the filled rows, top down. Refused at a limit or where the file is damaged."""


@dataclass(slots=True)
class Book:
    """An open spreadsheet file: its sheets in order, and what is to be known of the file as a whole."""

    sheets: list[SheetSource] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    counts_from_1904: bool = False
    has_comments: bool = False
    """Whether comments are pinned to cells, which are no part of any row."""


def goes_on(last: int) -> Note:
    """Return the note that a sheet goes on below too many blank rows, after its row `last`."""
    return Note(
        max(last, 1),
        f"More than {MOST_BLANK_ROWS:,} blank rows follow, and then the sheet goes on. What comes after them was not "
        "read: delete the blank rows if it is wanted.",
    )


def too_long(text: str) -> Broken:
    """Return what stands for a text that no cell of a spreadsheet can hold."""
    return Broken(text[:40] + "…", f"the cell holds {len(text):,} characters, more than {LONGEST_CELL:,}")


def text_of(value: Value) -> str:
    """Return the value as clean text: 1042 for 1042.0, a date in ISO form, empty for a blank."""
    if isinstance(value, str):
        return clean_text(unprefixed(value))
    if isinstance(value, float):
        return f"{exact(value):f}"
    if isinstance(value, datetime) and value.time() == time.min:
        return value.date().isoformat()
    if value is None or isinstance(value, bool):
        return "" if value is None else ("no", "yes")[value]
    return str(value)


def exact(value: float) -> Decimal:
    """Return the number that a spreadsheet shows for a float: 15 digits, without the noise behind them."""
    number = Decimal(f"{value:.15g}")
    return number.quantize(Decimal(1)) if number == number.to_integral_value() and abs(number) < 10**15 else number


def unprefixed(text: str) -> str:
    """Return the text without the apostrophe that guards `=`, `+`, `-` and `@` in exported CSV files."""
    if text.startswith("'") and text[1:2] and text[1] in _FORMULA_SIGNS:
        return text[1:]
    return text


def too_many_rows(file_name: str, sheet: str) -> Refused:
    """Return the refusal of a sheet with too many rows."""
    return Refused(
        f"Sheet “{sheet}” of “{file_name}” has more than {MOST_ROWS:,} filled rows. "
        "Split it and import each part on its own."
    )


def too_many_in_file(file_name: str) -> Refused:
    """Return the refusal of a file whose sheets have too many rows together."""
    return Refused(
        f"“{file_name}” has more than {MOST_ROWS_OF_FILE:,} filled rows on its sheets together. Split it and import "
        "each part on its own."
    )


def too_many_columns(file_name: str, sheet: str, row: int, column: int) -> Refused:
    """Return the refusal of a sheet with too many columns."""
    return Refused(
        f"Sheet “{sheet}” of “{file_name}” has something in column {column} of row {row}; "
        f"at most {MOST_COLUMNS} columns are read. Delete what stands beside the list and save it again."
    )
