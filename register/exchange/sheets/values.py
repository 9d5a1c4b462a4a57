"""Matching what stands in a cell to the register's words: exact synonyms only; what is merely similar is suggested."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import lru_cache
from typing import Final

from register.exchange.sheets import value_words
from register.exchange.sheets.fields import Field
from register.exchange.sheets.heading_words import plain

LEAST_CERTAIN: Final = 0.6
"""Below this likeness no suggestion is made: it would be a guess at random."""

LONGEST_WORD: Final = 60
"""For a longer text no word is looked for: it is a sentence, and comparing long texts takes long."""

LONGEST_MATCHED: Final = 400
"""No word is longer, not even one of a mapping: what is, is not looked at any closer."""

FREE_TABLES: Final = tuple(
    field.value
    for field in (Field.TAG, Field.TESTER, Field.INSTRUMENT, Field.SITE, Field.SITE_NAME, Field.OWNER, Field.AREA)
)
"""Fields with words of the user's own, which a mapping can replace: initials by a name, a nickname by a site."""

_WAYS: Final = re.compile(r"\b(\d{1,2})\s*(?:way|outlet|socket)s?\b")
_METRES: Final = re.compile(r"\s*\b\d{1,3}(?: \d{1,2})?\s*(?:m|mtr|metres?|meters?)\b")
_WITH_SWITCH: Final = re.compile(r"\s+(?:with\s+|and\s+|w\s+)?(?:built in\s+)?(?:rcd|safety switch)$")


@dataclass(frozen=True, slots=True)
class WordTable:
    """The words for one thing: `meaning` leads from each to the register's own; `choices` are those."""

    name: str
    choices: tuple[str, ...]
    meaning: Mapping[str, str]

    def match(self, text: str) -> str | None:
        """Return the register's word for exactly this text, or None."""
        return self.meaning.get(key_of(text)) if len(text) <= LONGEST_MATCHED else None

    def nearest(self, text: str) -> tuple[str, float] | None:
        """Return the word that the text is most like, and how much from 0 to 1; None where nothing is near."""
        wanted = key_of(text[: LONGEST_WORD + 1])
        if len(wanted) > LONGEST_WORD:
            return None
        best = max(self.meaning, key=lambda word: _likeness(wanted, word), default="")
        likeness = _likeness(wanted, best)
        return (self.meaning[best], round(likeness, 2)) if likeness >= LEAST_CERTAIN else None


@dataclass(frozen=True, slots=True)
class KindText:
    """What the text of a kind says besides the kind: how many outlets, and whether a safety switch is built in."""

    kind: str
    outlets: int | None = None
    with_switch: bool = False


def key_of(text: str) -> str:
    """Return the text as words are compared: plain, or as it stands where it is nothing but signs (✓)."""
    return plain(text) or text.strip().casefold()


def table(name: str, words: Mapping[str, Iterable[str]], own: Mapping[str, str] | None = None) -> WordTable:
    """Return the table of words, with a mapping's own words before all others."""
    meaning: dict[str, str] = {}
    for word, others in words.items():
        meaning[key_of(word)] = word
        meaning.update((key_of(other), word) for other in others)
    meaning |= {key_of(text): word for text, word in (own or {}).items()}
    return WordTable(name, tuple(words), meaning)


def tables(environments: frozenset[str], own: Mapping[str, Mapping[str, str]]) -> dict[Field, WordTable]:
    """Return the tables of all fields with a fixed set of words.

    `environments` are the classes of the rulebooks in use; other words for a class are taken only where it is one
    of them. `own` are a mapping's words by table name.
    """
    classes = {name: value_words.ENVIRONMENTS.get(name, ()) for name in sorted(environments)}
    words: dict[Field, Mapping[str, Iterable[str]]] = {
        Field.KIND: value_words.KINDS,
        Field.APPLIANCE_CLASS: value_words.APPLIANCE_CLASSES,
        Field.ENVIRONMENT: classes,
        Field.AREA_ENVIRONMENT: classes,
        Field.RESULT: value_words.RESULTS,
        Field.LOOK: value_words.LOOKS,
        Field.STANDING: value_words.STANDINGS,
        Field.SWITCH_TYPE: value_words.SWITCH_TYPES,
        Field.WAVEFORM: value_words.WAVEFORMS,
        Field.DELAY: value_words.DELAYS,
        Field.WORK_DONE: value_words.WORK,
        Field.SET_UP: value_words.SET_UPS,
        Field.MOVED_IN_USE: value_words.YES_NO,
        Field.PROTECTED_BY_SWITCH: value_words.YES_NO,
        Field.RISK_FACTOR: value_words.YES_NO,
    }
    return {field: table(table_name(field), of_field, own.get(table_name(field))) for field, of_field in words.items()}


def table_name(field: Field) -> str:
    """Return the name of a field's table of values in a mapping: both environments share one, as do all yes and no."""
    if field is Field.AREA_ENVIRONMENT:
        return Field.ENVIRONMENT.value
    if field in {Field.MOVED_IN_USE, Field.PROTECTED_BY_SWITCH, Field.RISK_FACTOR}:
        return "yes-no"
    return field.value


def read_kind(text: str, kinds: WordTable) -> KindText | None:
    """Return the kind that a text says, with what else stands in it: "4 way board + RCD", "Ext lead 10m"."""
    whole = kinds.match(text)
    if whole or len(text) > LONGEST_MATCHED:
        return KindText(whole) if whole else None
    words = _METRES.sub("", plain(text))
    ways = _WAYS.search(words)
    outlets = int(ways[1]) if ways else None
    words = _WAYS.sub("n way", words)
    for form in (words, words.replace("n way", "").strip()):
        kind = kinds.match(form)
        if kind:
            return KindText(kind, outlets)
        less = _WITH_SWITCH.sub("", form)
        kind = kinds.match(less) if less != form else None
        if kind and kind not in {value_words.PSS, value_words.FSS}:
            return KindText(kind, outlets, with_switch=True)
    return None


@lru_cache(maxsize=50_000)
def _likeness(first: str, second: str) -> float:
    return SequenceMatcher(None, first, second).ratio() if second else 0.0
