"""The words of the trade that are stored and written: each member's value is its code in JSON and in the register."""

from enum import StrEnum
from typing import Final


class Kind(StrEnum):
    """What an item is."""

    PORTABLE_SAFETY_SWITCH = "portable-safety-switch"
    FIXED_SAFETY_SWITCH = "fixed-safety-switch"
    APPLIANCE_CLASS_1 = "appliance-class-1"
    APPLIANCE_CLASS_2 = "appliance-class-2"
    CORD_SET = "cord-set"
    EXTENSION_LEAD = "extension-lead"
    PORTABLE_OUTLET_DEVICE = "portable-outlet-device"
    ISOLATING_TRANSFORMER = "isolating-transformer"


class Duty(StrEnum):
    """One thing that must be done to an item again and again."""

    INSPECTION_AND_TEST = "inspection-and-test"
    OPERATING_TIME = "operating-time"
    FORMAL_VISUAL = "formal-visual"
    BUTTON_PRESS = "button-press"
    USER_CHECK = "user-check"
    LOOK_BEFORE_HIRE = "look-before-hire"


CONTRACTORS_DUTIES: Final = frozenset({Duty.INSPECTION_AND_TEST, Duty.OPERATING_TIME, Duty.FORMAL_VISUAL})
"""Duties that only a competent person does; all others are the user's own."""


class Check(StrEnum):
    """One thing looked at or measured. All but the look are quantities of readings."""

    LOOK = "look"
    TRIP_TIME = "trip-time"
    TRIP_CURRENT = "trip-current"
    EARTH_RESISTANCE = "earth-resistance"
    INSULATION_RESISTANCE = "insulation-resistance"
    LEAKAGE_CURRENT = "leakage-current"
    POLARITY = "polarity"


class Unit(StrEnum):
    """Units of readings. Polarity has none."""

    MILLISECOND = "ms"
    MILLIAMPERE = "mA"
    OHM = "ohm"
    MEGOHM = "Mohm"
    NONE = ""


class Bound(StrEnum):
    """How a printed value bounds the true one.

    *No trip*: the current flowed and the switch held. *No reading*: the set-up gave nothing.
    """

    EXACT = "="
    BELOW = "<"
    ABOVE = ">"
    NO_TRIP = "no-trip"
    NO_READING = "no-reading"


class Result(StrEnum):
    """The verdict on a record, and the outcome of each of its checks."""

    PASS = "pass"  # noqa: S105 - not a password
    FAIL = "fail"
    INCOMPLETE = "incomplete"


class Standing(StrEnum):
    """Where an item stands on a given day."""

    IN_SERVICE = "in-service"
    DUE_SOON = "due-soon"
    OVERDUE = "overdue"
    WITHDRAWN = "withdrawn"
    REMOVED = "removed"
    UNTESTED = "untested"


class Condition(StrEnum):
    """What the register knows of an item's state that changes what is due."""

    IN_USE = "in-use"
    NEW = "new"
    REPAIRED = "repaired"
    STORED = "stored"
    OUT_OF_SCOPE = "out-of-scope"


class SwitchType(StrEnum):
    """The declared type of a safety switch: I to IV of AS/NZS 3190, or built to the general IEC table."""

    I = "I"  # noqa: E741 - the trade's own numeral
    II = "II"
    III = "III"
    IV = "IV"
    IEC = "iec"


class Delay(StrEnum):
    """Whether a safety switch trips at once or waits so that another trips first."""

    GENERAL = "general"
    SELECTIVE = "selective"


class Waveform(StrEnum):
    """The residual currents that a safety switch is made to see."""

    AC = "AC"
    A = "A"
    F = "F"
    B = "B"


class TestCurrent(StrEnum):
    """The waveform of the current that the tester sends."""

    __test__ = False  # pytest: not a test class

    AC = "ac"
    HALF_WAVE = "half-wave"
    DC = "dc"


class SetUp(StrEnum):
    """How the safety switch was connected."""

    TESTER_FEEDS_DEVICE = "tester-feeds-device"
    DEVICE_FEEDS_TESTER = "device-feeds-tester"


class WithdrawalReason(StrEnum):
    """Why an item was taken out of service."""

    FAILED = "failed"
    DAMAGED = "damaged"
    OVERDUE = "overdue"


_SPOKEN: Final[dict[str, str]] = {
    Kind.APPLIANCE_CLASS_1: "Class I appliance",
    Kind.APPLIANCE_CLASS_2: "Class II appliance",
    Duty.BUTTON_PRESS: "test-button press",
    Duty.FORMAL_VISUAL: "formal visual check",
    Duty.OPERATING_TIME: "operating-time test",
}


def counted(number: int, one: str, many: str = "") -> str:
    """Return a number with its noun: "1 item", "2,140 items"; `many` where the plural is no mere "s"."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def spoken(word: StrEnum) -> str:
    """Return the word as it stands in a sentence, in lower case unless it is a name: "cord set"."""
    return _SPOKEN.get(word) or word.replace("-", " ")


def first_word(word: StrEnum) -> str:
    """Return the word as it begins a sentence; names keep their capitals: "Cord set", "Class II appliance"."""
    said = spoken(word)
    return said[:1].upper() + said[1:]
