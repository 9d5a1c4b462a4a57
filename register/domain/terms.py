"""Which lines of a rulebook govern an item in one place: the terms of each of its duties there."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
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


@dataclass(frozen=True, slots=True)
class Terms:
    """How often one duty falls due in one place, and why.

    `interval` is None where only occasions call for the duty. `longest` is the longest interval that the binding
    lines leave to an override, None where nothing binds. `relieved` says why the duty is not asked of this item;
    it is empty where it is asked. `doubts` are sentences about facts nobody recorded. `binding_place` is the
    title of the place's class where its line governs instead of the item's own.
    """

    duty: Duty
    line: IntervalLine
    interval: Interval | None
    occasions: tuple[Occasion, ...] = ()
    first: Occasion | None = None
    longest: Interval | None = None
    relieved: str = ""
    doubts: tuple[str, ...] = ()
    binding_place: str = ""


@lru_cache(maxsize=16_384)
def terms_of(traits: Traits, rulebook: Rulebook, environment: str, place: str) -> tuple[Terms, ...]:
    """Return the terms of every duty that the rulebook asks of such an item in this class, in the order of duties.

    A binding line of the place holds as well, so a hired tool on a construction site keeps the shorter interval.
    """
    own = _nearest(traits, rulebook, environment, place)
    at_place = _nearest(traits, rulebook, place, place) if place != environment else {}
    found = []
    for duty in Duty:
        line, binding = own.get(duty), at_place.get(duty)
        if binding is not None and binding.strength is not Strength.MAXIMUM:
            binding = None
        lines = [each for each in (line, binding) if each is not None]
        if lines:
            found.append(_terms(traits, rulebook, lines, place if binding is not None else ""))
    return tuple(found)


def _nearest(traits: Traits, rulebook: Rulebook, environment: str, place: str) -> dict[Duty, IntervalLine]:
    """Return the one line of each duty that is nearest to the item."""
    nearest: dict[Duty, IntervalLine] = {}
    for line in interval_lines(
        rulebook, kind=traits.kind, environment=environment, place=place, has_switch=traits.carries_switch
    ):
        nearest.setdefault(line.duty, line)
    return nearest


def _terms(traits: Traits, rulebook: Rulebook, lines: list[IntervalLine], place: str) -> Terms:
    """Return the terms that the line of the item's own class and the binding one of its place set together."""
    asked = [line for line in lines if not _relief(traits, line)]
    if not asked:
        return Terms(lines[0].duty, lines[0], None, relieved=_relief(traits, lines[0]))
    dated = [(line.every, line) for line in asked if line.every is not None]
    interval, governing = min(dated, key=lambda each: each[0]) if dated else (None, asked[0])
    binding = [line.up_to or every for every, line in dated if line.strength is Strength.MAXIMUM]
    from_place = bool(place) and governing is lines[-1]
    return Terms(
        duty=governing.duty,
        line=governing,
        interval=interval,
        occasions=tuple(dict.fromkeys(line.on for line in asked if line.on is not None)),
        first=next((line.first for line in asked if line.first is not None), None),
        longest=min(binding, default=None),
        doubts=tuple(_doubts(traits, governing)),
        binding_place=rulebook.environments[place].title if from_place else "",
    )


def _relief(traits: Traits, line: IntervalLine) -> str:
    """Return why the line does not apply, as a sentence; empty where it does or where nobody knows."""
    for fact in line.only_if:
        if traits.known(fact) is False:
            return f"Not asked of this item: it is not {FACT_WORDS[fact]} ({line.source.text})."
    for fact in line.unless:
        if traits.known(fact):
            return f"Not asked of this item: it is {FACT_WORDS[fact]} ({line.source.text})."
    return ""


def _doubts(traits: Traits, line: IntervalLine) -> Iterable[str]:
    for fact in (*line.only_if, *line.unless):
        if traits.known(fact) is None:
            yield f"Nobody recorded whether it is {FACT_WORDS[fact]}, so the duty stays."
