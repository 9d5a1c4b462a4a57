"""Finds the headings of a list, under titles and blanks, whether they take one row or two.

The row with the most known headings is theirs. Where a second row below only tells readings apart, as "0°" and "180°"
do under "Trip time", or where one above names groups of columns, both are read as one.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from register.exchange.sheets.cells import Row, Value, text_of
from register.exchange.sheets.heading_words import BECOMES, plain
from register.exchange.sheets.headings import known_use, score
from register.exchange.sheets.mapping import SheetMapping
from register.exchange.sheets.reading_heads import is_unit, read_head

ROWS_LOOKED_AT: Final = 60
"""So many rows from the top are looked at for headings."""

LEAST_SCORE: Final = 4
"""Two known headings: one alone may stand in a title."""

ONE_KNOWN: Final = 2
LEAST_HEADINGS: Final = 3
"""Where nothing better is found, one known heading among so many texts will do."""

LEAST_OF_SECOND_ROW: Final = 2


@dataclass(frozen=True, slots=True)
class Heads:
    """The headings of a list, a text for each column, and where in the rows they stand.

    `at` is the place of the row itself, `last` that of the second row where there is one below it, else the same.
    """

    texts: tuple[str, ...]
    at: int
    last: int


def heads_of(rows: Sequence[Row], said: SheetMapping) -> Heads | None:
    """Return the headings of a sheet; where none of them is known, what looks like some, for the user to name."""
    at = heading_at(rows, said)
    if at is None:
        at = next(_likely_places(rows), None)
    return None if at is None else _read_heads(rows, at)


def has_headings(rows: Sequence[Row], said: SheetMapping) -> bool:
    """Whether there are headings among the first rows of a sheet, or the mapping says in which row they are."""
    return said.heading_row is not None or heading_at(rows, said) is not None


def heading_at(rows: Sequence[Row], said: SheetMapping) -> int | None:
    """Return where in `rows` the headings are: the row said, or the one with the most known headings."""
    if rows and text_of(next(iter(rows[0][1]), None)) == BECOMES:  # a preview has them on top, wherever its list had
        return 0
    if said.heading_row:
        return next((at for at, (number, _) in enumerate(rows) if number == said.heading_row), None)
    best, most = None, LEAST_SCORE - 1
    for at, (_, values) in enumerate(rows[:ROWS_LOOKED_AT]):
        if all(value is None or isinstance(value, str) for value in values):
            points = score([text_of(value) for value in values], said.columns)
            if points > most:
                best, most = at, points
    if best is not None:
        return best
    return next((at for at in _likely_places(rows) if score(_texts(rows[at][1]), said.columns) >= ONE_KNOWN), None)


def _likely_places(rows: Sequence[Row]) -> Iterator[int]:
    """Yield the places of rows that are nothing but different words, with something filled in under them."""
    for at, (_, values) in enumerate(rows[:ROWS_LOOKED_AT]):
        texts, filled = _texts(values), _filled(values)
        if filled < LEAST_HEADINGS or len({plain(text) for text in texts}) != filled:
            continue
        below = rows[at + 1][1] if at + 1 < len(rows) else ()
        if all(map(_has_letters, texts)) and _filled(below) >= LEAST_HEADINGS - 1:
            yield at


def _texts(values: Sequence[Value]) -> list[str]:
    return [text_of(value) for value in values if isinstance(value, str)]


def _filled(values: Sequence[Value]) -> int:
    return sum(value is not None for value in values)


def _has_letters(text: str) -> bool:
    return any(letter.isalpha() for letter in text)


def _read_heads(rows: Sequence[Row], at: int) -> Heads:
    """Return the headings in the row at a place, with what the row next to it says of them."""
    number, values = rows[at]
    own = [text_of(value) for value in values]
    number_below, below = rows[at + 1] if at + 1 < len(rows) else (0, ())
    if number_below == number + 1 and _tells_readings_apart(own, below):
        lower = [text_of(value) for value in below]
        return Heads(_together(own, lower, above_are_headings=True), at, at + 1)
    number_above, above = rows[at - 1] if at else (0, ())
    if number_above == number - 1 and _filled(above[1:]):
        return Heads(_together([text_of(value) for value in above], own, above_are_headings=False), at, at)
    return Heads(tuple(own), at, at)


def _tells_readings_apart(upper: Sequence[str], values: Sequence[Value]) -> bool:
    """Whether a row under the headings only says which half-cycle, outlet or multiple a reading is of, or the unit."""
    spread = _carried(upper, len(values))
    filled = [(over, text_of(value)) for over, value in zip(spread, values, strict=True) if value is not None]
    of_readings = [bool(read_head(f"{over} {text}")) for over, text in filled]
    return sum(of_readings) >= LEAST_OF_SECOND_ROW and all(
        reading or is_unit(text) for reading, (_, text) in zip(of_readings, filled, strict=True)
    )


def _together(upper: Sequence[str], lower: Sequence[str], *, above_are_headings: bool) -> tuple[str, ...]:
    """Return each column's heading: both rows' words where they make a reading's head, else the lower or upper ones.

    Where the upper row may be a title, a word of it is a heading only if it is a known one.
    """
    width = max(len(upper), len(lower))
    headings = []
    for over, carried, under in zip(_padded(upper, width), _carried(upper, width), _padded(lower, width), strict=True):
        both = f"{carried} {under}"
        if carried and under and read_head(both):
            headings.append(both)
        elif over and is_unit(under):
            headings.append(f"{over} ({under})" if known_use(f"{over} ({under})") else over)
        else:
            headings.append(under or (over if above_are_headings or known_use(over) else ""))
    return tuple(headings)


def _padded(texts: Sequence[str], width: int) -> list[str]:
    return [*texts, *[""] * (width - len(texts))]


def _carried(texts: Sequence[str], width: int) -> list[str]:
    """Return texts carried to the right over blanks, as a merged heading spreads over its columns."""
    spread, last = [], ""
    for text in _padded(texts, width)[:width]:
        last = text or last
        spread.append(last)
    return spread
