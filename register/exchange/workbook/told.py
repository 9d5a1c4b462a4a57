"""An owner's report in words, row by row: what a page of paper says where a workbook has a row of cells."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any, Final

from register.domain.explain import day_words
from register.errors import Refused
from register.exchange.workbook.cells import Value
from register.exchange.workbook.columns import STANDING, Sheet
from register.exchange.workbook.cover import IN_BOOK, sections
from register.exchange.workbook.figures import NUMBER
from register.exchange.workbook.looks import ANSWERS, CellKind
from register.exchange.workbook.owner_workbook import describe
from register.services.owners.rows import OwnerReport
from register.stopping import step_by_step

MOST_ROWS: Final = 20_000
"""So many rows are put on paper: some thousand pages."""

_LEADS: Final = 4
_UNTOLD: Final = ANSWERS | {CellKind.MARK, CellKind.BOX}


@dataclass(frozen=True, slots=True)
class ToldRow:
    """One row: what leads, the rest with its labels, the boxes to tick, and its number where a bar is drawn for it.

    `standing` is the word for where it stands, empty where it has none; `marked` rows must not be missed.
    """

    leads: tuple[str, ...]
    rest: str
    standing: str = ""
    marked: bool = False
    boxes: tuple[str, ...] = ()
    number: int | None = None


@dataclass(frozen=True, slots=True)
class ToldSheet:
    """One sheet: its title, what is in it, and its rows."""

    title: str
    about: str
    rows: tuple[ToldRow, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """A whole report: whose and of which day, and its sheets, the cover's sections first."""

    site: str
    firm: str
    as_at: date
    sheets: tuple[ToldSheet, ...]


def told(report: OwnerReport, without: Collection[str] = ()) -> Told:
    """Return a report in words; `without` names the sheets left out. Refused where it is too long for paper."""
    described = [sheet for sheet in describe(report) if sheet.title not in without]
    sheets: list[ToldSheet] = []
    count = 0
    for sheet in described:
        rows = tuple(_rows(sheet, MOST_ROWS - count))
        count += len(rows)
        sheets.append(ToldSheet(sheet.title, sheet.about if rows else sheet.empty, rows))
    cover = cover_told(report, described, {sheet.title: len(sheet.rows) for sheet in sheets})
    return replace(cover, sheets=(*cover.sheets, *sheets))


def cover_told(report: OwnerReport, sheets: Iterable[Sheet[Any]], counts: Mapping[str, int]) -> Told:
    """Return the cover alone in words; `counts` tells how many rows each sheet has, by its title."""
    cover = tuple(
        ToldSheet(heading, "", tuple(ToldRow((line.label,), _cover_words(line.text, line.figure)) for line in lines))
        for heading, lines in sections(report, sheets, counts)
    )
    return Told(report.site.name or report.site.code, report.firm, report.as_at, cover)


def without_sheets(cover: Told, left_out: Collection[str]) -> Told:
    """Return a cover that doesn't list the sheets left out."""
    sheets = (
        replace(sheet, rows=tuple(row for row in sheet.rows if row.leads[0] not in left_out))
        if sheet.title == IN_BOOK
        else sheet
        for sheet in cover.sheets
    )
    return replace(cover, sheets=tuple(sheets))


def _cover_words(text: Value, figure: Value) -> str:
    said = cell_words(CellKind.TEXT, text)
    return said if figure is None else f"{figure}. {said}".removesuffix(". ")


def _rows(sheet: Sheet[Any], most: int) -> Iterator[ToldRow]:
    shown = [column for column in sheet.columns if column.kind not in _UNTOLD]
    boxes = tuple(column.title for column in sheet.columns if column.kind is CellKind.BOX)
    leading = _LEADS if shown[0].title == STANDING else sheet.held
    for count, row in enumerate(step_by_step(sheet.rows)):
        if count >= most:
            raise Refused(
                f"The report has more than {MOST_ROWS:,} rows, too many for paper. Leave out “Readings”, choose fewer "
                "months, or write the workbook alone."
            )
        said = [(column.title, cell_words(column.kind, column.value(row))) for column in shown]
        bars = [column.value(row) for column in shown if column.title == NUMBER]
        number = bars[0] if bars and isinstance(bars[0], int) else None
        yield ToldRow(
            leads=tuple(text for title, text in said[:leading] if text and title != STANDING),
            rest=" · ".join(f"{title}: {text}" for title, text in said[leading:] if text),
            standing=said[0][1] if said[0][0] == STANDING else "",
            marked=any(title == sheet.marked and text in sheet.marks for title, text in said),
            boxes=boxes,
            number=number,
        )


def cell_words(kind: CellKind, value: Value) -> str:
    """Return a cell in words, as a spreadsheet program shows it."""
    if value is None:
        return ""
    if isinstance(value, date):
        return day_words(value)
    if kind is CellKind.DAYS_LEFT and isinstance(value, int):
        return "today" if value == 0 else f"{abs(value)} {'left' if value > 0 else 'over'}"
    if kind is CellKind.HALF_CYCLE:
        return f"{value}°"
    if kind is CellKind.MULTIPLE:
        return f"{value}×"
    return f"{value:f}" if isinstance(value, Decimal) else str(value)
