"""From the headings of a sheet to what its columns are taken for: sure ones are taken, the rest only suggested."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from typing import Final

from register.exchange.sheets.cells import Value, text_of
from register.exchange.sheets.fields import MAKES_ITEMS, OF_TESTS, ColumnUse, Field
from register.exchange.sheets.heading_words import EARLIER, OPEN, PLACES, all_words, plain, sure_field
from register.exchange.sheets.mapping import find
from register.exchange.sheets.question import Question
from register.exchange.sheets.reading_heads import read_head, unit_of
from register.exchange.sheets.recognise import LIKELY, fitting, guess
from register.exchange.sheets.values import WordTable

SEVERAL: Final = frozenset({Field.REMARKS, Field.EARLIER_TAGS, Field.IGNORE})
"""What more than one column may say: the texts are joined."""

EXAMPLES: Final = 3
LONGEST_EXAMPLE: Final = 24
LOOKED_AT: Final = 200
"""So many examples of a column are shown, and so many cells at its top are looked at to guess what it may be."""

TITLES: Final = "(rows of one cell)"
"""What stands for the titles between the rows, where columns are listed."""

ALL_ROWS: Final = "(all rows)"
"""What stands for the rows of a sheet together, where its columns are listed."""

LIKE_ENOUGH: Final = 0.8
LEAST_LETTERS: Final = 5
"""Shorter words are like too many others."""

LONGEST_HEADING: Final = 400
"""What is longer is a story and no heading, and reading it as one would take long."""

OPEN_CERTAINTY: Final = 0.5
_UNITS_OF: Final = {Field.RATED_RESIDUAL: "mA", Field.RATED_CURRENT: "A"}


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table: its place from 0, its heading as a mapping names it, and what it is taken for."""

    place: int
    heading: str
    use: ColumnUse | None


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What a heading, or a value under it, is or may be: with how much certainty from 0 to 1, and whether it was taken.

    `value` is empty where the heading itself is meant; `examples` are then some of the texts under it. `table` is the
    mapping's table in which the value can be given a meaning, `choices` the meanings there are.
    """

    sheet: str
    heading: str
    value: str
    proposal: str
    certainty: float
    taken: bool
    examples: tuple[str, ...] = ()
    table: str = ""
    choices: tuple[str, ...] = ()


@dataclass(slots=True)
class Matched:
    """The columns of a sheet, what was suggested for them, and what has to be asked."""

    columns: list[Column] = field(default_factory=list)
    suggestions: list[Suggestion] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)


def names_of(headings: Sequence[str]) -> list[str]:
    """Return a name of its own for each heading: "Result", "Result [2]", and "column F" where there is none."""
    seen: Counter[str] = Counter()
    names = []
    for place, heading in enumerate(headings):
        name = heading or f"column {letters(place)}"
        seen[plain(name) or name] += 1
        count = seen[plain(name) or name]
        names.append(name if count == 1 else f"{name} [{count}]")
    return names


def letters(place: int) -> str:
    """Return the letters that a spreadsheet shows over a column, counted from 0: A, B, … Z, AA."""
    text = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def known_use(heading: str) -> ColumnUse | None:
    """Return what a heading means wherever it stands, or None where it means nothing or several things."""
    if len(heading) > LONGEST_HEADING:
        return None
    words = plain(heading)
    sure = sure_field(words)
    if sure:
        return ColumnUse(sure)
    reading = read_head(heading)
    if reading:
        return ColumnUse(Field.READING, reading=reading)
    bare, unit = unit_of(heading)
    of_bare = sure_field(plain(bare)) if unit else None
    if of_bare and _UNITS_OF.get(of_bare) == unit:
        return ColumnUse(of_bare)
    return _earlier_use(words, heading)


def _earlier_use(words: str, heading: str) -> ColumnUse | None:
    """Return the use of a heading such as "Previous test result": the same of the test before the latest."""
    start = next((start for start in EARLIER if words.startswith(start)), None)
    if start is None:
        return None
    rest = words.removeprefix(start)
    named = Field.TESTED_ON if rest in {"test", "date"} else sure_field(rest)
    if named in OF_TESTS:
        return ColumnUse(named, test=2)
    reading = read_head(heading.strip().partition(" ")[2])
    return ColumnUse(Field.READING, 2, reading) if reading else None


def score(headings: Iterable[str], own: Mapping[str, ColumnUse]) -> int:
    """Return how much a row looks like headings: 2 for each that is known or in the mapping, 1 for each that may be."""
    total = 0
    for heading in headings:
        if not heading or len(heading) > LONGEST_HEADING:
            continue
        said: ColumnUse | None = find(own, heading)
        if said or known_use(heading):
            total += 2
        elif plain(heading) in OPEN:
            total += 1
    return total


def match_columns(
    sheet: str,
    headings: Sequence[str],
    values: Mapping[int, Sequence[Value]],
    own: Mapping[str, ColumnUse],
    tables: Mapping[Field, WordTable],
    *,
    site_known: bool,
) -> Matched:
    """Return what each column is taken for.

    `own` are the columns of the mapping, which go before all else; `values` those of each column by its place.
    `site_known` says that the site is given elsewhere, so that a column of places names areas.
    """
    names = names_of(headings)
    uses: dict[int, ColumnUse] = {}
    for place, name in enumerate(names):
        said = find(own, name)
        if said:
            uses[place] = said
    mapped = set(uses)
    for place, heading in enumerate(headings):
        if place not in mapped and heading:
            use = known_use(heading)
            if use:
                uses[place] = use
    matched = Matched()
    _settle_conflicts(sheet, names, uses, mapped, matched)
    _settle_open(headings, values, uses, tables, site_known=site_known)
    for place, name in enumerate(names):
        if headings[place] or place in uses or any(value is not None for value in values.get(place, ())):
            matched.columns.append(Column(place, name, uses.get(place)))
    tag_wanted = all(use.field is not Field.TAG for use in uses.values())
    for column in matched.columns:
        of_column = values.get(column.place, ())[:LOOKED_AT]
        guessed = guess(of_column, tables, tag_wanted=tag_wanted) if column.use is None else None
        suggestion = _suggestion(sheet, column, headings[column.place], mapped, guessed)
        matched.suggestions.append(replace(suggestion, examples=_examples(of_column)))
    return matched


def _settle_conflicts(
    sheet: str, names: Sequence[str], uses: dict[int, ColumnUse], mapped: set[int], matched: Matched
) -> None:
    """Leave out columns that claim what another one says; a mapping's go first, and equal claims are asked about."""
    claims: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for place, use in uses.items():
        if use.field not in SEVERAL:
            claims[use.field, use.test, use.reading].append(place)
    for places in claims.values():
        if len(places) == 1:
            continue
        first = [place for place in places if place in mapped]
        if len(first) != 1:
            listed = " and ".join(f"“{names[place]}”" for place in places)
            use = uses[places[0]]
            matched.questions.append(
                Question(
                    f"Sheet “{sheet}” has {len(places)} columns for the {use}: {listed}.",
                    "Say in the mapping which to leave out: "
                    f'[sheets."{sheet}".columns] "{names[places[-1]]}" = "ignore".',
                )
            )
        for place in places:
            if place not in first[:1]:
                del uses[place]


def _settle_open(
    headings: Sequence[str],
    values: Mapping[int, Sequence[Value]],
    uses: dict[int, ColumnUse],
    tables: Mapping[Field, WordTable],
    *,
    site_known: bool,
) -> None:
    """Take headings with several meanings for the one that their values fit, unless another column says it already."""
    taken = {use.field for use in uses.values() if use.test == 1}
    site_known = site_known or bool(taken & {Field.SITE, Field.SITE_NAME})
    found: dict[Field, list[int]] = defaultdict(list)
    for place, heading in enumerate(headings):
        words = plain(heading)
        if place in uses or words not in OPEN:
            continue
        candidates = [meant for meant in OPEN[words] if meant not in taken]
        meant = fitting(candidates, values.get(place, ()), tables)
        if words in PLACES and site_known and Field.AREA in candidates:
            meant = Field.AREA
        if words == "date" and not taken & (OF_TESTS - {Field.TESTED_ON}):
            meant = None
        if meant:
            found[meant].append(place)
    for meant, places in found.items():
        if len(places) == 1:
            uses[places[0]] = ColumnUse(meant)


def _examples(values: Sequence[Value]) -> tuple[str, ...]:
    """Return the first texts of a column that differ."""
    found: dict[str, None] = {}
    for value in values:
        text = text_of(value)
        if text:
            found[text if len(text) <= LONGEST_EXAMPLE else f"{text[:LONGEST_EXAMPLE]}…"] = None
        if len(found) == EXAMPLES:
            break
    return tuple(found)


def _suggestion(sheet: str, column: Column, heading: str, mapped: set[int], guessed: Field | None) -> Suggestion:
    if column.use:
        sure = column.place in mapped or known_use(heading) is not None
        proposal, certainty = str(column.use), 1.0 if sure else 0.9
    else:
        proposal, certainty = _proposal(plain(heading), guessed)
    return Suggestion(
        sheet, column.heading, value="", proposal=proposal, certainty=certainty, taken=column.use is not None
    )


def _proposal(words: str, guessed: Field | None) -> tuple[str, float]:
    """Return what a heading may be that was not taken, and with how much certainty; empty where nobody can tell."""
    if words in OPEN:
        return OPEN[words][0], OPEN_CERTAINTY
    if guessed:
        return guessed, LIKELY
    near = get_close_matches(words, all_words(), n=1, cutoff=LIKE_ENOUGH) if len(words) >= LEAST_LETTERS else []
    return (all_words()[near[0]], LIKE_ENOUGH) if near else ("", 0.0)


def makes_items(columns: Iterable[Column]) -> bool:
    """Whether a sheet describes items."""
    return any(column.use and column.use.field in MAKES_ITEMS for column in columns)


def makes_records(columns: Iterable[Column]) -> bool:
    """Whether a sheet gives tests: without a day there is none."""
    return any(column.use and column.use.field is Field.TESTED_ON for column in columns)
