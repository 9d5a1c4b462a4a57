"""When each duty of an item falls due: the schedule as a function of what was done and where the item was.

Nothing here depends on today: a date says for itself until when the item may be used. `explain` puts it in words.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import IntEnum
from typing import NamedTuple

from register.domain.intervals import Interval, add_interval
from register.domain.items import Exposure, Item
from register.domain.rulebook import IntervalLine, Rulebook
from register.domain.terms import Terms, terms_of, traits_of
from register.domain.words import CONTRACTORS_DUTIES, Condition, Duty
from register.errors import Refused


class Scope(IntEnum):
    """What an override is made for; the nearer to the item, the more it counts."""

    SITE = 1
    AREA = 2
    ITEM = 3


@dataclass(frozen=True, slots=True)
class Override:
    """Another interval than the rulebook's, by somebody's documented decision, until a day of review.

    A longer one lapses after `review_on`; a shorter one stays until somebody ends it, because a date never
    moves later by itself. Where the rulebook names only occasions it adds a date to them.
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
    """What decided a due date: the terms of one stay, and the override that counts there.

    `interval` is the one that was counted. `cut` says that a line that binds kept the override from running longer,
    `reviewed` that the date is the override's day of review. `lapsed` is a longer override whose day of review
    comes too early to matter. `until` is the day the stay ended; None for the present one.
    """

    due: date
    interval: Interval
    terms: Terms
    exposure: Exposure
    override: Override | None = None
    cut: bool = False
    reviewed: bool = False
    lapsed: Override | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class DutyDue:
    """One duty of one item with its date.

    `terms` and `exposure` are those of the present place, or of the last one that asked for the duty, which the
    item left on `until`. `due` is the last day of use without it. It is None where only occasions call for the duty,
    where it was never done, or where it is not asked (`terms.relieved` says why). `first_needed` asks a competent
    person to do it before the item is used. `basis` is None unless the date was counted from a day.
    """

    duty: Duty
    terms: Terms
    exposure: Exposure
    done: Done | None
    due: date | None = None
    first_needed: bool = False
    basis: Basis | None = None
    until: date | None = None

    @property
    def contractors(self) -> bool:
        """Whether a competent person does it; otherwise it is the user's own."""
        return self.duty in CONTRACTORS_DUTIES

    @property
    def interval(self) -> str:
        """The interval or occasion as it is written in files: `P6M`, `each-use`. That of the stay that decided."""
        if self.basis is not None:
            return str(self.basis.interval)
        if self.terms.interval is not None:
            return str(self.terms.interval)
        return self.terms.occasions[0].value if self.terms.occasions else ""

    @property
    def line(self) -> IntervalLine:
        """The line of the rulebook that governs. That of the stay that decided."""
        return self.basis.terms.line if self.basis is not None else self.terms.line


class _Place(NamedTuple):
    """One stay with what its rulebook asks there; `until` is None for the present one."""

    stay: Stay
    until: date | None
    terms: Mapping[Duty, Terms]


class _Asked(NamedTuple):
    """One duty as one stay asks for it."""

    terms: Terms
    stay: Stay
    until: date | None


def schedule(
    item: Item, stays: Sequence[Stay], rulebooks: Mapping[str, Rulebook], done: Mapping[Duty, Done]
) -> tuple[DutyDue, ...]:
    """Return every duty of the item, the contractor's and the user's.

    `stays` are in order of time, the present one last; `rulebooks` holds those that the stays name. A duty's date is
    the earliest that any stay since it was last done asks for. Refused where no stay is known, or where a stay's class
    is none of its rulebook's.
    """
    if not stays:
        raise Refused("The item has no place, so its dates can't be counted. Say in which area it is.")
    if out_of_scope(item, rulebooks[stays[-1].exposure.rulebook]):
        return ()
    places = tuple(_places(item, stays, rulebooks))
    duties: Iterable[Duty] = places[0].terms
    if len(places) > 1:
        duties = (duty for duty in Duty if any(duty in place.terms for place in places))
    found = (_due(item, duty, places, done.get(duty)) for duty in duties)
    return tuple(due for due in found if due is not None)


def out_of_scope(item: Item, rulebook: Rulebook) -> str:
    """Return why no duties are asked of the item at all, as a sentence; empty where they are."""
    if item.condition is Condition.OUT_OF_SCOPE:
        return f"Out of scope: {item.scope_reason.rstrip('.') or 'no reason recorded'}."
    return rulebook.out_of_scope(item)


def _places(item: Item, stays: Sequence[Stay], rulebooks: Mapping[str, Rulebook]) -> Iterator[_Place]:
    """Yield the places where the item was, the present one first. Places whose rulebook leaves it out ask nothing."""
    traits, until = traits_of(item), None
    for stay in reversed(stays):
        exposure = stay.exposure
        rulebook = rulebooks[exposure.rulebook]
        if until is None or not rulebook.out_of_scope(item):
            yield _Place(stay, until, terms_of(traits, rulebook, exposure.environment, exposure.place))
        until = exposure.since


def _due(item: Item, duty: Duty, places: tuple[_Place, ...], done: Done | None) -> DutyDue | None:
    """Return the duty with its date; None where only places before the last time asked for it."""
    contractors = duty in CONTRACTORS_DUTIES
    start = done.on if done is not None else new_to_service(item, duty)
    asked = _asked(duty, places, start)
    if not asked:
        relieved = places[0].terms.get(duty)
        return None if relieved is None else DutyDue(duty, relieved, places[0].stay.exposure, done)
    terms, stay, until = asked[0]
    if contractors and repair_untested(item, done):
        return DutyDue(duty, terms, stay.exposure, done, item.since, first_needed=True, until=until)
    before_use = done is None and any(each.terms.before_use for each in asked)
    if start is None or before_use:
        needed = contractors and (before_use or any(each.terms.interval is not None for each in asked))
        return DutyDue(duty, terms, stay.exposure, done, first_needed=needed, until=until)
    bases = [basis for each in asked if (basis := _basis(each, start)) is not None]
    if not bases or not (contractors or bases[0].until is None):
        return DutyDue(duty, terms, stay.exposure, done, until=until)
    decided = min(bases, key=lambda each: each.due)
    return DutyDue(duty, terms, stay.exposure, done, decided.due, basis=decided, until=until)


def _asked(duty: Duty, places: tuple[_Place, ...], start: date | None) -> list[_Asked]:
    """Return the stays since the start that ask for the duty, the present one first, so that it wins a tie.

    The user's duties are those of the present place; earlier ones there only bring a date forward.
    """
    found: list[_Asked] = []
    for stay, until, by_duty in places:
        if until is not None and start is not None and until <= start:
            break
        terms = by_duty.get(duty)
        if terms is not None and not terms.relieved:
            found.append(_Asked(terms, stay, until))
        if not found and duty not in CONTRACTORS_DUTIES:
            break
    return found


def repair_untested(item: Item, done: Done | None) -> bool:
    """Whether the item was repaired and has not passed since, so that it must be tested before its return."""
    if item.condition is not Condition.REPAIRED:
        return False
    return done is None or (item.since is not None and done.on < item.since)


def new_to_service(item: Item, duty: Duty) -> date | None:
    """Return the day from which the first interval of a new item counts; None where it is not new or not known."""
    return item.since if item.condition is Condition.NEW and duty in CONTRACTORS_DUTIES else None


def _basis(asked: _Asked, start: date) -> Basis | None:
    """Return the date that one stay asks for, by the rulebook and the overrides made there; None without interval."""
    terms, stay, until = asked
    overrides = _in_force(stay.overrides, terms.duty) if stay.overrides else []
    if terms.interval is None:
        if not overrides:
            return None
        last = overrides[-1]
        return Basis(add_interval(start, last.interval), last.interval, terms, stay.exposure, last, until=until)
    decided = strictest = Basis(add_interval(start, terms.interval), terms.interval, terms, stay.exposure, until=until)
    for override in overrides:
        decided = _overridden(strictest, override, start)
        strictest = min(strictest, decided, key=lambda each: each.due)
    return decided


def _overridden(without: Basis, override: Override, start: date) -> Basis:
    """Return the date by an override, where `without` is what holds when it lapses."""
    longest = without.terms.longest
    cut = longest is not None and add_interval(start, longest) < add_interval(start, override.interval)
    interval = longest if cut and longest is not None else override.interval
    due = add_interval(start, interval)
    if due > without.due >= override.review_on:
        return replace(without, lapsed=override)
    reviewed = due > override.review_on > without.due
    return replace(
        without, due=override.review_on if reviewed else due, interval=interval, override=override, cut=cut,
        reviewed=reviewed, lapsed=None,
    )  # fmt: skip


def _in_force(overrides: Iterable[Override], duty: Duty) -> list[Override]:
    """Return the overrides that count for a duty: the latest approved for the site, the area and the item."""
    latest: dict[Scope, Override] = {}
    for each in sorted(overrides, key=lambda each: (each.approved_on, -each.interval.length)):
        if each.duty is duty:
            latest[each.scope] = each
    return [latest[scope] for scope in sorted(latest)]
