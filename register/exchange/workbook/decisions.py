"""The sheet of what the owner has to decide: each item with the question, and room for the answer."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from register.domain.explain import day_words
from register.domain.words import Standing, WithdrawalReason, spoken
from register.exchange.workbook.answers import answer_columns
from register.exchange.workbook.columns import Column, Sheet
from register.exchange.workbook.item_sheets import area_column, key_columns
from register.exchange.workbook.looks import TONES, CellKind
from register.exchange.workbook.wording import standing_word
from register.services.owners.rows import OwnerReport, RegisterRow, ReportedItem, Streamed

REPAIR: Final = (
    "Have it repaired by a licensed person, or dispose of it? It stays out of use until it has passed a test."
)
WHERE: Final = (
    "Where is it? Answer “Moved to” with its area, “Disposed of”, or “Not found” if you can't find it either."
)
KEEP_OUT: Final = "Keep it out of use until it is tested. Do you still have it, and is it where it should be?"


@dataclass(frozen=True, slots=True)
class Decision:
    """One item that waits for the owner: what he is asked, and what it is about."""

    item: ReportedItem
    asked: str
    why: str


def decisions_sheet(report: OwnerReport) -> Sheet[Decision]:
    """Return the sheet of what needs the owner's decision, each item once."""
    return Sheet(
        title="For your decision",
        table="Decisions",
        about="What waits for your word. Answer in the light columns of the workbook and send it back.",
        empty="Nothing waits for your decision. You can still answer or ask about any item in the register.",
        colour=TONES[standing_word(Standing.DUE_SOON)].fill,
        columns=(
            *key_columns(),
            area_column(),
            Column("What we ask", 34, CellKind.PROSE, lambda row: row.asked),
            Column("Why", 34, CellKind.PROSE, lambda row: row.why),
            *answer_columns(),
        ),
        rows=Streamed(lambda: _decisions(report)),
        prints_answers=True,
    )


def _decisions(report: OwnerReport) -> Iterator[Decision]:
    seen = set()
    for out in report.withdrawn:
        if out.reason is not WithdrawalReason.OVERDUE:
            seen.add(out.item)
            why = f"Out of service since {day_words(out.since)}: {out.why or spoken(out.reason)}"
            yield Decision(out.item, REPAIR, why)
    for row in report.items:
        if row.not_found_on is not None and row.item not in seen and row.item.standing is not Standing.REMOVED:
            seen.add(row.item)
            yield Decision(row.item, WHERE, f"Not found on {day_words(row.not_found_on)}.")
    for row in report.items:
        if row.item.standing in {Standing.OVERDUE, Standing.UNTESTED} and row.item not in seen:
            yield Decision(row.item, KEEP_OUT, _why_out_of_use(row))


def _why_out_of_use(row: RegisterRow) -> str:
    """Say since when an item is due; of one that was never tested whole, though a part of it may be due later, that."""
    if row.item.standing is Standing.UNTESTED or row.next_due is None:
        return "No complete test is on record."
    return f"Due since {day_words(row.next_due)}."
