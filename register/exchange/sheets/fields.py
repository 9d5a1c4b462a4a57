"""What a column of a spreadsheet can be taken for."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Final

from register.domain.words import Check, TestCurrent


class Field(StrEnum):
    """One thing that a column can say. The values are the words of a mapping file."""

    TAG = "tag"
    SITE = "site"
    SITE_NAME = "site-name"
    OWNER = "owner"
    AREA = "area"
    AREA_ENVIRONMENT = "area-environment"
    ENVIRONMENT = "environment"
    KIND = "kind"
    APPLIANCE_CLASS = "appliance-class"
    DESCRIPTION = "description"
    SERIAL = "serial"
    OUTLETS = "outlets"
    RATED_RESIDUAL = "rated-residual"
    SWITCH_TYPE = "switch-type"
    WAVEFORM = "waveform"
    DELAY = "delay"
    RATED_CURRENT = "rated-current"
    EARLIER_TAGS = "earlier-tags"
    SINCE = "since"
    STANDING = "standing"
    REMOVED_ON = "removed-on"
    MOVED_IN_USE = "moved-in-use"
    PROTECTED_BY_SWITCH = "protected-by-switch"
    RISK_FACTOR = "risk-factor"
    TESTED_ON = "tested-on"
    TESTED_AT = "tested-at"
    TESTER = "tester"
    INSTRUMENT = "instrument"
    WORK_DONE = "work-done"
    LOOK = "look"
    RESULT = "result"
    SET_UP = "set-up"
    REMARKS = "remarks"
    READING = "reading"
    IGNORE = "ignore"


DATES: Final = frozenset({Field.SINCE, Field.REMOVED_ON, Field.TESTED_ON})
OF_TESTS: Final = frozenset({
    Field.TESTED_ON, Field.TESTED_AT, Field.TESTER, Field.INSTRUMENT, Field.WORK_DONE, Field.LOOK, Field.RESULT,
    Field.SET_UP, Field.READING,
})  # fmt: skip
"""What is said of one test; with a number of the test there can be several of each in a row."""

MAKES_ITEMS: Final = frozenset({
    Field.AREA, Field.KIND, Field.APPLIANCE_CLASS, Field.DESCRIPTION, Field.SERIAL, Field.ENVIRONMENT, Field.OUTLETS,
    Field.RATED_RESIDUAL, Field.RATED_CURRENT, Field.EARLIER_TAGS, Field.STANDING, Field.SINCE, Field.REMOVED_ON,
})  # fmt: skip
"""Fields of which one is enough to see that a sheet describes items, and not only tests of items."""

MOST_TESTS: Final = 20


@dataclass(frozen=True, slots=True)
class ReadingHead:
    """What the head of a column of readings says: the quantity and, where given, the place and unit.

    `both_halves` marks a column with two times in a cell, that of the first half-cycle before a slash.
    """

    check: Check
    outlet: int | None = None
    half_cycle: int | None = None
    both_halves: bool = False
    multiple: Decimal | None = None
    test_current: TestCurrent | None = None
    unit: str | None = None


class DateStyle(StrEnum):
    """How dates are written as text. The values are the words of a mapping file."""

    YEAR_MONTH_DAY = "y-m-d"
    DAY_MONTH_YEAR = "d/m/y"
    MONTH_DAY_YEAR = "m/d/y"
    DAY_NAME_YEAR = "d-mon-y"
    NAME_DAY_YEAR = "mon-d-y"
    SERIAL = "serial"


@dataclass(frozen=True, slots=True)
class ColumnUse:
    """What a column is taken for. `test` counts the tests of a row back from the latest, which is 1."""

    field: Field
    test: int = 1
    reading: ReadingHead | None = None
    date_styles: tuple[DateStyle, ...] = ()

    def __str__(self) -> str:
        if self.reading:
            return spoken_head(self.reading)
        return self.field.value if self.test == 1 else f"{self.field.value}, test {self.test}"


def spoken_head(head: ReadingHead) -> str:
    """Return what a column of readings holds, in words: "trip-time, outlet 2, 180°, 5×"."""
    parts = [head.check.value]
    if head.outlet is not None:
        parts.append(f"outlet {head.outlet}")
    if head.both_halves:
        parts.append("0° and 180°")
    elif head.half_cycle is not None:
        parts.append(f"{head.half_cycle}°")
    if head.multiple is not None:
        parts.append(f"{head.multiple:f}×")
    if head.test_current is not None:
        parts.append(head.test_current.value)
    return ", ".join(parts)
