"""Sheets with several items in each row, side by side under the same headings: each is read as a row of its own."""

from collections.abc import Sequence
from typing import Final

from register.exchange.sheets.cells import Row, text_of
from register.exchange.sheets.fields import Field
from register.exchange.sheets.heading_rows import heading_at
from register.exchange.sheets.heading_words import plain
from register.exchange.sheets.headings import known_use
from register.exchange.sheets.mapping import SheetMapping

_LEAST_HEADINGS: Final = 2


def unfolded(rows: list[Row], said: SheetMapping) -> tuple[list[Row], int]:
    """Return the rows with one item in each, and how many stood side by side; 1 where the rows are as they were."""
    at = heading_at(rows, said)
    if at is None:
        return rows, 1
    headings = [plain(text_of(value)) for value in rows[at][1]]
    wide = _block(headings)
    if wide is None:
        return rows, 1
    times = -(-len(headings) // wide)
    found = [*rows[:at], (rows[at][0], rows[at][1][:wide])]
    for number, values in rows[at + 1 :]:
        for first in range(0, wide * times, wide):
            part = values[first : first + wide]
            if any(value is not None for value in part):
                found.append((number, part))
    return found, times


def _block(headings: Sequence[str]) -> int | None:
    """Return how many columns are repeated over the whole width, tag and all; None where none are."""
    for wide in range(_LEAST_HEADINGS, len(headings) // 2 + 2):
        first, rest = headings[:wide], headings[wide:]
        if not rest or any(heading != first[place % wide] for place, heading in enumerate(rest)):
            continue
        if sum(map(bool, first)) >= _LEAST_HEADINGS and _has_tag(first) and len(rest) >= sum(map(bool, first)):
            return wide
    return None


def _has_tag(headings: Sequence[str]) -> bool:
    return any(use is not None and use.field is Field.TAG for use in map(known_use, headings))
