"""What one person saw and measured on one item at one moment, and which readings were asked for."""

from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from typing import Final

from register.domain.measures import Measure
from register.domain.words import Check, Duty, Result, SetUp, TestCurrent

HALF_CYCLES: Final = (0, 180)
MULTIPLES: Final = (Decimal("0.5"), Decimal(1), Decimal(2), Decimal(5))


@dataclass(frozen=True, slots=True)
class Reading:
    """One measured value and its place. `outlet` counts from 1; None for readings of the item as a whole."""

    check: Check
    measure: Measure
    outlet: int | None = None
    half_cycle: int | None = None
    multiple: Decimal | None = None
    test_current: TestCurrent | None = None


@dataclass(frozen=True, slots=True)
class ReadingPlan:
    """Which readings a site asks for beyond the least that the rulebook asks."""

    multiples: tuple[Decimal, ...] = (Decimal(1),)
    half: bool = False
    ramp: bool = False


@dataclass(frozen=True, slots=True)
class TestRecord:
    """What was done to one item. `look` is None where nobody looked; `tested_at` where only the day is known."""

    __test__ = False  # pytest: not a test class

    duties: tuple[Duty, ...]
    readings: tuple[Reading, ...]
    look: Result | None
    tested_on: date
    tested_at: time | None = None
    set_up: SetUp | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """Where a check is made: which check, on which outlet, half-cycle, multiple and test current."""

    check: Check
    outlet: int | None = None
    half_cycle: int | None = None
    multiple: Decimal | None = None
    test_current: TestCurrent | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """The outcome of one check against its limit. `limit`, `source` and `why` are the words that are shown.

    `least` and `most` are that limit in the measure's own unit, None where it has no such side; `measure` is
    None for the look. Together they keep the limit a record was judged by, whatever becomes of the rulebook.
    """

    place: Place
    measure: Measure | None
    limit: str
    result: Result
    source: str
    why: str
    least: Decimal | None = None
    most: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict on a record: fail if any check fails, else incomplete if any is missing or undecided, else pass.

    `why` is the sentence that names what decided it. `notes` are sentences on readings that decided nothing.
    """

    verdict: Result
    findings: tuple[Finding, ...]
    missing: tuple[Place, ...]
    why: str
    notes: tuple[str, ...] = ()
