"""Which lines of a rulebook govern an item in one place: the terms of each of its duties there."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

from register.domain.intervals import Interval, Occasion
from register.domain.items import Item
from register.domain.rulebook import FACT_WORDS, Fact, IntervalLine, Rulebook, Strength
from register.domain.rulebook_lookup import interval_lines
from register.domain.words import Duty, Kind


class Traits(NamedTuple):
    """All of an item that decides which lines apply. None where nobody recorded a fact."""

    kind: Kind
    carries_switch: bool
    protected_by_switch: bool | None
    moved_in_use: bool | None
    risk_factor: bool | None

    def known(self, fact: Fact) -> bool | None:
        """Whether a fact holds, or None where nobody recorded it."""
        return {
            Fact.PROTECTED_BY_SWITCH: self.protected_by_switch,
            Fact.MOVED_IN_USE: self.moved_in_use,
            Fact.RISK_FACTOR: self.risk_factor,
        }[fact]


def traits_of(item: Item) -> Traits:
    """Return the traits of an item."""
    return Traits(
        item.kind, item.safety_switch is not None, item.protected_by_switch, item.moved_in_use, item.risk_factor
    )


class Rule(NamedTuple):
    """A line that holds for a duty. `place` is the title of the place's class where the line binds by that."""

    line: IntervalLine
    place: str = ""


@dataclass(frozen=True, slots=True)
class Terms:
    """How often one duty falls due in one place, and why.

    `rules` are the line that governs and those beside it that add an occasion or the maximum. `interval` is None
    where only occasions call for the duty. `bound_by` is the line with the longest interval that is left to an
    override, None where nothing binds. `relieved` says why the duty is not asked of this item; it is empty where
    it is asked. `doubt` is a sentence about facts nobody recorded.
    """

    duty: Duty
    rules: tuple[Rule, ...]
    interval: Interval | None = None
    occasions: tuple[Occasion, ...] = ()
    first: Occasion | None = None
    bound_by: IntervalLine | None = None
    relieved: str = ""
    doubt: str = ""

    @property
    def line(self) -> IntervalLine:
        """The line that governs."""
        return self.rules[0].line

    @property
    def before_use(self) -> bool:
        """Whether the duty must be done once before the first use, of new items too."""
        return self.first is not None or Occasion.BEFORE_FIRST_USE in self.occasions

    @property
    def longest(self) -> Interval | None:
        """The longest interval that the lines that bind leave to an override; None where nothing binds."""
        return None if self.bound_by is None else _longest(self.bound_by)


@lru_cache(maxsize=16_384)
def terms_of(traits: Traits, rulebook: Rulebook, environment: str, place: str) -> Mapping[Duty, Terms]:
    """Return the terms of every duty that the rulebook asks of such an item in this class, in the order of duties.

    A binding line of the place holds as well, so a hired tool on a construction site keeps the shorter interval.
    """
    own = _lines_by_duty(traits, rulebook, environment, place)
    at_place = _lines_by_duty(traits, rulebook, place, place) if place != environment else {}
    title = rulebook.environments[place].title
    found = {}
    for duty in Duty:
        rules = [Rule(line) for line in own.get(duty, ())]
        rules += [Rule(line, title) for line in at_place.get(duty, ()) if _binds(line)]
        if rules:
            found[duty] = _terms(traits, duty, rules)
    return MappingProxyType(found)


def _lines_by_duty(traits: Traits, rulebook: Rulebook, environment: str, place: str) -> dict[Duty, list[IntervalLine]]:
    found: dict[Duty, list[IntervalLine]] = {}
    for line in interval_lines(
        rulebook, kind=traits.kind, environment=environment, place=place, has_switch=traits.carries_switch
    ):
        found.setdefault(line.duty, []).append(line)
    return {duty: list(_nearest(traits, lines)) for duty, lines in found.items()}


def _nearest(traits: Traits, lines: list[IntervalLine]) -> Iterator[IntervalLine]:
    """Yield the lines that may be the nearest to the item: the first that surely holds, and doubtful ones before it.

    Where none holds, the nearest of those that do not.
    """
    holding = [line for line in lines if not _relief(traits, line)]
    for line in holding or lines[:1]:
        yield line
        if not _unknown(traits, line):
            return


def _terms(traits: Traits, duty: Duty, rules: list[Rule]) -> Terms:
    """Return what the lines of the item's own class and the binding ones of its place ask for together."""
    asked = [rule for rule in rules if not _relief(traits, rule.line)]
    if not asked:
        return Terms(duty, (rules[0],), relieved=_relief(traits, rules[0].line))
    dated = [rule for rule in asked if rule.line.every is not None]
    governing = min(dated, key=lambda rule: _strictness(rule.line), default=asked[0])
    bound_by = min((rule for rule in dated if _binds(rule.line)), key=lambda rule: _longest(rule.line), default=None)
    return Terms(
        duty=duty,
        rules=(
            governing,
            *(rule for rule in asked if rule is not governing and (rule.line.on is not None or rule is bound_by)),
        ),
        interval=governing.line.every,
        occasions=tuple(dict.fromkeys(rule.line.on for rule in asked if rule.line.on is not None)),
        first=next((rule.line.first for rule in asked if rule.line.first is not None), None),
        bound_by=None if bound_by is None else bound_by.line,
        doubt=_doubt(traits, governing.line),
    )


def _binds(line: IntervalLine) -> bool:
    return line.strength is Strength.MAXIMUM


def _strictness(line: IntervalLine) -> tuple[Interval, bool]:
    """Return the order in which dated lines govern: the shortest interval first, of two equal ones that which binds."""
    assert line.every is not None
    return line.every, not _binds(line)


def _longest(line: IntervalLine) -> Interval:
    longest = line.up_to or line.every
    assert longest is not None
    return longest


def _relief(traits: Traits, line: IntervalLine) -> str:
    """Return why the line does not apply, as a sentence; empty where it does or where nobody knows."""
    for fact in line.only_if:
        if traits.known(fact) is False:
            return f"Not asked of this item, as it is not {FACT_WORDS[fact]}: {line.source.words}."
    for fact in line.unless:
        if traits.known(fact):
            return f"Not asked of this item, as it is {FACT_WORDS[fact]}: {line.source.words}."
    return ""


def _unknown(traits: Traits, line: IntervalLine) -> list[Fact]:
    return [fact for fact in (*line.only_if, *line.unless) if traits.known(fact) is None]


def _doubt(traits: Traits, line: IntervalLine) -> str:
    facts = " or ".join(FACT_WORDS[fact] for fact in _unknown(traits, line))
    return f"Nobody recorded whether it is {facts}, so the duty stays." if facts else ""
