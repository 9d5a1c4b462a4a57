"""Moments as they are kept, in a column for the day and one for the time, which nobody has to give."""

from datetime import date, time

from register.domain.standing import Moment


def moment(on: date, at: str | None) -> Moment:
    """Return a moment from the two columns in which it is kept."""
    return Moment(on, time.fromisoformat(at) if at else None)


def later(first: Moment, second: Moment) -> Moment:
    """Return the later of two moments; of the same day the one after which fewer others are sure to be."""
    if first.on != second.on:
        return max(first, second, key=lambda each: each.on)
    if first.at is None or second.at is None:
        return Moment(first.on)
    return Moment(first.on, max(first.at, second.at))
