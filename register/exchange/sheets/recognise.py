"""Whether the values of a column fit what its heading may mean: how a heading with several meanings is settled."""

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import time
from typing import Final

from register.exchange.sheets.cells import Value, text_of
from register.exchange.sheets.dates import looks_like_date
from register.exchange.sheets.fields import DATES, Field
from register.exchange.sheets.values import WordTable, read_kind

ENOUGH: Final = 0.9
"""Share of a column's filled cells that must fit the one meaning, and of no other as many."""

LIKELY: Final = 0.6
"""Share at which a column under an unknown heading is said to be perhaps of a meaning; it is not taken for it."""

_GUESSED: Final = (Field.TESTED_ON, Field.RESULT, Field.KIND, Field.ENVIRONMENT, Field.STANDING, Field.RATED_RESIDUAL)
_SINGLE: Final = 0.95
_LONGEST_TAG: Final = 16
_LEAST_TAGS: Final = 3
_UNIT: Final = re.compile(r"\d\s*ma\b", re.IGNORECASE)

_RESIDUAL: Final = re.compile(r"(?:5|6|10|15|20|30|100|300|500|1000)(?:\.0)?\s*(?:ma)?", re.IGNORECASE)
_CURRENT: Final = re.compile(r"(?:\d|[1-9]\d|1[0-2]\d)(?:[.,]\d)?\s*(?:a|amps?)", re.IGNORECASE)
_CLOCK: Final = re.compile(r"\d{1,2}[:.]\d{2}(?::\d{2})?(?:\s*[ap]\.?m\.?)?", re.IGNORECASE)


def fitting(candidates: Sequence[Field], values: Sequence[Value], tables: Mapping[Field, WordTable]) -> Field | None:
    """Return the one meaning that a column's values fit, or None where none or several do."""
    filled = [value for value in values if value is not None and text_of(value)]
    if not filled:
        return None
    fits = [field for field in candidates if _share(field, filled, tables) >= ENOUGH]
    return fits[0] if len(fits) == 1 else None


def guess(values: Sequence[Value], tables: Mapping[Field, WordTable], *, tag_wanted: bool) -> Field | None:
    """Return what a column under an unknown heading may be, by what stands in it; None where nothing is likely.

    `tag_wanted` says that no other column is the tag.
    """
    filled = [value for value in values if value is not None and text_of(value)]
    if not filled:
        return None
    shares = {field: _share(field, filled, tables) for field in _GUESSED}
    if not any(_UNIT.search(text_of(value)) for value in filled):
        shares[Field.RATED_RESIDUAL] = 0.0
    best = max(shares, key=lambda field: shares[field])
    if shares[best] >= LIKELY:
        return best
    return Field.TAG if tag_wanted and _look_like_tags(filled) else None


def _look_like_tags(filled: Sequence[Value]) -> bool:
    """Whether nearly every value is short, has digits, and stands there once."""
    texts = [text_of(value) for value in filled]
    like = sum(len(text) <= _LONGEST_TAG and any(letter.isdigit() for letter in text) for text in texts)
    return len(texts) >= _LEAST_TAGS and min(like, len(set(texts))) >= _SINGLE * len(texts)


def _share(field: Field, filled: Sequence[Value], tables: Mapping[Field, WordTable]) -> float:
    test = _test_of(field, tables)
    return sum(test(value) for value in filled) / len(filled) if test else 0.0


def _test_of(field: Field, tables: Mapping[Field, WordTable]) -> Callable[[Value], bool] | None:
    """Return what tells a value of the field, or None for free text, which can't be told from other text."""
    if field in DATES:
        return looks_like_date
    if field is Field.TESTED_AT:
        return lambda value: isinstance(value, time) or bool(_CLOCK.fullmatch(text_of(value)))
    pattern = {Field.RATED_RESIDUAL: _RESIDUAL, Field.RATED_CURRENT: _CURRENT}.get(field)
    if pattern:
        return lambda value: bool(pattern.fullmatch(text_of(value)))
    words = tables.get(field)
    if words is None:
        return None
    return lambda value: bool(read_kind(text_of(value), words) if field is Field.KIND else words.match(text_of(value)))
