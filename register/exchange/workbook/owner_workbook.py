"""Writes the owner workbook: builds it whole in memory, then swaps it in, so that an earlier one is never harmed."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from openpyxl.workbook import Workbook

from register.exchange.workbook.answers import AS_SENT, write_as_sent
from register.exchange.workbook.columns import Sheet
from register.exchange.workbook.cover import COVER, write_cover
from register.exchange.workbook.decisions import decisions_sheet
from register.exchange.workbook.finish import check_rows, finished, name_book
from register.exchange.workbook.item_sheets import due_sheet, own_duties_sheet, register_sheet, withdrawn_sheet
from register.exchange.workbook.looks import register_styles
from register.exchange.workbook.paper import PageText
from register.exchange.workbook.record_sheets import failures_sheet, readings_sheet, records_sheet
from register.exchange.workbook.swap_in import swap_in
from register.exchange.workbook.table_sheet import write_sheet
from register.services.report_rows import OwnerReport


@dataclass(frozen=True, slots=True)
class WrittenWorkbook:
    """A workbook that now stands on disk. `rows` are the data rows of each sheet, by its title."""

    path: Path
    rows: Mapping[str, int]
    size: int


def write_owner_workbook(report: OwnerReport, path: Path) -> WrittenWorkbook:
    """Write the report as a workbook at `path`, in place of any earlier one there.

    The same report gives the same bytes. Refused where the path is no place for a workbook, Unavailable where the
    disk or another program stands in the way; an earlier file is then as it was.
    """
    sheets = describe(report)
    rows = {sheet.title: len(sheet.rows) for sheet in sheets}
    made = finished(_book(report, sheets))
    swap_in(made, path, lambda temporary: check_rows(temporary, rows, without=(COVER, AS_SENT)))
    return WrittenWorkbook(path, rows, len(made))


def describe(report: OwnerReport) -> tuple[Sheet[Any], ...]:
    """Return the sheets of the book after its cover, in their order."""
    return (
        decisions_sheet(report),
        register_sheet(report),
        due_sheet(report),
        withdrawn_sheet(report),
        failures_sheet(report),
        own_duties_sheet(report),
        records_sheet(report),
        readings_sheet(report),
    )


def _book(report: OwnerReport, sheets: tuple[Sheet[Any], ...]) -> Workbook:
    book = Workbook()
    book.remove(book.worksheets[0])
    register_styles(book)
    page = PageText(report.site.name or report.site.code, report.firm, report.as_at)
    write_cover(book, report, sheets, page)
    for sheet in sheets:
        write_sheet(book, sheet, page)
    write_as_sent(book, report, sheets, page)
    name_book(book, f"Register of safety switches and appliances, {page.site}", report.firm, report.as_at)
    return book
