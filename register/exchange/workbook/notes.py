"""The rules that the dates and limits come from, and the notes on how to read the book: each a sheet of its own."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from register.domain.explain import day_words
from register.domain.rulebook import Confidence
from register.exchange.workbook.columns import Column, Sheet
from register.exchange.workbook.cover import cautions_of
from register.exchange.workbook.looks import INK3, CellKind
from register.exchange.workbook.wording import MEANING, standing_word, trust_words
from register.services.owners.rows import OwnerReport, RuleUsed, Streamed

_RELY = {
    Confidence.READ: "You can rely on it as far as on the edition named.",
    Confidence.RESTATED: "Not read in the standard itself: check it there before you rely on it.",
    Confidence.MEMORY: "Common knowledge of the trade, not looked up: check it before you rely on it.",
    Confidence.DISPUTED: "Sources differ. The stricter was taken; let a licensed person decide.",
}


@dataclass(frozen=True, slots=True)
class Note:
    """One note: what it is about, and what it says."""

    about: str
    text: str


def rules_sheet(report: OwnerReport) -> Sheet[RuleUsed]:
    """Return the sheet of the editions from which intervals and limits of the book come."""
    return Sheet(
        title="Rules used",
        table="RulesUsed",
        about="Where the intervals and limits in this book come from, and how far each source can be trusted.",
        empty="No rule was needed for this report.",
        colour=INK3,
        columns=(
            Column("Source", 42, CellKind.TEXT, lambda row: row.edition),
            Column("Edition", 12, CellKind.TEXT, lambda row: "In force" if row.in_force else "Superseded"),
            Column("How it came to us", 26, CellKind.TEXT, lambda row: trust_words(row.confidence)),
            Column("Used for", 56, CellKind.PROSE, lambda row: row.used_for),
            Column("How far to rely on it", 44, CellKind.PROSE, lambda row: _RELY[row.confidence]),
        ),
        rows=report.rules,
        marked="",
        held=1,
    )


def notes_sheet(report: OwnerReport) -> Sheet[Note]:
    """Return the sheet of notes: what words mean, what empty cells mean, how to answer, and the cautions."""
    return Sheet(
        title="Notes",
        table="Notes",
        about="What the words mean, what an empty cell means, how to answer, and what to be careful about.",
        empty="",
        colour=INK3,
        columns=(
            Column("About", 26, CellKind.TEXT, lambda row: row.about),
            Column("Note", 96, CellKind.PROSE, lambda row: row.text),
        ),
        rows=Streamed(lambda: _notes(report)),
        marked="",
        held=1,
        portrait=True,
    )


def _notes(report: OwnerReport) -> Iterator[Note]:
    yield from (Note(f"Standing: {standing_word(standing)}", meaning) for standing, meaning in MEANING.items())
    yield Note("The day it falls due", "An item may be used on the day it falls due; it is overdue from the next day.")
    yield Note("How far ahead", f"“Next 13 weeks” looks ahead to {day_words(report.looks_ahead_to)}.")
    if report.records_since is not None:
        yield Note("Which tests", _period(report.records_since, report.records_until))
    yield Note(
        "Empty cells",
        "An empty cell means that nothing is recorded or nothing applies; an empty outlet, the item as a whole.",
    )
    yield Note(
        "How to answer",
        "In the workbook, fill in the light columns of “For your decision” or of “Register” and send it back as .xlsx. "
        "You may sort and filter. What is changed in other cells is shown to us and not taken over.",
    )
    yield Note("Rows in bold on dots", "Such a row is overdue, late or failed. The word in it says which.")
    yield from (Note("Caution", each) for each in cautions_of(report))


def _period(first: date, last: date | None) -> str:
    if last is None:
        return f"Failures, test results and readings go back to {day_words(first)}."
    return f"Failures, test results and readings are those from {day_words(first)} to {day_words(last)}."
