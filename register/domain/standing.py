"""Where an item stands on a day, and when a withdrawn one may come back."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, time
from typing import Final

from register.domain.schedule import DutyDue
from register.domain.words import CONTRACTORS_DUTIES, Duty, Standing, WithdrawalReason

SOON_DAYS: Final = 14
"""Within so many days of its date an item is due soon, unless the register's settings say otherwise."""


def standing_on(
    today: date,
    *,
    removed: bool,
    withdrawn: bool,
    untested: bool,
    next_due: date | None,
    soon_days: int = SOON_DAYS,
) -> Standing:
    """Return where an item stands: `next_due` and `untested` speak of the contractor's duties only.

    An item may be used on its due date and is overdue from the next day.
    """
    if removed:
        return Standing.REMOVED
    if withdrawn:
        return Standing.WITHDRAWN
    if next_due is not None and next_due < today:
        return Standing.OVERDUE
    if untested:
        return Standing.UNTESTED
    if next_due is not None and (next_due - today).days <= soon_days:
        return Standing.DUE_SOON
    return Standing.IN_SERVICE


def duty_standing(today: date, duty: DutyDue, *, soon_days: int = SOON_DAYS) -> Standing:
    """Return where one duty stands on a day, by itself."""
    return standing_on(
        today, removed=False, withdrawn=False, untested=duty.first_needed, next_due=duty.due, soon_days=soon_days
    )


@dataclass(frozen=True, slots=True)
class Moment:
    """A day, and the time of day where it is known."""

    on: date
    at: time | None = None

    def after(self, other: "Moment") -> bool:
        """Whether this is surely later: on a later day, or the same day with both times known."""
        if self.on != other.on:
            return self.on > other.on
        return self.at is not None and other.at is not None and self.at > other.at


def still_needed(
    since: Moment,
    reason: WithdrawalReason,
    duties: Iterable[DutyDue],
    passed: Mapping[Duty, Moment],
) -> tuple[Duty, ...]:
    """Return the contractor's duties that keep a withdrawn item out of service; empty when it may come back.

    After a failure or damage each of them must have passed after the withdrawal; after a withdrawal for being
    overdue only those that were overdue or never done when the item was last tested, or else when it was withdrawn.
    Nothing that passed before the withdrawal brings an item back.
    """
    later = {duty: each.on for duty, each in passed.items() if duty in CONTRACTORS_DUTIES and each.after(since)}
    waiting = [each for each in duties if each.contractors and not each.terms.relieved and each.duty not in later]
    if reason is WithdrawalReason.OVERDUE:
        day = max(later.values(), default=since.on)
        overdue = [each for each in waiting if each.first_needed or (each.due is not None and each.due < day)]
        if overdue or later:
            waiting = overdue
    return tuple(each.duty for each in waiting)
