"""Which limit of a rulebook a reading is held against, and on which side of it a value lies."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property, lru_cache

from register.domain.items import SAFETY_SWITCHES, Item, SafetySwitch
from register.domain.measures import SYMBOL, TRIPS, WRONG, Measure, plain_number
from register.domain.places import CURRENT_WORDS, a_kind
from register.domain.plate import SEES, contradiction, delay_of
from register.domain.records import Place
from register.domain.rulebook import LimitLine, Other, Rulebook, Source
from register.domain.words import Bound, Check, Kind, Result, TestCurrent, Waveform, spoken


@dataclass(frozen=True)
class Limit:
    """A limit line as it holds for one item.

    `least` and `most` are in the reading's own unit, worked out for the rated residual current where the line goes
    by it; None where the limit has no such side.
    """

    line: LimitLine
    least: Decimal | None
    most: Decimal | None

    @cached_property
    def source(self) -> str:
        """Where the limit stands, as it is cited."""
        return cite(self.line.source, self.line.others)

    @cached_property
    def words(self) -> str:
        """The limit in words: "at most 300 ms", "more than 15 mA, at most 30 mA", "must not trip", "right"."""
        if self.line.must_hold:
            return "must not trip"
        if self.line.check is Check.POLARITY:
            return "right"
        parts = []
        if self.least is not None:
            parts.append(f"{'at least' if self.line.at_least_passes else 'more than'} {self.value_words(self.least)}")
        if self.most is not None:
            parts.append(f"{'at most' if self.line.at_most_passes else 'less than'} {self.value_words(self.most)}")
        return ", ".join(parts)

    def value_words(self, value: Decimal) -> str:
        """Return a number with the unit of this limit: "300 ms"."""
        return f"{plain_number(value)} {SYMBOL[self.line.unit]}"


@dataclass(frozen=True, slots=True)
class Unsettled:
    """No limit can be named until something is put right. `why` is the sentence that says what.

    `must_trip` is set where every limit that may hold asks the switch to trip: one that didn't has failed anyway.
    """

    why: str
    must_trip: LimitLine | None = None


@dataclass(frozen=True, slots=True)
class NoLimit:
    """There is nothing to hold the reading against. `why` is the sentence that says so."""

    why: str


def limit_for(place: Place, item: Item, rulebook: Rulebook) -> Limit | Unsettled | NoLimit:
    """Return the limit for a check at a place: the rulebook's first line that fits, worked out for the item.

    A trip without a test current is one on a.c. Nothing else is guessed: where the rating plate contradicts itself,
    or a line goes by something it doesn't say, the limit is unsettled.
    """
    if place.check not in TRIPS:
        return _kinds_limit(place, item.kind, rulebook)
    lines = (line for line in rulebook.limits if _about(line, place, item.kind))
    return _switch_limit(lines, place, item.safety_switch or SafetySwitch(), rulebook)


@lru_cache(maxsize=4_096)
def _kinds_limit(place: Place, kind: Kind, rulebook: Rulebook) -> Limit | NoLimit:
    for line in rulebook.limits:
        if _about(line, place, kind):
            return Limit(line, line.at_least, line.at_most)
    return NoLimit(f"The rulebook {rulebook.id} has no limit for the {spoken(place.check)} of {a_kind(kind)}.")


def cite(source: Source, others: Iterable[Other] = ()) -> str:
    """Return where a value stands, as `Source.words` says it, and what other sources say instead."""
    return "; ".join([source.words, *(f"{other.value} in {other.source}" for other in others)])


def compare(measure: Measure, limit: Limit) -> Result:
    """Return on which side of the limit a value lies; incomplete where its bound leaves that open.

    *No reading* decides nothing. *No trip* passes where the switch must hold and fails everywhere else; a trip
    fails where it must hold, and a bare `>` there doesn't say whether it held.
    """
    if measure.bound is Bound.NO_READING:
        return Result.INCOMPLETE
    if limit.line.check is Check.POLARITY:
        return Result.FAIL if measure.word == WRONG else Result.PASS
    if limit.line.must_hold:
        return _held(measure.bound)
    return Result.FAIL if measure.value is None else _value(measure.value, measure.bound, limit)


def _value(value: Decimal, bound: Bound, limit: Limit) -> Result:
    if bound is Bound.BELOW:
        return _anything_below(value, limit)
    if bound is Bound.ABOVE:
        return _anything_above(value, limit)
    return Result.FAIL if too_low(value, limit) or too_high(value, limit) else Result.PASS


def too_low(value: Decimal, limit: Limit) -> bool:
    """Return whether a value lies below the limit, its edge included where the edge does not pass."""
    if limit.least is None:
        return False
    return value < limit.least or (value == limit.least and not limit.line.at_least_passes)


def too_high(value: Decimal, limit: Limit) -> bool:
    """Return whether a value lies above the limit, its edge included where the edge does not pass."""
    if limit.most is None:
        return False
    return value > limit.most or (value == limit.most and not limit.line.at_most_passes)


def _held(bound: Bound) -> Result:
    if bound is Bound.NO_TRIP:
        return Result.PASS
    return Result.INCOMPLETE if bound is Bound.ABOVE else Result.FAIL


def _anything_below(value: Decimal, limit: Limit) -> Result:
    """Judge a value of which only is known that it is less than this one."""
    if limit.least is not None:
        return Result.FAIL if value <= limit.least else Result.INCOMPLETE
    return Result.PASS if limit.most is not None and value <= limit.most else Result.INCOMPLETE


def _anything_above(value: Decimal, limit: Limit) -> Result:
    """Judge a value of which only is known that it is more than this one."""
    if limit.most is not None:
        return Result.FAIL if value >= limit.most else Result.INCOMPLETE
    return Result.PASS if limit.least is not None and value >= limit.least else Result.INCOMPLETE


def _about(line: LimitLine, place: Place, kind: Kind) -> bool:
    """Return whether a line is about this check on this kind of item, whatever its rating plate says.

    A trip limit made for safety switches holds for one built into another kind as well; nothing else does.
    """
    kinds = {kind}
    if place.check in TRIPS and kind not in SAFETY_SWITCHES:
        kinds.add(Kind.PORTABLE_SAFETY_SWITCH)
    return (
        line.check is place.check
        and (not line.kinds or not kinds.isdisjoint(line.kinds))
        and line.multiple in {None, place.multiple}
        and line.test_current in {None, place.test_current or TestCurrent.AC}
    )


def _switch_limit(
    lines: Iterable[LimitLine], place: Place, switch: SafetySwitch, rulebook: Rulebook
) -> Limit | Unsettled | NoLimit:
    rated = switch.rated_residual_ma
    if rated is None:
        return _unknown("rated residual current")
    wrong = contradiction(switch)
    if wrong:
        return Unsettled(f"{wrong} Read the rating plate again and correct the item; until then it can't be judged.")
    obstacle = _current_obstacle(place.test_current or TestCurrent.AC, switch.waveform)
    if obstacle is not None:
        return obstacle
    return _line_for(lines, switch, rated) or NoLimit(
        f"The rulebook {rulebook.id} has no limit for such a {spoken(place.check)} of a switch of "
        f"{plain_number(rated)} mA."
    )


def _current_obstacle(current: TestCurrent, waveform: Waveform | None) -> Unsettled | NoLimit | None:
    """Return why a reading made with this current says nothing of the switch; None where it does.

    Every switch is made to see a.c.; the other currents are for those whose plate says so.
    """
    if current is TestCurrent.AC:
        return None
    if waveform is None:
        return _unknown("waveform (AC, A, F or B)")
    if current in SEES[waveform]:
        return None
    return NoLimit(
        f"A switch for {waveform.value} currents is not made to trip on {CURRENT_WORDS[current]} current: measure it "
        "with a.c."
    )


def _line_for(lines: Iterable[LimitLine], switch: SafetySwitch, rated: Decimal) -> Limit | Unsettled | None:
    for line in lines:
        if not _for_rating(line, switch, rated):
            continue
        if line.types and switch.type is None:
            return _unknown("type (I, II, III, IV or IEC)", must_trip=line)
        if line.waveforms and switch.waveform is None:
            return _unknown("waveform (AC, A, F or B)")
        if (not line.types or switch.type in line.types) and (not line.waveforms or switch.waveform in line.waveforms):
            factor = rated if line.of_rated else Decimal(1)
            return Limit(line, _times(line.at_least, factor), _times(line.at_most, factor))
    return None


def _for_rating(line: LimitLine, switch: SafetySwitch, rated: Decimal) -> bool:
    return (
        (line.rated_above is None or rated > line.rated_above)
        and (line.rated_up_to is None or rated <= line.rated_up_to)
        and (not line.delays or delay_of(switch) in line.delays)
    )


def _unknown(datum: str, *, must_trip: LimitLine | None = None) -> Unsettled:
    return Unsettled(
        f"The switch's {datum} is not known, and the limit goes by it: read the rating plate and enter it, or "
        "withdraw the item.",
        must_trip,
    )


def _times(value: Decimal | None, factor: Decimal) -> Decimal | None:
    return None if value is None else value * factor
