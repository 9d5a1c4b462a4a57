"""An owner's report on paper: every row a few lines of words, so that nothing is cut and no program is needed."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen

from register.exchange.workbook.told import Told, ToldRow, ToldSheet
from ui.dates import shown
from ui.look import draw
from ui.look.theme import LIGHT
from ui.look.typeface import width
from ui.paper.drawing import ACROSS, MARGIN, lines_of, on_paper
from ui.paper.printing import PAGE

TOP: Final = 64.0
BOTTOM: Final = PAGE.height() - 46.0
LEAD, REST, GAP = 14.0, 12.0, 7.0
"""Height of a row's first line, of each further one, and the room below it."""

HEAD: Final = 48.0
BOXES: Final = 34.0
BAR_AT, BAR_WIDE = 230.0, 270.0
_LABEL: Final = 120.0


@dataclass(frozen=True, slots=True)
class _Piece:
    """What stands on a page in one place: a sheet's heading, or a row with the lines of what leads and of its rest.

    Without lines that lead, a row's first word is a label beside its rest.
    """

    height: float
    sheet: ToldSheet
    row: ToldRow | None = None
    lines: tuple[str, ...] = ()
    leads: tuple[str, ...] = ()
    share: float | None = None


@dataclass(slots=True)
class ReportPages:
    """A report laid out page by page, as they are drawn: `count` grows by one until the last page is reached."""

    told: Told
    _done: list[list[_Piece]] = field(default_factory=list)
    _rest: Iterator[_Piece] | None = None
    _next: _Piece | None = None

    def __post_init__(self) -> None:
        self._rest = _pieces(self.told)
        with on_paper():
            self._next = next(self._rest, None)
            self._lay_out()

    @property
    def count(self) -> int:
        """How many pages there are, as far as they are laid out, and one more where they go on."""
        return len(self._done) + (self._next is not None)

    def draw(self, painter: QPainter, number: int) -> None:
        """Draw one page, counted from 0, in points."""
        with on_paper():
            while number >= len(self._done) and self._next is not None:
                self._lay_out()
            _frame(painter, self.told, number)
            y = TOP
            for piece in self._done[number]:
                _draw_piece(painter, piece, y)
                y += piece.height

    def _lay_out(self) -> None:
        """Fill one more page; a heading is not left alone at its foot."""
        page: list[_Piece] = []
        room = BOTTOM - TOP
        assert self._rest is not None
        while (piece := self._next) is not None:
            needed = piece.height + (HEAD if piece.row is None else 0)
            if page and needed > room:
                break
            page.append(piece)
            room -= piece.height
            self._next = next(self._rest, None)
        self._done.append(page)


def _pieces(told: Told) -> Iterator[_Piece]:
    for sheet in told.sheets:
        about = lines_of(sheet.about, ACROSS, 9)
        yield _Piece(HEAD - 14 + 12 * len(about), sheet, None, about)
        most = max((row.number or 0 for row in sheet.rows), default=0)
        for row in sheet.rows:
            yield from _row(sheet, row, most)


def _row(sheet: ToldSheet, row: ToldRow, most: int) -> Iterator[_Piece]:
    """Yield a row, in further pieces where it is longer than a page."""
    if row.number is not None:
        yield _Piece(LEAD + 3, sheet, row, share=row.number / most if most else 0.0)
        return
    leads = () if _is_label(row) else lines_of("   ".join(row.leads), ACROSS - _room(row), 10, 600)
    lines = lines_of(row.rest, ACROSS if leads else ACROSS - _indent(row), 9)
    whole = int((BOTTOM - TOP - LEAD * len(leads) - GAP - BOXES) // REST)
    for first in range(0, max(1, len(lines)), whole):
        some = lines[first : first + whole]
        high = GAP + (LEAD * len(leads) + REST * len(some) if leads else max(LEAD, REST * len(some)))
        yield _Piece(high + (BOXES if row.boxes else 0), sheet, row, some, leads)


def _is_label(row: ToldRow) -> bool:
    """Whether what leads is one short word that has room beside the rest."""
    return len(row.leads) == 1 and not row.standing and width(row.leads[0], 9, 600) <= _LABEL - 8


def _room(row: ToldRow) -> float:
    """Return the room that the word for where something stands takes."""
    return 74.0 if row.standing else 0.0


def _indent(row: ToldRow) -> float:
    """Return how far the words stand in beside a label; not at all where there is none."""
    return _LABEL if row.leads[0] else 0.0


def _frame(painter: QPainter, told: Told, number: int) -> None:
    head = QRectF(MARGIN, 26, ACROSS, 16)
    draw.text(painter, head.adjusted(0, 0, -150, 0), told.site, 10, 600)
    draw.text(painter, head, f"As at {shown(told.as_at)}", 10, 400, LIGHT.ink2, draw.RIGHT)
    draw.across(painter, MARGIN, MARGIN + ACROSS, 46, LIGHT.rule)
    foot = QRectF(MARGIN, PAGE.height() - 34, ACROSS, 12)
    draw.text(painter, foot.adjusted(0, 0, -80, 0), told.firm, 9, 400, LIGHT.ink3)
    draw.text(painter, foot, f"Page {number + 1}", 9, 400, LIGHT.ink3, draw.RIGHT)


def _draw_piece(painter: QPainter, piece: _Piece, y: float) -> None:
    row = piece.row
    if row is None:
        draw.text(painter, QRectF(MARGIN, y + 4, ACROSS, 20), piece.sheet.title, 15, 600, LIGHT.accent)
        _lines(painter, piece.lines, MARGIN, y + 26, LIGHT.ink2)
    elif piece.share is not None:
        _bar(painter, row, piece.share, y)
    elif not piece.leads:
        label = QRectF(MARGIN, y, _LABEL - 8, REST)
        draw.text(painter, label, row.leads[0], 9, 600, LIGHT.ink2)
        _lines(painter, piece.lines, MARGIN + _indent(row), y, LIGHT.ink)
        draw.across(painter, MARGIN, MARGIN + ACROSS, y + piece.height - 4, LIGHT.hair)
    else:
        _item(painter, piece, row, y)


def _item(painter: QPainter, piece: _Piece, row: ToldRow, y: float) -> None:
    """Draw a row: marked ones have a bar at their side, so that grey print shows them, too."""
    if row.marked:
        draw.box(painter, QRectF(MARGIN - 8, y, 3, piece.height - GAP), LIGHT.ink, None, 0)
    draw.text(painter, QRectF(MARGIN, y, 70, LEAD), row.standing, 10, 700 if row.marked else 500)
    for number, said in enumerate(piece.leads):
        x = MARGIN + _room(row)
        draw.text(painter, QRectF(x, y + number * LEAD, ACROSS, LEAD), said, 10, 600, elide=False)
    below = y + LEAD * len(piece.leads)
    _lines(painter, piece.lines, MARGIN, below, LIGHT.ink2)
    if row.boxes:
        _boxes(painter, row.boxes, below + REST * len(piece.lines) + 4)
    draw.across(painter, MARGIN, MARGIN + ACROSS, y + piece.height - 4, LIGHT.hair)


def _lines(painter: QPainter, lines: tuple[str, ...], x: float, y: float, ink: str) -> None:
    for number, said in enumerate(lines):
        draw.text(painter, QRectF(x, y + number * REST, MARGIN + ACROSS - x + 4, REST), said, 9, 400, ink, elide=False)


def _boxes(painter: QPainter, labels: tuple[str, ...], y: float) -> None:
    step = ACROSS / len(labels)
    for place, label in enumerate(labels):
        x = MARGIN + place * step
        draw.text(painter, QRectF(x, y, step, 9), label, 8, 400, LIGHT.ink3)
        draw.box(painter, QRectF(x, y + 10, step - 5, 14), None, LIGHT.ink3, 1)


def _bar(painter: QPainter, row: ToldRow, share: float, y: float) -> None:
    """Draw one figure with a bar: outlined and hatched, so that it is there on any printer."""
    draw.text(painter, QRectF(MARGIN, y, BAR_AT - 50, LEAD), ", ".join(row.leads), 9, 400)
    draw.text(painter, QRectF(MARGIN, y, BAR_AT - 8, LEAD), str(row.number), 9, 600, None, draw.RIGHT)
    painter.save()
    painter.setPen(QPen(QColor(LIGHT.ink2), 0.6))
    painter.setBrush(QBrush(QColor(LIGHT.ink3), Qt.BrushStyle.Dense6Pattern))
    if share:
        painter.drawRect(QRectF(MARGIN + BAR_AT, y + 2, BAR_WIDE * share, LEAD - 4))
    painter.restore()
