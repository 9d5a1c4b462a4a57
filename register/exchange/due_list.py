"""Writes what falls due by the end of a week as a workbook, so that the week can be worked by it."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from register.domain.explain import day_words
from register.domain.words import Standing
from register.exchange.workbook.book import BookWriter
from register.exchange.workbook.columns import STANDING, Column, Sheet
from register.exchange.workbook.looks import TONES, CellKind
from register.exchange.workbook.paper import PageText
from register.exchange.workbook.swap_in import swap_in
from register.exchange.workbook.table_sheet import write_sheet
from register.exchange.workbook.wording import interval_words, standing_word, word
from register.services.due_list import DueList
from register.services.questions import DueDuty


@dataclass(frozen=True, slots=True)
class WrittenList:
    """A list that now stands on disk, and how many duties are in it."""

    path: Path
    duties: int


def write_due_list(due: DueList, path: Path) -> WrittenList:
    """Write the list as a workbook at `path`, in place of any earlier one there.

    Refused where the path is no place for a workbook, Unavailable where the disk or another program stands in the
    way; an earlier file is then as it was.
    """
    sheet = describe(due)
    with BookWriter() as book:
        write_sheet(book, sheet, PageText(f"{due.place}, due by {day_words(due.by)}", due.firm, due.as_at))
        book.name(f"What falls due by {day_words(due.by)}, {due.place}", due.firm, due.as_at)
        swap_in(book.finished(), path, book.check)
    return WrittenList(path, len(due.rows))


def describe(due: DueList) -> Sheet[DueDuty]:
    """Return the list as a sheet, one row for each duty."""
    return Sheet(
        title="Falls due",
        table="FallsDue",
        about="What is overdue, and what falls due by the end of the week, with the reason of each date.",
        empty=f"Nothing is overdue, and nothing falls due by {day_words(due.by)}.",
        colour=TONES[standing_word(_loudest(due))].fill,
        columns=(
            Column(STANDING, 11, CellKind.STANDING, lambda row: standing_word(row.standing)),
            Column("Tag", 13, CellKind.CODE, lambda row: row.tag),
            Column("Site", 22, CellKind.TEXT, lambda row: row.site_name),
            Column("Area", 18, CellKind.TEXT, lambda row: row.area),
            Column("Item", 28, CellKind.TEXT, lambda row: row.description or word(row.kind)),
            Column("Duty", 17, CellKind.TEXT, lambda row: word(row.duty)),
            Column("Last done", 12.5, CellKind.DATE, lambda row: row.last_done),
            Column("Interval", 11.5, CellKind.TEXT, lambda row: interval_words(row.interval)),
            Column("Due", 12.5, CellKind.DATE, lambda row: row.due),
            Column("Days left or over", 11, CellKind.DAYS_LEFT, lambda row: _days(row, due.as_at)),
            Column("Why this date", 46, CellKind.PROSE, lambda row: " ".join(row.why)),
            Column("Done on", 12, CellKind.DATE, lambda _row: None),
        ),
        rows=due.rows,
    )


def _days(row: DueDuty, as_at: date) -> int | None:
    return None if row.due is None else (row.due - as_at).days


def _loudest(due: DueList) -> Standing:
    standings = {row.standing for row in due.rows}
    return Standing.OVERDUE if Standing.OVERDUE in standings else Standing.DUE_SOON
