"""One finding per check: what was measured, the limit it was held against, and the sentence that says why."""

from decimal import Decimal
from functools import lru_cache
from typing import Final

from register.domain.asked import Asked
from register.domain.items import Item
from register.domain.limits import Limit, NoLimit, Unsettled, cite, compare, limit_for, too_high
from register.domain.measures import Measure
from register.domain.places import LOOK, place_heading
from register.domain.records import Finding, Place, Reading
from register.domain.rulebook import Rulebook
from register.domain.words import Bound, Check, Result

NOTHING_WRONG: Final = "nothing wrong seen"
TRY_AGAIN: Final = "no reading. Try the other set-up, and enter what it gives."


def look_finding(look: Result, asked: Asked | None) -> Finding:
    """Return the finding of the look: it passes when nothing wrong was seen."""
    return look_held_against(cite(asked.source) if asked else "common practice, no source", look)


@lru_cache(maxsize=256)
def look_held_against(source: str, look: Result) -> Finding:
    """Return the finding of the look by where its rule stands, as it is told anew of a record that was kept."""
    said = "nothing wrong was seen" if look is Result.PASS else "something wrong was seen, which fails the item"
    return Finding(LOOK, None, NOTHING_WRONG, look, source, f"Look: {said} ({source}).")


def reading_finding(
    reading: Reading, place: Place, item: Item, rulebook: Rulebook, asked: Asked | None
) -> Finding | str:
    """Return the finding of one reading, or a sentence where there is nothing to judge it by and nobody asked for it.

    `asked` is what the reading answers to; None for a reading beyond what was asked.
    """
    limit = limit_for(place, item, rulebook)
    heading = place_heading(place, item.safety_switch.rated_residual_ma if item.safety_switch else None)
    if isinstance(limit, Limit):
        return _judged(place, reading.measure, limit, heading)
    if isinstance(limit, Unsettled) and limit.must_trip and reading.measure.bound is Bound.NO_TRIP:
        source = cite(limit.must_trip.source, limit.must_trip.others)
        why = f"{heading}: no trip. Of whatever type, a safety switch must trip there ({source})."
        return Finding(place, reading.measure, "must trip", Result.FAIL, source, why)
    if isinstance(limit, NoLimit) and asked is None:
        return f"{heading}: {reading.measure} was not judged. {limit.why}"
    why = f"{heading}: {reading.measure} can't be judged. {limit.why}"
    return Finding(place, reading.measure, "", Result.INCOMPLETE, cite(asked.source) if asked else "", why)


def _judged(place: Place, measure: Measure, limit: Limit, heading: str) -> Finding:
    result = compare(measure, limit)
    source = limit.source
    if result is Result.INCOMPLETE:
        why = f"{heading}: {_undecided(measure, limit)}"
    else:
        why = f"{heading}: {_passes(measure, limit) if result is Result.PASS else _fails(measure, limit)} ({source})."
    return Finding(place, measure, limit.words, result, source, why, limit.least, limit.most)


def _passes(measure: Measure, limit: Limit) -> str:
    if limit.line.must_hold:
        return "no trip, as it must be"
    if limit.line.check is Check.POLARITY:
        return "right"
    one_edge = limit.most if limit.least is None else limit.least if limit.most is None else None
    if one_edge is None:
        return f"{measure} is within the limits: {limit.words}"
    return f"{measure} is within the limit of {limit.value_words(one_edge)}"


def _fails(measure: Measure, limit: Limit) -> str:
    if limit.line.must_hold:
        return f"it tripped ({measure}), but must not trip"
    if limit.line.check is Check.POLARITY:
        return "wrong, but must be right"
    if measure.value is None:
        reach = "in" if limit.line.check is Check.TRIP_TIME else "at"
        return f"the switch did not trip; it must, {reach} {limit.words}"
    return f"{measure} is {_side(measure, measure.value, limit)}"


def _side(measure: Measure, value: Decimal, limit: Limit) -> str:
    """Say on which side of which edge a failing value lies."""
    high = measure.bound is Bound.ABOVE or too_high(value, limit)
    edge = limit.most if high else limit.least
    assert edge is not None
    if measure.bound is Bound.EXACT and value == edge:
        return f"not {'less' if high else 'more'} than {limit.value_words(edge)}"
    return f"{'above the limit' if high else 'below the least'} of {limit.value_words(edge)}"


def _undecided(measure: Measure, limit: Limit) -> str:
    if measure.bound is Bound.NO_READING:
        return TRY_AGAIN
    if limit.line.must_hold:
        return f"{measure} does not say whether it held. Enter “no trip” if it did, or the time at which it tripped."
    return (
        f"{measure} does not decide it: the limit is {limit.words}, and the instrument's range ended before it. "
        "Measure again on another range."
    )
