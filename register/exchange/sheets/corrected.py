"""Corrections of how a file is read, one at a time: what a column is taken for, what a word means."""

import json
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from hashlib import sha256
from typing import Final

from register.domain.words import Check, spoken
from register.exchange.sheets.fields import DATES, OF_TESTS, ColumnUse, DateStyle, Field, ReadingHead, spoken_head
from register.exchange.sheets.heading_words import OF_PREVIEW, plain
from register.exchange.sheets.mapping import ANY_SHEET, Constants, Mapping, SheetMapping, find

_ORDERS: Final = {DateStyle.DAY_MONTH_YEAR: "day/month/year", DateStyle.MONTH_DAY_YEAR: "month/day/year"}

_WORDS: Final = {
    Field.SITE: "Site, by its code",
    Field.AREA_ENVIRONMENT: "Environment class of the area",
    Field.ENVIRONMENT: "Environment class of the item",
    Field.APPLIANCE_CLASS: "Appliance class, I or II",
    Field.SERIAL: "Serial number",
    Field.OUTLETS: "Number of outlets",
    Field.RATED_RESIDUAL: "Rated residual current",
    Field.SWITCH_TYPE: "Type of the safety switch",
    Field.WAVEFORM: "Waveform of the safety switch",
    Field.DELAY: "Delay of the safety switch",
    Field.SINCE: "In service since",
    Field.PROTECTED_BY_SWITCH: "Protected by a safety switch",
    Field.TESTED_AT: "Time of the test",
    Field.WORK_DONE: "Which test it was",
    Field.LOOK: "What the look found",
    Field.RESULT: "Result of the test",
    Field.SET_UP: "Set-up",
}
"""Where the word of a mapping file is no word to be shown."""


def uses() -> Iterator[tuple[str, ColumnUse]]:
    """Yield what a column can be taken for, in words: first what is left out, then the fields, then the readings."""
    yield "Left out", ColumnUse(Field.IGNORE)
    for field in Field:
        if field in {Field.IGNORE, Field.READING}:
            continue
        yield field_words(field), ColumnUse(field)
        for style, order in _ORDERS.items() if field in DATES else ():
            yield f"{field_words(field)}, {order}", ColumnUse(field, date_styles=(style,))
    for field in sorted(OF_TESTS - {Field.READING}):
        yield f"{field_words(field)}, of the test before", ColumnUse(field, test=2)
    for check in Check:
        if check is not Check.LOOK:
            yield from _readings(check)


def _readings(check: Check) -> Iterator[tuple[str, ColumnUse]]:
    said = f"Reading: {spoken(check)}"
    if check is Check.TRIP_TIME:
        for half, words in ((0, "0°"), (180, "180°")):
            yield f"{said} at {words}", ColumnUse(Field.READING, reading=ReadingHead(check, half_cycle=half))
        yield f"{said} at 0° and 180°", ColumnUse(Field.READING, reading=ReadingHead(check, both_halves=True))
    else:
        yield said, ColumnUse(Field.READING, reading=ReadingHead(check))


def field_words(field: Field) -> str:
    """Return a field as it stands in a list to choose from."""
    return _WORDS.get(field) or field.value.replace("-", " ").capitalize()


def use_words(use: ColumnUse) -> str:
    """Return what a column is taken for, in words, whether or not that is in the list to choose from."""
    if use.reading:
        check = use.reading.check
        return f"Reading: {spoken_head(use.reading).replace(check.value, spoken(check), 1)}"
    return field_words(use.field) + (f", of test {use.test} back from the last" if use.test > 1 else "")


def with_column(mapping: Mapping, sheet: str, heading: str, use: ColumnUse) -> Mapping:
    """Return the mapping with one column of a sheet taken for something else."""
    own = find(mapping.sheets, sheet) or SheetMapping()
    columns = {name: kept for name, kept in own.columns.items() if name != heading} | {heading: use}
    sheets = {name: kept for name, kept in mapping.sheets.items() if name == ANY_SHEET or kept is not own}
    return replace(mapping, sheets=sheets | {sheet: replace(own, columns=columns)})


def with_titles(mapping: Mapping, sheet: str, titles_are: str) -> Mapping:
    """Return the mapping with rows of one cell taken for what is given: "area", or nothing."""
    own = find(mapping.sheets, sheet) or SheetMapping()
    sheets = {name: kept for name, kept in mapping.sheets.items() if name == ANY_SHEET or kept is not own}
    return replace(mapping, sheets=sheets | {sheet: replace(own, titles_are=titles_are)})


def with_kind(mapping: Mapping, sheet: str, kind: str) -> Mapping:
    """Return the mapping with all items of a sheet of one kind, where nothing else says it; empty for none."""
    own = find(mapping.sheets, sheet) or SheetMapping()
    sheets = {name: kept for name, kept in mapping.sheets.items() if name == ANY_SHEET or kept is not own}
    return replace(mapping, sheets=sheets | {sheet: replace(own, constants=replace(own.constants, kind=kind))})


def for_next_file(mapping: Mapping, sheets: Collection[str]) -> Mapping:
    """Return what of a mapping holds for the next file of its source: not its site, nor which tag is which.

    Where there is one sheet alone it may be called otherwise there.
    """
    every = mapping.constants
    kept = replace(
        mapping, constants=Constants(result=every.result, kind=every.kind),
        values={name: words for name, words in mapping.values.items() if name != Field.TAG.value},
    )  # fmt: skip
    if len(sheets) != 1 or not kept.sheets:
        return kept
    (only,) = sheets
    said = kept.for_sheet(only)
    return replace(kept, sheets={ANY_SHEET: replace(said, constants=Constants(kind=said.constants.kind))})


def heads_hash(heads: Iterable[Sequence[str]]) -> str:
    """Return what the headings of a file hash to, whatever its sheets are called and however they are typed.

    Those of a list that was mended in its preview hash to what they did in the list.
    """
    own = (
        of_sheet[len(OF_PREVIEW) :] if tuple(of_sheet[: len(OF_PREVIEW)]) == OF_PREVIEW else of_sheet
        for of_sheet in heads
    )
    said = sorted([plain(heading) or heading for heading in of_sheet] for of_sheet in own)
    return sha256(json.dumps(said).encode()).hexdigest() if said else ""


def with_word(mapping: Mapping, table: str, text: str, word: str) -> Mapping:
    """Return the mapping with one written word given a meaning."""
    return replace(mapping, values={**mapping.values, table: {**mapping.words(table), text: word}})
