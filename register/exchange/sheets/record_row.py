"""The tests that a row tells of: the latest, and those before it where it has columns for them."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Final

from register.domain.measures import Measure, read_measure
from register.domain.records import Reading, TestRecord
from register.domain.words import Check, Duty, Result, SetUp
from register.errors import Refused
from register.exchange.sheets.cells import Broken, Value, text_of
from register.exchange.sheets.fields import Field, ReadingHead, spoken_head
from register.exchange.sheets.headings import Column
from register.exchange.sheets.row import NOTHING, RowCells
from register.services.intake.rows import IntakeRecord

_BETWEEN_DUTIES: Final = re.compile(r"\s*[+,;/]\s*")
_CLOCK: Final = re.compile(r"(\d{1,2})[:.](\d{2})(?::\d{2})?\s*(?:([ap])\.?m\.?)?", re.IGNORECASE | re.ASCII)
_COMMA_THOUSANDS: Final = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?")
_POINT_THOUSANDS: Final = re.compile(r"\d{1,3}(?:\.\d{3})+(?:,\d+)?")
_NUMBER: Final = re.compile(r"\d[\d.,]*")
_TRIPS: Final = frozenset({Check.TRIP_TIME, Check.TRIP_CURRENT})


@dataclass(frozen=True, slots=True)
class RowTest:
    """One test of a row, with the heading of its tag, and the heading and text of the cell of each reading.

    `sited` is whether the row itself says at which site it was, rather than what holds where no row does.
    """

    record: IntakeRecord
    tag_heading: str
    cells: tuple[tuple[str, str], ...]
    sited: bool


@dataclass(slots=True)
class _Said:
    """What the columns of one test say, while they are read."""

    day: date | None = None
    at: time | None = None
    duties: list[Duty] = field(default_factory=list)
    look: Result | None = None
    result: Result | None = None
    tester: str = ""
    instrument: str = ""
    set_up: SetUp | None = None
    readings: list[tuple[Column, Reading]] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    @property
    def tells_something(self) -> bool:
        """Whether there is more than a day and who tested."""
        return bool(self.duties or self.look or self.result or self.readings or self.remarks)


def read_tests(row: RowCells, tag: str, site: str, remarks: str) -> list[RowTest]:
    """Return the tests of a row. One in which anything is wrong is left out, with the problems kept.

    `remarks` are the row's; they go to its latest test.
    """
    found = []
    for number, columns in sorted(row.sheet.tests.items()):
        day = day_column(columns)
        if day is None or day.place in row.sheet.layout.dates_asked:
            continue
        before = len(row.problems)
        said = _read(row, columns)
        if any(problem.refused for problem in row.problems[before:]):
            continue
        if said.day is None:
            if said.tells_something:
                row.complain(day, "The row tells of a test but not on which day it was. Write in the day.")
            continue
        if not said.tells_something and row.sheet.layout.constants.result:
            said.result = Result(row.sheet.layout.constants.result)
        if said.tells_something:
            found.append(_test(row, tag, site, said, remarks if number == 1 else ""))
        else:
            row.complain(day, "The row gives a day but no result; this test was left out.", refused=False)
    return found


def day_column(columns: Sequence[Column]) -> Column | None:
    """Return the column with the day of a test; without one there is no test."""
    return next((each for each in columns if each.use and each.use.field is Field.TESTED_ON), None)


def _test(row: RowCells, tag: str, site: str, said: _Said, remarks: str) -> RowTest:
    constants = row.sheet.layout.constants
    assert said.day is not None
    record = TestRecord(
        duties=_duties(said),
        readings=tuple(reading for _, reading in said.readings),
        look=said.look,
        tested_on=said.day,
        tested_at=said.at,
        set_up=said.set_up,
    )
    return RowTest(
        IntakeRecord(
            place=row.place,
            tag=tag,
            site=site,
            record=record,
            as_found=said.result,
            tester=said.tester or constants.tester,
            instrument=said.instrument or constants.instrument,
            remarks="; ".join(filter(None, (remarks, *said.remarks))),
        ),
        row.sheet.single[Field.TAG].heading,
        tuple((column.heading, text_of(row.value(column))) for column, _ in said.readings),
        any(row.text(row.sheet.single.get(field)) for field in (Field.SITE, Field.SITE_NAME)),
    )


def _duties(said: _Said) -> tuple[Duty, ...]:
    """Return the duties that a test claims: those named, those its readings are of, or else inspection and test.

    A bare result never claims the operating-time test: nobody wrote down that the trip time was measured.
    """
    claimed = dict.fromkeys(said.duties)
    for _, reading in said.readings:
        claimed[Duty.OPERATING_TIME if reading.check in _TRIPS else Duty.INSPECTION_AND_TEST] = None
    return tuple(claimed) or (Duty.INSPECTION_AND_TEST,)


def _read(row: RowCells, columns: Sequence[Column]) -> _Said:
    said = _Said()
    for column in columns:
        value = row.value(column)
        if value is None or column.use is None:
            continue
        match column.use.field:
            case Field.READING:
                _reading(row, column, value, said)
            case Field.TESTED_ON:
                day = row.day(column)
                said.day, said.at = (day[0], said.at or day[1]) if day else (None, said.at)
            case Field.TESTED_AT:
                said.at = _clock(row, column, value)
            case Field.WORK_DONE:
                said.duties += _work(row, column)
            case Field.TESTER:
                said.tester = row.text(column)
            case Field.INSTRUMENT:
                said.instrument = row.text(column)
            case _:
                _word(row, column, said)
    return said


def _word(row: RowCells, column: Column, said: _Said) -> None:
    word = row.word(column)
    if word is None or column.use is None:
        return
    match column.use.field:
        case Field.RESULT:
            said.result = Result(word)
        case Field.LOOK:
            said.look = Result(word)
        case _:
            said.set_up = SetUp(word)


def _clock(row: RowCells, column: Column, value: Value) -> time | None:
    if isinstance(value, datetime):
        return value.time().replace(second=0, microsecond=0)
    if isinstance(value, time):
        return value.replace(second=0, microsecond=0)
    text = row.text(column)
    match = _CLOCK.fullmatch(text)
    if match:
        hour, minute, half = int(match[1]), int(match[2]), (match[3] or "").casefold()
        hour = hour % 12 + (12 if half == "p" else 0) if half else hour
        if hour <= time.max.hour and minute <= time.max.minute:
            return time(hour, minute)
    if text:
        row.complain(
            column, f"“{text}” is not a time of day such as 14:05; the test was taken without it.", refused=False
        )
    return None


def _work(row: RowCells, column: Column) -> list[Duty]:
    """Return the duties that a cell names: as a whole, or in parts such as "T&T + RCD"."""
    text = row.text(column)
    if not text or column.use is None:
        return []
    table = row.sheet.tables[Field.WORK_DONE]
    whole = table.match(text)
    words = [whole] if whole else [table.match(part) for part in _BETWEEN_DUTIES.split(text) if part]
    if all(word in table.choices for word in words):
        return [Duty(word) for word in words if word]
    row.complain_of_word(column, text, table)
    return []


def _reading(row: RowCells, column: Column, value: Value, said: _Said) -> None:
    head = column.use.reading if column.use else None
    text = text_of(value)
    if head is None or text.casefold() in NOTHING:
        return
    if isinstance(value, Broken):
        row.complain(column, f"{value.why[:1].upper()}{value.why[1:]}.")
        return
    if isinstance(value, (date, time)):
        row.complain(column, f"“{text}” is a date or time, where a reading should be. A program may have changed it.")
        return
    try:
        said.readings += [
            (column, reading) for reading in _readings(head, _plain(text, row.sheet.layout.decimal), said)
        ]
    except Refused as refused:
        _wrong_reading(row, column, head, text, refused)


def _wrong_reading(row: RowCells, column: Column, head: ReadingHead, text: str, refused: Refused) -> None:
    """Keep a reading that can't be: a word without any digit (“OK”) is left out, all else keeps the test out."""
    if head.check is not Check.POLARITY and not any(letter.isdigit() for letter in text):
        reason = f"“{text}” is a word where a value should be; this reading was left out."
        row.complain(column, reason, refused=False)
    else:
        row.complain(column, str(refused))


def _readings(head: ReadingHead, text: str, said: _Said) -> Iterator[Reading]:
    """Yield the readings of one cell: two where it holds both half-cycles, none where the half-cycle is unknown."""
    if head.both_halves:
        first, slash, second = text.partition("/")
        if not slash or "/" in second:
            raise Refused(f"“{text}” should be two values with a slash between them: at 0°, then at 180°.")
        for half, part in ((0, first), (180, second)):
            yield _placed(head, half, read_measure(head.check, part, head.unit))
        return
    measured = read_measure(head.check, text, head.unit)
    if head.check is Check.TRIP_TIME and head.half_cycle is None:
        # half a reading proves nothing; that the trip time was measured is kept all the same
        said.duties.append(Duty.OPERATING_TIME)
        said.remarks.append(f"{spoken_head(head)}: {measured}, half-cycle not stated")
        return
    yield _placed(head, head.half_cycle, measured)


def _placed(head: ReadingHead, half: int | None, measured: Measure) -> Reading:
    return Reading(head.check, measured, head.outlet, half, head.multiple, head.test_current)


def _plain(text: str, decimal: str) -> str:
    """Return a reading without thousands signs and with a decimal point, where the decimal sign is known."""
    if not decimal:
        return text
    thousands, pattern = (",", _COMMA_THOUSANDS) if decimal == "." else (".", _POINT_THOUSANDS)
    match = _NUMBER.search(text)
    if not match:
        return text
    number = match[0].replace(thousands, "") if pattern.fullmatch(match[0]) else match[0]
    return text[: match.start()] + number.replace(decimal, ".") + text[match.end() :]
