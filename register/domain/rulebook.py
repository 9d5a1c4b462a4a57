"""A rulebook: one jurisdiction's intervals, checks and limits as values, each with its source and standing."""

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import Final

from register.domain.intervals import Interval, Occasion
from register.domain.items import Item
from register.domain.tag_words import TagColour, TagField, TagKind
from register.domain.words import (
    Check,
    Condition,
    Delay,
    Duty,
    Kind,
    SwitchType,
    TestCurrent,
    Unit,
    Waveform,
)


class Confidence(StrEnum):
    """How far a line can be trusted: the text itself was read, a page restates it, from memory, or sources differ."""

    READ = "read"
    RESTATED = "restated"
    MEMORY = "memory"
    DISPUTED = "disputed"


_CONFIDENCE_WORDS: Final = {
    Confidence.READ: "",
    Confidence.RESTATED: ", restated second-hand",
    Confidence.MEMORY: ", from memory",
    Confidence.DISPUTED: ", sources differ",
}


class Strength(StrEnum):
    """Whether an interval is guidance that a documented risk assessment may vary, or a maximum that binds."""

    GUIDE = "guide"
    MAXIMUM = "maximum"


class Fact(StrEnum):
    """What must be known of an item for some lines to apply."""

    PROTECTED_BY_SWITCH = "protected-by-switch"
    MOVED_IN_USE = "moved-in-use"
    RISK_FACTOR = "risk-factor"


FACT_WORDS: Final = {
    Fact.PROTECTED_BY_SWITCH: "connected to a safety switch",
    Fact.MOVED_IN_USE: "moved in normal use",
    Fact.RISK_FACTOR: "used where a risk factor stated in the regulation is present",
}
"""Each fact as it stands after "it is"."""


@dataclass(frozen=True, slots=True)
class Edition:
    """One edition of a standard or regulation, such as "AS/NZS 3760:2022".

    One that is not in force serves to read old tags. `about` says why an older one still stands for some lines.
    """

    id: str
    title: str
    in_force: bool = True
    about: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a value stands: the words to cite (standard and clause), its edition, and how far it can be trusted."""

    text: str
    edition: Edition
    confidence: Confidence

    @property
    def words(self) -> str:
        """The source as it is shown: "AS/NZS 3760:2010 Table 4, row 1, restated second-hand"."""
        edition = "" if self.edition.title in self.text else f"{self.edition.title}, "
        return f"{edition}{self.text}{_CONFIDENCE_WORDS[self.confidence]}"


@dataclass(frozen=True, slots=True)
class Other:
    """What another source says instead: its value as written and its name."""

    value: str
    source: str


@dataclass(frozen=True, slots=True)
class EnvironmentClass:
    """One way in which items are used, as the rulebook names it.

    `of_equipment` marks classes that belong to an item, not to premises (cleaning, hire). `like` names the
    class of the extended rulebook whose lines fill what this one does not say, and `because` why that one.
    """

    id: str
    title: str
    about: str
    of_equipment: bool = False
    like: str | None = None
    because: str = ""


@dataclass(frozen=True, slots=True)
class IntervalLine:
    """How often one duty falls due for some kinds in some environment classes.

    Either `every` (with `up_to` for a range: scheduled at the shorter end) or `on` an occasion is set; `first`
    adds an occasion before the first use. `place` narrows the line to items whose place has one of these
    classes. `only_if` facts must hold, `unless` any of these holds; unknown facts never take a duty away.
    `key` names the line in the file: "interval.12".
    """

    key: str
    rulebook: str
    duty: Duty
    kinds: frozenset[Kind]
    environments: frozenset[str]
    source: Source
    every: Interval | None = None
    up_to: Interval | None = None
    on: Occasion | None = None
    first: Occasion | None = None
    strength: Strength = Strength.GUIDE
    place: frozenset[str] = frozenset()
    only_if: tuple[Fact, ...] = ()
    unless: tuple[Fact, ...] = ()
    only_with_switch: bool = False
    note: str = ""
    others: tuple[Other, ...] = ()


@dataclass(frozen=True, slots=True)
class ChecklistLine:
    """Which checks a duty asks for, for some kinds.

    Each entry of `per_item` and `per_outlet` is a tuple of checks of which one is enough. `per_outlet` checks
    are made on every outlet (once on items without any). `switch_multiples` are the multiples of the rated
    residual current at which each outlet's trip time is measured at both half-cycles.
    """

    duty: Duty
    kinds: frozenset[Kind]
    source: Source
    per_item: tuple[tuple[Check, ...], ...] = ()
    per_outlet: tuple[tuple[Check, ...], ...] = ()
    switch_multiples: tuple[Decimal, ...] = ()


@dataclass(frozen=True, slots=True)
class LimitLine:
    """One limit on one quantity.

    `at_least` and `at_most` are in `unit`, or in parts of the rated residual current where `of_rated` is set.
    Each edge says whether a value exactly on it passes. `must_hold` asks that the switch does not trip at all.
    `types`, `delays`, `waveforms`, `multiple`, `test_current` and the rated residual current in mA (above
    `rated_above`, no more than `rated_up_to`) narrow the line to what it is made for; empty or None means any. A
    reading that names no test current was made with a.c. `word` is what a reading without a number must say: polarity
    is "right".
    """

    key: str
    check: Check
    unit: Unit
    source: Source
    kinds: frozenset[Kind] = frozenset()
    types: frozenset[SwitchType] = frozenset()
    delays: frozenset[Delay] = frozenset()
    waveforms: frozenset[Waveform] = frozenset()
    test_current: TestCurrent | None = None
    multiple: Decimal | None = None
    rated_above: Decimal | None = None
    rated_up_to: Decimal | None = None
    at_least: Decimal | None = None
    at_most: Decimal | None = None
    at_least_passes: bool = True
    at_most_passes: bool = True
    of_rated: bool = False
    must_hold: bool = False
    word: str = ""
    note: str = ""
    others: tuple[Other, ...] = ()


@dataclass(frozen=True, slots=True)
class RulebookScope:
    """What a rulebook is about. Items outside have no duties, and are told why."""

    max_rated_current_a: Decimal | None = None
    battery_run: bool = True
    source: str = ""


@dataclass(frozen=True, slots=True)
class ConditionRule:
    """What holds for items in one condition (new, repaired, stored): the rule as a sentence, and where it stands."""

    rule: str
    source: Source


@dataclass(frozen=True, slots=True)
class TagLine:
    """What must stand on some sorts of tag. `cites` is the standard to print; `optional` marks what may be left out."""

    tags: frozenset[TagKind]
    shows: tuple[TagField, ...]
    source: Source
    cites: str = ""
    optional: bool = False


@dataclass(frozen=True, slots=True)
class TagColourLine:
    """The colour of tags of tests done in some months (1 to 12), in some environment classes."""

    months: frozenset[int]
    colour: TagColour
    environments: frozenset[str]
    source: Source


@dataclass(frozen=True, slots=True, eq=False)
class Rulebook:
    """One jurisdiction's rules. Lines of an extended rulebook are already merged in, own lines first.

    `kind_groups` are names that the file uses for several kinds at once. Two rulebooks are never equal but to
    themselves, so that they serve as keys of a memo.
    """

    id: str
    title: str
    version: str
    about: str
    environments: dict[str, EnvironmentClass]
    editions: dict[str, Edition]
    intervals: tuple[IntervalLine, ...]
    checklists: tuple[ChecklistLine, ...]
    limits: tuple[LimitLine, ...]
    scope: RulebookScope = field(default_factory=RulebookScope)
    cautions: tuple[str, ...] = ()
    conditions: dict[Condition, ConditionRule] = field(default_factory=dict)
    kind_groups: dict[str, frozenset[Kind]] = field(default_factory=dict)
    tags: tuple[TagLine, ...] = ()
    tag_colours: tuple[TagColourLine, ...] = ()

    def out_of_scope(self, item: Item) -> str:
        """Return why the item is outside this rulebook, as a sentence; empty where it is inside."""
        limit = self.scope.max_rated_current_a
        if limit is not None and item.rated_current_a is not None and item.rated_current_a > limit:
            return (
                f"Rated {item.rated_current_a:f} A: {self.title} covers items up to {limit:f} A"
                f" ({self.scope.source}). Other rules may apply."
            )
        if item.battery_run and not self.scope.battery_run:
            return f"Battery-run: {self.title} covers its charger, not the tool itself ({self.scope.source})."
        return ""
