"""The sheets about what was measured: the failures, every test record, and every reading."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from register.domain.measures import SYMBOL
from register.domain.records import Finding
from register.domain.words import Result
from register.exchange.workbook.answers import ROW_MARK
from register.exchange.workbook.cells import Value
from register.exchange.workbook.columns import Column, Sheet
from register.exchange.workbook.item_sheets import area_column, key_columns
from register.exchange.workbook.looks import ACCENT, TONES, CellKind
from register.exchange.workbook.wording import (
    bound_words,
    check_words,
    duties_words,
    instrument_words,
    reading_words,
    record_remarks,
    recorded_verdict,
    verdict_word,
)
from register.services.owners.rows import OwnerReport, RecordRow, ReportedItem, Streamed

RECORDS: Final = "Test results"
READINGS: Final = "Readings"


@dataclass(frozen=True, slots=True)
class Checked:
    """One check of one record. `finding` is None where only the verdict came down to us."""

    record: RecordRow
    finding: Finding | None

    @property
    def item(self) -> ReportedItem:
        """The item that was checked."""
        return self.record.item


def failures_sheet(report: OwnerReport) -> Sheet[Checked]:
    """Return the sheet of every check that failed, with its reading and limit; corrected records are left out."""
    return Sheet(
        title="Failures",
        table="FailedChecks",
        about="Every check that failed, with the reading and the limit it was held against.",
        empty="Nothing has failed.",
        colour=TONES[verdict_word(Result.FAIL)].fill,
        columns=(
            *key_columns(24),
            area_column(),
            Column("Failed on", 12.5, CellKind.DATE, lambda row: row.record.tested_on),
            *_place_columns(),
            Column("Reading", 13, CellKind.TEXT, _reading),
            Column("Limit", 18, CellKind.TEXT, lambda row: row.finding.limit if row.finding else ""),
            Column("What it means", 48, CellKind.PROSE, lambda row: (row.finding or row.record).why),
            Column(ROW_MARK, 5, CellKind.MARK, lambda row: row.record.id),
        ),
        rows=Streamed(lambda: _failures(report.failed)),
    )


def _failures(records: Iterable[RecordRow]) -> Iterator[Checked]:
    for record in records:
        failing = [finding for finding in record.findings if finding.result is Result.FAIL]
        yield from [Checked(record, finding) for finding in failing] or [Checked(record, None)]


def _place_columns() -> tuple[Column[Checked], ...]:
    return (
        Column("Check", 18, CellKind.TEXT, _check),
        Column("Outlet", 9, CellKind.COUNT, lambda row: row.finding.place.outlet if row.finding else None),
        Column("Half-cycle", 9.5, CellKind.HALF_CYCLE, _half_cycle),
        Column("Multiple", 11.5, CellKind.MULTIPLE, lambda row: row.finding.place.multiple if row.finding else None),
    )


def _half_cycle(row: Checked) -> int | None:
    return row.finding.place.half_cycle if row.finding else None


def _check(row: Checked) -> str:
    return check_words(row.finding.place) if row.finding else "As found in earlier papers"


def _reading(row: Checked) -> str:
    return reading_words(row.finding) if row.finding else ""


def _result(row: Checked) -> str:
    if row.finding is None or row.record.superseded:
        return recorded_verdict(row.record)
    return verdict_word(row.finding.result)


def _source(row: Checked) -> str:
    return row.finding.source if row.finding else ""


def records_sheet(report: OwnerReport) -> Sheet[RecordRow]:
    """Return the sheet of test records, each with its verdict and the finding that decided it."""
    return Sheet(
        title=RECORDS,
        table="TestRecords",
        about="Every test record: who tested what, with which instrument, and what decided the verdict.",
        empty="No test records are kept for these items.",
        colour=ACCENT,
        columns=(
            *key_columns(22),
            area_column(),
            Column("Tested on", 12.5, CellKind.DATE, lambda row: row.tested_on),
            Column("Verdict", 12, CellKind.STANDING, recorded_verdict),
            Column("Duties", 18, CellKind.TEXT, lambda row: duties_words(row.duties)),
            Column("What decided it", 44, CellKind.PROSE, lambda row: row.why),
            Column("Tester", 12, CellKind.TEXT, lambda row: row.tester),
            Column("Instrument and set-up", 18, CellKind.TEXT, instrument_words),
            Column("Remarks", 24, CellKind.PROSE, record_remarks),
            Column(ROW_MARK, 5, CellKind.MARK, lambda row: row.id),
        ),
        rows=report.records,
        marked="Verdict",
        mark=verdict_word(Result.FAIL),
    )


def readings_sheet(report: OwnerReport) -> Sheet[Checked]:
    """Return the sheet of readings and looks, one row each, with numbers as numbers."""
    return Sheet(
        title=READINGS,
        table="AllReadings",
        about="Every single reading behind the test results, as the instrument gave it, with its limit.",
        empty="No readings are kept for these items.",
        colour=ACCENT,
        columns=(
            *key_columns(22),
            Column("Tested on", 12.5, CellKind.DATE, lambda row: row.record.tested_on),
            *_place_columns(),
            Column("Bound", 10, CellKind.BOUND, lambda row: bound_words(row.finding) if row.finding else ""),
            Column("Value", 10.5, CellKind.MEASURED, _value),
            Column("Unit", 6.5, CellKind.TEXT, _unit),
            Column("Limit", 18, CellKind.TEXT, lambda row: row.finding.limit if row.finding else ""),
            Column("Result", 11.5, CellKind.STANDING, _result),
            Column("Where the limit stands", 45, CellKind.PROSE, _source),
            Column(ROW_MARK, 5, CellKind.MARK, lambda row: row.record.id),
        ),
        rows=Streamed(lambda: (Checked(record, one) for record in report.measured for one in record.findings)),
        marked="Result",
        mark=verdict_word(Result.FAIL),
    )


def _value(row: Checked) -> Value:
    """Return the number, or the word of a check that gives none: right or wrong."""
    if row.finding is None:
        return None
    measure = row.finding.measure
    if measure is None:
        return None
    return measure.value if measure.value is not None else measure.word


def _unit(row: Checked) -> str:
    measure = row.finding.measure if row.finding else None
    return SYMBOL[measure.unit] if measure is not None and measure.value is not None else ""
