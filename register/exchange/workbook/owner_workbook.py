"""Writes the owner workbook: whole and checked before it takes its place, so that an earlier one is never harmed."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from register.exchange.workbook.answers import marked, write_as_sent
from register.exchange.workbook.book import BookWriter
from register.exchange.workbook.columns import Sheet
from register.exchange.workbook.cover import write_cover
from register.exchange.workbook.decisions import decisions_sheet
from register.exchange.workbook.figures import FIGURES, draw_charts, figures_sheet
from register.exchange.workbook.item_sheets import (
    ahead_sheet,
    overdue_sheet,
    own_duties_sheet,
    queries_sheet,
    register_sheet,
    tick_sheet,
    withdrawn_sheet,
)
from register.exchange.workbook.notes import notes_sheet, rules_sheet
from register.exchange.workbook.paper import PageText
from register.exchange.workbook.record_sheets import failures_sheet, readings_sheet, records_sheet
from register.exchange.workbook.swap_in import swap_in
from register.exchange.workbook.table_sheet import write_sheet
from register.services.owners.rows import OwnerReport


@dataclass(frozen=True, slots=True)
class WrittenWorkbook:
    """A workbook that now stands on disk. `rows` are the data rows of each sheet, by its title."""

    path: Path
    rows: Mapping[str, int]
    size: int


def write_owner_workbook(report: OwnerReport, path: Path, *, without: Collection[str] = ()) -> WrittenWorkbook:
    """Write the report as a workbook at `path`, in place of any earlier one there; `without` names sheets left out.

    The same report gives the same bytes. Refused where the path is no place for a workbook, Unavailable where the
    disk or another program stands in the way; an earlier file is then as it was.
    """
    with BookWriter() as book:
        _fill(book, report, tuple(sheet for sheet in describe(report) if sheet.title not in without))
        swap_in(book.finished(), path, book.check)
        return WrittenWorkbook(path, book.rows, path.stat().st_size)


def describe(report: OwnerReport) -> tuple[Sheet[Any], ...]:
    """Return the sheets of the book after its cover, in their order."""
    return (
        decisions_sheet(report),
        register_sheet(report),
        overdue_sheet(report),
        ahead_sheet(report),
        withdrawn_sheet(report),
        failures_sheet(report),
        own_duties_sheet(report),
        tick_sheet(report),
        records_sheet(report),
        readings_sheet(report),
        queries_sheet(report),
        figures_sheet(report),
        rules_sheet(report),
        notes_sheet(report),
    )


def page_text(report: OwnerReport) -> PageText:
    """Return what stands at the head and foot of every page of a report."""
    return PageText(report.site.name or report.site.code, report.firm, report.as_at)


def _fill(book: BookWriter, report: OwnerReport, sheets: tuple[Sheet[Any], ...]) -> None:
    page = page_text(report)
    for sheet in sheets:
        target = write_sheet(book, marked(sheet) if sheet.compared else sheet, page)
        if sheet.title == FIGURES:
            draw_charts(target, report.figures)
    write_cover(book, report, sheets, page)
    write_as_sent(book, report, sheets, page)
    book.name(f"Register of safety switches and appliances, {page.site}", report.firm, report.as_at)
