"""The day sheets of a week laid out on pages: a sheet for each van and day, the same for preview, paper and PDF."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from register.domain.words import counted
from register.services.week.day_sheets import DayLine, DaySheets, ItemLine, StopLine
from ui.dates import shown_long, shown_with_weekday
from ui.look import draw
from ui.look.theme import LIGHT
from ui.paper.drawing import ACROSS, MARGIN, on_paper
from ui.paper.printing import PAGE
from ui.week.day_blocks import Block, area_head, caution, gap, glance, item, load, stop_head, title

TOP: Final = 108.0
BOTTOM: Final = 842 - 46.0
AGAIN: Final = 20.0
"""How high it is to say again where a page goes on."""

SAFETY: Final = "Local codes and licensed practice decide. What fails is tagged and goes out of service."


@dataclass(frozen=True, slots=True)
class Page:
    """A page of a sheet: what stands where, whose day it is, and which page of how many of that sheet."""

    day: DayLine
    number: int
    of: int
    blocks: tuple[tuple[float, Block], ...]


@dataclass(frozen=True, slots=True)
class DayPages:
    """The sheets of a week laid out."""

    sheets: DaySheets
    pages: tuple[Page, ...]

    @property
    def count(self) -> int:
        """How many pages there are; a week without visits has one that says so."""
        return max(1, len(self.pages))

    def draw(self, painter: QPainter, number: int) -> None:
        """Draw one page, counted from 0, in points."""
        with on_paper():
            if not self.pages:
                draw.text(painter, QRectF(MARGIN, TOP, ACROSS, 20), "No visits are planned this week.", 13)
                return
            page = self.pages[number]
            _head(painter, self.sheets.firm, page)
            for y, block in page.blocks:
                block.draw(painter, y)
            _foot(painter, page)


def week_title(monday: date) -> str:
    """Return what the sheets of a week are called."""
    return f"Day sheets of the week from {shown_long(monday)}"


def laid_out(sheets: DaySheets) -> DayPages:
    """Lay the sheets out: for each van and day the stops at a glance, what to load, then every stop with its items."""
    pages: list[Page] = []
    with on_paper():
        for day in sheets.days:
            filled = _fill(_blocks(sheets, day))
            pages += [Page(day, number, len(filled), tuple(blocks)) for number, blocks in enumerate(filled, 1)]
    return DayPages(sheets, tuple(pages))


def _blocks(sheets: DaySheets, day: DayLine) -> Iterator[Block]:
    stops = [stop for stop in sheets.stops if (stop.day, stop.van) == (day.day, day.van)]
    yield title("The day", f"leave {day.leave}, back {day.back}")
    yield from map(glance, stops)
    yield gap(10)
    kit = [row for row in sheets.kit if (row.day, row.van) == (day.day, day.van)]
    if kit:
        yield title("To load")
        yield from map(load, kit)
        yield gap(10)
    for stop in stops:
        yield gap(8)
        yield from stop_head(stop)
        lines = [line for line in sheets.items if (line.day, line.van, line.order) == (day.day, day.van, stop.order)]
        yield from _items(stop, lines)
    if day.cautions:
        yield gap(12)
        yield title("What to mind", "from the rulebook")
        for said in day.cautions:
            yield from caution(said)


def _items(stop: StopLine, lines: Iterable[ItemLine]) -> Iterator[Block]:
    for area, within in groupby(lines, key=lambda line: line.area):
        items = [list(duties) for _, duties in groupby(within, key=lambda line: line.tag)]
        yield area_head(area, len(items))
        for duties in items:
            yield item(duties, f"{stop.name}, {area}")


def _fill(blocks: Iterable[Block]) -> list[list[tuple[float, Block]]]:
    """Put the blocks on pages; those that stay with the next one go over with it."""
    pages: list[list[tuple[float, Block]]] = [[]]
    y = TOP
    for together in _together(blocks):
        if y + _high(together) > BOTTOM and pages[-1]:
            pages.append([])
            y = TOP
            if (again := together[0].again) is not None:
                pages[-1].append((y, Block(AGAIN, again)))
                y += AGAIN
        for each in together:
            pages[-1].append((y, each))
            y += each.high
    return pages


def _together(blocks: Iterable[Block]) -> Iterator[list[Block]]:
    """Yield the blocks that stand together, as far as they take less than half a page."""
    held: list[Block] = []
    for block in blocks:
        held.append(block)
        if not block.stays or _high(held) >= (BOTTOM - TOP) / 2:
            yield held
            held = []
    if held:
        yield held


def _high(blocks: Iterable[Block]) -> float:
    return sum(each.high for each in blocks)


def _head(painter: QPainter, firm: str, page: Page) -> None:
    day = page.day
    top = QRectF(MARGIN, 32, ACROSS, 14)
    draw.text(painter, top.adjusted(0, 0, -ACROSS / 2, 0), firm, 10, 500, LIGHT.ink2)
    draw.text(painter, top.adjusted(ACROSS / 2, 0, 0, 0), "Day sheet", 10, 400, LIGHT.ink2, draw.RIGHT)
    draw.text(painter, QRectF(MARGIN, 50, ACROSS, 26), f"{day.van}, {shown_long(day.day)}", 20, 600)
    stops = counted(day.stops, "stop")
    said = f"{stops}, {day.km:.0f} km, {day.driving} driving. Leave at {day.leave}, back at {day.back}."
    draw.text(painter, QRectF(MARGIN, 78, ACROSS, 16), said, 11, 400, LIGHT.ink2)
    draw.across(painter, MARGIN, MARGIN + ACROSS, 100, LIGHT.rule)


def _foot(painter: QPainter, page: Page) -> None:
    foot = QRectF(MARGIN, PAGE.height() - 34, ACROSS, 12)
    said = f"{page.day.van}, {shown_with_weekday(page.day.day)}, page {page.number} of {page.of}"
    draw.text(painter, foot, said, 9, 400, LIGHT.ink3, draw.RIGHT)
    draw.text(painter, foot.adjusted(0, 0, -136, 0), SAFETY, 9, 400, LIGHT.ink3)
