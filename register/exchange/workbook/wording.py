"""Words of the register as they stand in the owner's sheets: starting with a capital, whole, and never a code."""

from enum import StrEnum
from functools import lru_cache
from typing import Final

from register.domain.intervals import Interval, Occasion, occasion_words
from register.domain.items import SafetySwitch
from register.domain.measures import plain_number
from register.domain.places import CURRENT_WORDS, place_words
from register.domain.records import Finding, Place
from register.domain.rulebook import Confidence
from register.domain.words import Bound, Check, Delay, Duty, Result, SetUp, Standing, SwitchType, TestCurrent, spoken
from register.services.owners.rows import RecordRow, RegisterRow, ReportedItem

_TRUST: Final = {
    Confidence.READ: "Read in the text itself",
    Confidence.RESTATED: "Restated second-hand",
    Confidence.MEMORY: "From memory",
    Confidence.DISPUTED: "Sources disagree",
}

_OWN_DUTIES: Final = {
    Duty.BUTTON_PRESS: (
        "Press the test button: the switch must trip, and reset afterwards. If it doesn't, take it out of use at once."
    ),
    Duty.USER_CHECK: "Look over case, cord and plug. Don't use it if anything is damaged, loose or burnt.",
    Duty.LOOK_BEFORE_HIRE: "Look it over and see that its tag is in date before it goes out on hire.",
}

MEANING: Final = {
    Standing.OVERDUE: "The date of a test has passed. Do not use these items until they have passed it.",
    Standing.WITHDRAWN: "Out of service. Do not use these items; the sheet Withdrawn says what brings each one back.",
    Standing.UNTESTED: "No complete test is on record. Do not use these items before they have passed one.",
    Standing.DUE_SOON: "A test falls due shortly. They may be used up to its date and on that day.",
    Standing.IN_SERVICE: "In date.",
    Standing.REMOVED: "Gone for good, and kept here for the record only.",
}
"""What each standing means to the owner, in the order in which he must heed them."""

NO_SET_UP: Final = "set-up not noted"
SET_UPS: Final = {
    SetUp.TESTER_FEEDS_DEVICE: "tester feeds device",
    SetUp.DEVICE_FEEDS_TESTER: "device feeds tester",
}
UNREADABLE: Final = "rated residual current not readable"
AS_FOUND: Final = "Verdict as found in earlier papers; no readings came with it."
SUPERSEDED: Final = "Superseded"
LATE: Final = "Late"
IN_TIME: Final = "In time"


def capital(text: str) -> str:
    """Return the text with its first letter as a capital, the rest as it is."""
    return text[:1].upper() + text[1:]


@lru_cache(maxsize=256)
def word(code: StrEnum) -> str:
    """Return a word of the register as it stands alone in a cell: "Portable safety switch"."""
    return capital(spoken(code))


def standing_word(standing: Standing) -> str:
    """Return the word for where an item stands: "Due soon"."""
    return word(standing)


def verdict_word(result: Result) -> str:
    """Return the word for a verdict or for the result of one check: "Fail"."""
    return word(result)


def trust_words(confidence: Confidence) -> str:
    """Return how far a rule can be trusted, as a short sentence without its full stop."""
    return _TRUST[confidence]


def own_duty_words(duty: Duty) -> str:
    """Return what a user has to do, as an instruction."""
    return _OWN_DUTIES.get(duty, word(duty))


def interval_words(written: str) -> str:
    """Return an interval or occasion as it stands alone in a cell: "3 months", "Before each use"."""
    if written in {occasion.value for occasion in Occasion}:
        return capital(occasion_words(Occasion(written)))
    return Interval.parse(written).words if written else ""


def instrument_words(record: RecordRow) -> str:
    """Return with what a record was measured and how the safety switch was connected to it.

    An instrument that is called like a way of connecting is told from one: then it is said that none was noted.
    """
    set_up = SET_UPS[record.set_up] if record.set_up is not None else ""
    if not record.instrument:
        return capital(set_up)
    if not set_up and record.instrument.split("; ")[-1].casefold() in {*SET_UPS.values(), NO_SET_UP}:
        set_up = NO_SET_UP
    return f"{record.instrument}; {set_up}" if set_up else record.instrument


def item_words(item: ReportedItem) -> str:
    """Return what an item is called: its description, or its kind where it has none."""
    return item.description or word(item.kind)


def duties_words(duties: tuple[Duty, ...]) -> str:
    """Return several duties in one cell: "Inspection and test; operating-time test"."""
    return capital("; ".join(spoken(duty) for duty in duties))


def rating_words(row: RegisterRow) -> str:
    """Return what the rating plate says: "30 mA, type II, waveform A, 10 A, 2 outlets"."""
    parts = list(_switch_words(row.safety_switch)) if row.safety_switch is not None else []
    if row.rated_current_a is not None:
        parts.append(f"{plain_number(row.rated_current_a)} A")
    if row.outlets > 1:
        parts.append(f"{row.outlets} outlets")
    return capital(", ".join(parts))


def _switch_words(switch: SafetySwitch) -> list[str]:
    rated = switch.rated_residual_ma
    parts = [UNREADABLE if rated is None else f"{plain_number(rated)} mA"]
    if switch.type is not None:
        parts.append("general IEC type" if switch.type is SwitchType.IEC else f"type {switch.type.value}")
    if switch.delay is Delay.SELECTIVE:
        parts.append("selective")
    if switch.waveform is not None:
        parts.append(f"waveform {switch.waveform.value}")
    return parts


def check_words(place: Place) -> str:
    """Return what was checked: "Trip time", with the test current where it is not the ordinary one."""
    if place.test_current in {None, TestCurrent.AC}:
        return word(place.check)
    return f"{word(place.check)}, {CURRENT_WORDS[place.test_current]} current"


def reading_words(finding: Finding) -> str:
    """Return the reading as the instrument gave it, "61.2 ms", or what the look found."""
    if finding.measure is not None:
        return str(finding.measure)
    if finding.place.check is Check.LOOK:
        return "nothing wrong seen" if finding.result is Result.PASS else "something wrong seen"
    return "no reading"


def against_limit(finding: Finding) -> str:
    """Return a reading with its place and the limit it was held against, in one line."""
    if finding.place.check is Check.LOOK:
        return f"Look: {reading_words(finding)}"
    line = f"{capital(place_words(finding.place))}: {reading_words(finding)}"
    return f"{line}, limit {finding.limit}" if finding.limit else line


def bound_words(finding: Finding) -> str:
    """Return how the value bounds the true one: "=", "<", ">", "no trip", "no reading"; empty for a look."""
    if finding.measure is None:
        return "" if finding.place.check is Check.LOOK else "no reading"
    held = finding.measure.bound in {Bound.NO_TRIP, Bound.NO_READING}
    return spoken(finding.measure.bound) if held else finding.measure.bound.value


def recorded_verdict(record: RecordRow) -> str:
    """Return the verdict of a record, or that another has taken its place."""
    return SUPERSEDED if record.superseded else verdict_word(record.verdict)


def record_remarks(record: RecordRow) -> str:
    """Return everything worth knowing of a record beside its verdict, in sentences."""
    parts = []
    if record.superseded:
        parts.append(f"{record.superseded} It read: {spoken(record.verdict)}.")
    if record.as_found:
        parts.append(AS_FOUND)
    parts.append(record.remarks)
    return " ".join(part for part in parts if part)
