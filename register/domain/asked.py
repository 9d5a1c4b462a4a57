"""What a record must hold to be complete: the checks of its duties, and what the site's reading plan adds."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Final

from register.domain.items import SAFETY_SWITCHES, Item
from register.domain.places import place_words
from register.domain.records import HALF_CYCLES, Place, ReadingPlan
from register.domain.rulebook import ChecklistLine, Rulebook, Source
from register.domain.words import CONTRACTORS_DUTIES, Check, Duty, Kind, TestCurrent

HALF: Final = Decimal("0.5")


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing that must be looked at or measured. Any of `checks` will do; None in a place means anywhere."""

    checks: tuple[Check, ...]
    source: Source
    outlet: int | None = None
    half_cycle: int | None = None
    multiple: Decimal | None = None

    def met_by(self, place: Place) -> bool:
        """Whether a check made at this place is what was asked for. What makes a switch trip counts with a.c. only.

        Every type is held to that; a test with half waves or d.c. comes on top.
        """
        return (
            place.check in self.checks
            and (self.outlet is None or self.outlet == place.outlet)
            and (self.half_cycle is None or self.half_cycle == place.half_cycle)
            and (self.multiple is None or self.multiple == place.multiple)
            and (place.check not in (Check.TRIP_TIME, Check.TRIP_CURRENT) or place.test_current is TestCurrent.AC)
        )

    @property
    def place(self) -> Place:
        """The place that is reported as missing: that of the first check that would do."""
        return Place(self.checks[0], self.outlet, self.half_cycle, self.multiple)

    @property
    def words(self) -> str:
        """What is asked for, in the middle of a sentence: "insulation resistance or leakage current"."""
        return place_words(self.place, self.checks[1:])


def duties_of(item: Item, rulebook: Rulebook) -> tuple[Duty, ...]:
    """Return every contractor's duty for which the rulebook lists checks of such an item, in the duties' order."""
    return _duties(item.kind, rulebook, has_switch=item.has_switch)


@lru_cache(maxsize=1_024)
def _duties(kind: Kind, rulebook: Rulebook, *, has_switch: bool) -> tuple[Duty, ...]:
    return tuple(
        duty for duty in Duty if duty in CONTRACTORS_DUTIES and _checklists(duty, kind, rulebook, has_switch=has_switch)
    )


@lru_cache(maxsize=1_024)
def _checklists(duty: Duty, kind: Kind, rulebook: Rulebook, *, has_switch: bool) -> tuple[ChecklistLine, ...]:
    """Return the lines that say what a duty asks of a kind of item, or else of a switch it carries."""
    lines = [line for line in rulebook.checklists if line.duty is duty and (has_switch or not line.switch_multiples)]
    own = tuple(line for line in lines if kind in line.kinds)
    carries_one = has_switch and kind not in SAFETY_SWITCHES
    if own or not carries_one:
        return own
    return tuple(line for line in lines if Kind.PORTABLE_SAFETY_SWITCH in line.kinds)


def what_is_asked(duties: tuple[Duty, ...], item: Item, rulebook: Rulebook, plan: ReadingPlan) -> tuple[Asked, ...]:
    """Return everything that the duties ask for on this item, each once, in working order."""
    return _asked(duties, item.kind, item.outlets, rulebook, plan, has_switch=item.has_switch)


@lru_cache(maxsize=4_096)
def _asked(
    duties: tuple[Duty, ...], kind: Kind, outlets: int, rulebook: Rulebook, plan: ReadingPlan, *, has_switch: bool
) -> tuple[Asked, ...]:
    found: dict[Place, Asked] = {}
    for duty in duties:
        for line in _checklists(duty, kind, rulebook, has_switch=has_switch):
            for asked in _of_line(line, outlets, plan):
                found.setdefault(asked.place, asked)
    return tuple(found.values())


def _of_line(line: ChecklistLine, count: int, plan: ReadingPlan) -> Iterator[Asked]:
    outlets: tuple[int | None, ...] = tuple(range(1, count + 1)) or (None,)
    for checks in line.per_item:
        yield Asked(checks, line.source)
    for outlet in outlets:
        for checks in line.per_outlet:
            yield Asked(checks, line.source, outlet)
    if not line.switch_multiples:
        return
    for outlet in outlets:
        for multiple in _multiples(line, plan):
            for half_cycle in HALF_CYCLES:
                yield Asked((Check.TRIP_TIME,), line.source, outlet, half_cycle, multiple)
        if plan.ramp:
            for half_cycle in HALF_CYCLES:
                yield Asked((Check.TRIP_CURRENT,), line.source, outlet, half_cycle)


def _multiples(line: ChecklistLine, plan: ReadingPlan) -> list[Decimal]:
    hold = {HALF} if plan.half else set()
    return sorted({*line.switch_multiples, *plan.multiples, *hold})
