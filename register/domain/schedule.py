"""When each duty of an item falls due: the schedule as a function of what was done and where the item was.

Nothing here depends on today: a date says for itself until when the item may be used. `explain` puts it in words.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import IntEnum

from register.domain.intervals import Interval, add_interval
from register.domain.items import Exposure, Item
from register.domain.rulebook import Rulebook
from register.domain.terms import Terms, Traits, terms_of, traits_of
from register.domain.words import CONTRACTORS_DUTIES, Condition, Duty


class Scope(IntEnum):
    """What an override is made for; the nearer to the item, the more it counts."""

    SITE = 1
    AREA = 2
    ITEM = 3


@dataclass(frozen=True, slots=True)
class Override:
    """Another interval than the rulebook's, by somebody's documented decision, until a day of review.

    A longer one lapses after `review_on`; a shorter one stays until somebody ends it, because a date never
    moves later by itself.
    """

    scope: Scope
    duty: Duty
    interval: Interval
    reason: str
    approver: str
    approved_on: date
    review_on: date


@dataclass(frozen=True, slots=True)
class Stay:
    """The time an item spends in one place: how harsh that is, and the overrides made for it there."""

    exposure: Exposure
    overrides: tuple[Override, ...] = ()


@dataclass(frozen=True, slots=True)
class Done:
    """When a duty was last done with a pass, and how that is known ("measured", "as found", "told by the owner")."""

    on: date
    how: str = "measured"


@dataclass(frozen=True, slots=True)
class Basis:
    """What decided a due date: the terms of one stay, and the override made there.

    `cut` says that a binding line kept the override from running longer; `lapsed` that its review date comes
    before its own date would. `until` is the day the stay ended; None for the present one.
    """

    due: date
    terms: Terms
    exposure: Exposure
    override: Override | None = None
    cut: bool = False
    lapsed: bool = False
    until: date | None = None


@dataclass(frozen=True, slots=True)
class DutyDue:
    """One duty of one item with its date.

    `due` is the last day of use without it. It is None where only occasions call for the duty, where it was never
    done, or where it is not asked (`terms.relieved` says why). `first_needed` asks a competent person to do it
    before the item is used. `basis` is None unless the date was counted from a day something was done.
    """

    duty: Duty
    terms: Terms
    done: Done | None
    due: date | None
    first_needed: bool = False
    basis: Basis | None = None

    @property
    def contractors(self) -> bool:
        """Whether a competent person does it; otherwise it is the user's own."""
        return self.duty in CONTRACTORS_DUTIES

    @property
    def interval(self) -> str:
        """The interval or occasion as it is written in files: `P6M`, `each-use`. That of the stay that decided."""
        terms = self.basis.terms if self.basis is not None else self.terms
        if self.basis is not None and self.basis.override is not None and not self.basis.cut:
            return str(self.basis.override.interval)
        if self.basis is not None and self.basis.cut and terms.longest is not None:
            return str(terms.longest)
        if terms.interval is not None:
            return str(terms.interval)
        return terms.occasions[0].value if terms.occasions else ""


def schedule(
    item: Item, stays: Sequence[Stay], rulebooks: Mapping[str, Rulebook], done: Mapping[Duty, Done]
) -> tuple[DutyDue, ...]:
    """Return every duty of the item, the contractor's and the user's.

    `stays` are in order of time and hold at least the present one, which comes last; `rulebooks` holds those
    that the stays name. A duty's date is the earliest that any stay since it was last done asks for.
    """
    present = stays[-1].exposure
    if out_of_scope(item, rulebooks[present.rulebook]):
        return ()
    traits = traits_of(item)
    asked = terms_of(traits, rulebooks[present.rulebook], present.environment, present.place)
    return tuple(_due(item, traits, terms, stays, rulebooks, done.get(terms.duty)) for terms in asked)


def out_of_scope(item: Item, rulebook: Rulebook) -> str:
    """Return why no duties are asked of the item at all, as a sentence; empty where they are."""
    if item.condition is Condition.OUT_OF_SCOPE:
        return f"Out of scope: {item.scope_reason or 'no reason recorded'}."
    return rulebook.out_of_scope(item)


def _due(
    item: Item,
    traits: Traits,
    terms: Terms,
    stays: Sequence[Stay],
    rulebooks: Mapping[str, Rulebook],
    done: Done | None,
) -> DutyDue:
    if terms.relieved:
        return DutyDue(terms.duty, terms, done, None)
    contractors = terms.duty in CONTRACTORS_DUTIES
    if contractors and repair_untested(item, done):
        return DutyDue(terms.duty, terms, done, item.since, first_needed=True)
    if terms.interval is None:
        return DutyDue(terms.duty, terms, done, None)
    start = done.on if done is not None else new_to_service(item, terms)
    if start is None:
        return DutyDue(terms.duty, terms, done, None, first_needed=contractors)
    basis = min(_bases(traits, terms, stays, rulebooks, start), key=lambda each: each.due)
    return DutyDue(terms.duty, terms, done, basis.due, basis=basis)


def repair_untested(item: Item, done: Done | None) -> bool:
    """Whether the item was repaired and has not passed since, so that it must be tested before its return."""
    if item.condition is not Condition.REPAIRED:
        return False
    return done is None or (item.since is not None and done.on < item.since)


def new_to_service(item: Item, terms: Terms) -> date | None:
    """Return the day from which the first interval of a new item counts; None where a test comes first."""
    counts = item.condition is Condition.NEW and terms.first is None and terms.duty in CONTRACTORS_DUTIES
    return item.since if counts else None


def _bases(
    traits: Traits, terms: Terms, stays: Sequence[Stay], rulebooks: Mapping[str, Rulebook], start: date
) -> Iterable[Basis]:
    """Return what each stay since the start asks for; the present stay comes first, so it wins a tie."""
    yield _basis(terms, stays[-1], start, until=None)
    for place in range(len(stays) - 2, -1, -1):
        stay, until = stays[place], stays[place + 1].exposure.since
        if until <= start:
            return
        exposure = stay.exposure
        for earlier in terms_of(traits, rulebooks[exposure.rulebook], exposure.environment, exposure.place):
            if earlier.duty is terms.duty and earlier.interval is not None:
                yield _basis(earlier, stay, start, until=until)


def _basis(terms: Terms, stay: Stay, start: date, *, until: date | None) -> Basis:
    assert terms.interval is not None
    by_rule = add_interval(start, terms.interval)
    override = nearest_override(stay.overrides, terms.duty) if stay.overrides else None
    if override is None:
        return Basis(by_rule, terms, stay.exposure, until=until)
    by_override = add_interval(start, override.interval)
    longest = by_override if terms.longest is None else min(by_override, add_interval(start, terms.longest))
    due = min(longest, max(by_rule, override.review_on))
    return Basis(due, terms, stay.exposure, override, cut=longest < by_override, lapsed=due < longest, until=until)


def nearest_override(overrides: Iterable[Override], duty: Duty) -> Override | None:
    """Return the override that counts for a duty: item over area over site, then the latest approved."""
    mine = [each for each in overrides if each.duty is duty]
    return max(mine, key=lambda each: (each.scope, each.approved_on), default=None)
