"""Day sheets of a week as a workbook: the stops in order, the work at each, the items by area, and what to load."""

from datetime import date
from pathlib import Path
from typing import Final, Protocol

from register.domain.explain import day_words
from register.domain.words import Duty, Standing
from register.exchange.workbook.book import BookWriter
from register.exchange.workbook.columns import STANDING, Column, Sheet
from register.exchange.workbook.looks import TONES, CellKind
from register.exchange.workbook.paper import PageText
from register.exchange.workbook.swap_in import swap_in
from register.exchange.workbook.table_sheet import write_sheet
from register.exchange.workbook.wording import standing_word, word
from register.services.week.day_sheets import DaySheets, ItemLine, KitRow, StopLine

_COLOUR: Final = TONES[standing_word(Standing.DUE_SOON)].fill


def write_day_sheets(sheets: DaySheets, path: Path) -> None:
    """Write the day sheets as a workbook, in place of any earlier one there.

    Refused where the path is no place for a workbook, Unavailable where the disk or another program stands in the
    way; an earlier file is then as it was.
    """
    with BookWriter() as book:
        title = f"Visits from {day_words(sheets.week)}"
        written = (_stops(sheets), _work(sheets), _items(sheets), _kit(sheets))
        for sheet in written:
            write_sheet(book, sheet, PageText(title, sheets.firm, None))
        book.name(title, sheets.firm, sheets.week)
        swap_in(book.finished(), path, book.check)


def _stops(sheets: DaySheets) -> Sheet[StopLine]:
    return Sheet(
        title="Stops", table="Stops", about="The visits in their order: when, where, how to get in, what to mind.",
        empty="No visits this week.", colour=_COLOUR,
        columns=(
            *_order(),
            Column("Arrive", 8, CellKind.TEXT, lambda row: row.arrive),
            Column("Leave", 8, CellKind.TEXT, lambda row: row.leave),
            Column("Site", 24, CellKind.TEXT, lambda row: row.name),
            Column("Address", 24, CellKind.TEXT, lambda row: row.address),
            Column("Ask for", 16, CellKind.TEXT, lambda row: row.contact),
            Column("Getting in", 28, CellKind.PROSE, lambda row: row.access),
            Column("Mind", 24, CellKind.PROSE, lambda row: row.hazards),
        ),
        rows=sheets.stops, marked="",
    )  # fmt: skip


def _work(sheets: DaySheets) -> Sheet[StopLine]:
    return Sheet(
        title="Work", table="WorkAtStops", about="What is done at each stop and why, and what to have ready there.",
        empty="No visits this week.", colour=_COLOUR,
        columns=(
            *_order(),
            Column("Site", 24, CellKind.TEXT, lambda row: row.name),
            Column("Work", 20, CellKind.TEXT, lambda row: row.work),
            Column("Why", 34, CellKind.PROSE, lambda row: row.why),
            Column("Look for again", 28, CellKind.PROSE, lambda row: "\n".join(row.extras.look_for)),
            Column("New tags", 14, CellKind.TEXT, lambda row: row.extras.tags),
            Column("Field pack", 24, CellKind.PROSE, lambda row: row.extras.pack),
        ),
        rows=sheets.stops, marked="",
    )  # fmt: skip


class HasVanDay(Protocol):
    """Any row that speaks of what a van does on a day."""

    @property
    def day(self) -> date:
        """The day."""
        ...

    @property
    def van(self) -> str:
        """The van's name."""
        ...


def _van_day() -> tuple[Column[HasVanDay], ...]:
    """Return the columns with which every row begins."""
    return (
        Column("Day", 12.5, CellKind.DATE, lambda row: row.day),
        Column("Van", 10, CellKind.TEXT, lambda row: row.van),
    )


def _order() -> tuple[Column[StopLine], ...]:
    """Return the columns that say which stop it is, in both sheets of stops: in one, they would print too small."""
    return (*_van_day(), Column("No.", 5, CellKind.TEXT, lambda row: str(row.order)))


def _items(sheets: DaySheets) -> Sheet[ItemLine]:
    return Sheet(
        title="Items", table="ItemsToDo", about="What is to be done at each stop, by area.",
        empty="Nothing is to be done this week.", colour=_COLOUR,
        columns=(
            *_van_day(),
            Column("Site", 24, CellKind.TEXT, lambda row: row.site),
            Column("Area", 20, CellKind.TEXT, lambda row: row.area),
            Column("Tag", 13, CellKind.CODE, lambda row: row.tag),
            Column("Item", 28, CellKind.TEXT, lambda row: row.description),
            Column("Duty", 18, CellKind.TEXT, lambda row: word(Duty(row.duty))),
            Column(STANDING, 11, CellKind.STANDING, lambda row: standing_word(row.standing)),
            Column("Due", 12.5, CellKind.DATE, lambda row: row.due),
            Column("Done early because", 46, CellKind.PROSE, lambda row: row.early),
        ),
        rows=sheets.items,
    )  # fmt: skip


def _kit(sheets: DaySheets) -> Sheet[KitRow]:
    return Sheet(
        title="Load", table="KitToLoad", about="What goes into each van on each day.",
        empty="Nothing is to be loaded this week.", colour=_COLOUR,
        columns=(
            *_van_day(),
            Column("What", 46, CellKind.TEXT, lambda row: row.line.thing),
            Column("How many", 10, CellKind.TEXT, lambda row: str(row.line.number)),
            Column("For", 34, CellKind.TEXT, lambda row: row.line.what_for),
        ),
        rows=sheets.kit, marked="",
    )  # fmt: skip
