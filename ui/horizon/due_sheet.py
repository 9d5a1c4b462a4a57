"""The list of what falls due, laid out on pages: the same drawing for the preview, for paper and for a PDF."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QFontMetricsF, QPainter

from register.domain.words import Standing, counted, first_word
from register.services.due_list import DueList
from register.services.questions import DueDuty
from ui.dates import shown, shown_long
from ui.horizon.due_rows import item_words, source_words, why_words
from ui.look import draw
from ui.look.glyphs import STANDING_GLYPHS, glyph
from ui.look.theme import LIGHT, standing_tone
from ui.look.typeface import font, unscaled, width
from ui.paper.drawing import ACROSS, MARGIN, TAG, on_paper, tag, tick_box
from ui.paper.printing import PAGE

TOP: Final = 108.0
"""Where the rows begin, below the head of the page."""

BOTTOM: Final = 842 - 44.0
PLACE: Final = 34.0
TICK: Final = 22.0
WHEN: Final = 92.0
WORDS: Final = ACROSS - TICK - TAG - WHEN
LINE: Final = 13.0
WHY_LINE: Final = 12.0
"""The height of a line of reasons, as `draw.laid_out` has it."""


@dataclass(frozen=True, slots=True)
class Line:
    """One thing on a page, at its height: the head of a place, a duty, or one of the rules named at the end."""

    y: float
    high: float
    head: str = ""
    more: str = ""
    row: DueDuty | None = None
    rule: str = ""


@dataclass(frozen=True, slots=True)
class Pages:
    """The list laid out: what stands on each page."""

    due: DueList
    pages: tuple[tuple[Line, ...], ...]
    rules: dict[str, int]

    @property
    def count(self) -> int:
        """How many pages there are; an empty list has one that says so."""
        return max(1, len(self.pages))

    def draw(self, painter: QPainter, number: int) -> None:
        """Draw one page, counted from 0, in points."""
        draw_page(painter, self, number)


def laid_out(due: DueList) -> Pages:
    """Lay the list out, the rules that it follows once at its end.

    The head of a place is said again at the top of a page, and never stands last on one.
    """
    rules = {rule: number for number, rule in enumerate(dict.fromkeys(map(source_words, due.rows)), start=1) if rule}
    with unscaled():
        stack = _Stack()
        for place, rows in _by_place(due.rows):
            count = counted(len(rows), "duty", "duties")
            stack.begin(place, count, [(_height(row, rules), row, "") for row in rows])
        said = [f"{number}  {rule}" for rule, number in rules.items()]
        stack.begin("Rules", "", [(_rule_height(rule), None, rule) for rule in said])
    return Pages(due, tuple(tuple(page) for page in stack.pages), rules)


class _Stack:
    """Fills page after page from above."""

    def __init__(self) -> None:
        self.pages: list[list[Line]] = []
        self._y = BOTTOM

    def begin(self, head: str, more: str, lines: list[tuple[float, DueDuty | None, str]]) -> None:
        """Put lines under a head, on as many pages as they take."""
        for number, (high, row, rule) in enumerate(lines):
            above = PLACE if number == 0 else 0.0
            if self._y + above + high > BOTTOM:
                self.pages.append([])
                self._y, above = TOP, PLACE
            if above:
                said = f"{head} (continued)" if number else head
                self.pages[-1].append(Line(self._y, above, said, more))
                self._y += above
            self.pages[-1].append(Line(self._y, high, row=row, rule=rule))
            self._y += high


def _by_place(rows: Iterable[DueDuty]) -> Iterator[tuple[str, list[DueDuty]]]:
    found: dict[str, list[DueDuty]] = {}
    for row in rows:
        found.setdefault(f"{row.site_name}, {row.area}", []).append(row)
    yield from found.items()


def _why(row: DueDuty, rules: dict[str, int]) -> str:
    number = rules.get(source_words(row))
    return f"{why_words(row)} Rule {number}." if number else why_words(row)


def _height(row: DueDuty, rules: dict[str, int]) -> float:
    return 7 + LINE + _why_height(_why(row, rules)) + 6


@lru_cache(maxsize=4_096)
def _why_height(said: str) -> float:
    """Return how high a reason is on paper; the same ones come again and again."""
    return WHY_LINE if width(said, 9) < WORDS else draw.laid_out(said, WORDS, 9, 400, 1.3)[1]


def _rule_height(rule: str) -> float:
    return draw.laid_out(rule, ACROSS, 9, 400, 1.3)[1] + 6


def draw_page(painter: QPainter, pages: Pages, number: int) -> None:
    """Draw one page, counted from 0, in points. Paper is always light, whatever the window wears."""
    with on_paper():
        _head(painter, pages.due)
        for line in pages.pages[number] if pages.pages else ():
            if line.row is not None:
                _duty(painter, line, line.row, _why(line.row, pages.rules))
            elif line.rule:
                place = QPointF(MARGIN, line.y + 4)
                draw.paragraph(painter, place, ACROSS, line.rule, 9, 400, LIGHT.ink2, 1.3)
            else:
                _place(painter, line)
        if not pages.pages:
            said = f"Nothing is overdue, and nothing falls due by {shown(pages.due.by)}."
            draw.text(painter, QRectF(MARGIN, TOP + 20, ACROSS, 20), said, 13)
        _foot(painter, pages, number)


def _head(painter: QPainter, due: DueList) -> None:
    top = QRectF(MARGIN, 32, ACROSS, 14)
    draw.text(painter, top.adjusted(0, 0, -ACROSS / 2, 0), due.firm, 10, 500, LIGHT.ink2)
    draw.text(painter, top.adjusted(ACROSS / 2, 0, 0, 0), f"As at {shown(due.as_at)}", 10, 400, LIGHT.ink2, draw.RIGHT)
    title = QRectF(MARGIN, 50, ACROSS, 26)
    draw.text(painter, title, f"Falls due by {shown_long(due.by)}", 20, 600)
    overdue = sum(row.standing is Standing.OVERDUE for row in due.rows)
    said = f"{due.place}: {counted(len(due.rows), 'duty', 'duties')} on {counted(due.items, 'item')}"
    if overdue:
        said += f"; {counted(overdue, 'duty is', 'duties are')} overdue"
    draw.text(painter, QRectF(MARGIN, 78, ACROSS, 16), f"{said}.", 11, 400, LIGHT.ink2)
    draw.across(painter, MARGIN, MARGIN + ACROSS, 100, LIGHT.rule)


def _place(painter: QPainter, line: Line) -> None:
    words = QRectF(MARGIN, line.y + 8, ACROSS - 70, line.high - 10)
    draw.text(painter, words, line.head, 12, 600)
    count = QRectF(MARGIN + ACROSS - 70, line.y + 8, 70, line.high - 10)
    draw.text(painter, count, line.more, 9, 400, LIGHT.ink3, draw.RIGHT)
    draw.across(painter, MARGIN, MARGIN + ACROSS, line.y + line.high - 1, LIGHT.rule)


def _duty(painter: QPainter, line: Line, row: DueDuty, why: str) -> None:
    x, y = MARGIN, line.y + 7
    tick_box(painter, x, y)
    tag(painter, x + TICK, y, row.tag)
    left = x + TICK + TAG
    draw.text(painter, QRectF(left, y, WORDS - 6, LINE), item_words(row), 11, 500)
    draw.paragraph(painter, QPointF(left, y + LINE), WORDS, why, 9, 400, LIGHT.ink2, 1.3)
    _when(painter, QRectF(x + ACROSS - WHEN, y, WHEN, LINE), row)
    draw.across(painter, MARGIN, MARGIN + ACROSS, line.y + line.high - 1, LIGHT.hair)


def _when(painter: QPainter, place: QRectF, row: DueDuty) -> None:
    """Draw the date with the glyph of its standing; the words below say the standing, for a grey print."""
    tone = standing_tone(row.standing)
    day = shown(row.due) if row.due is not None else "Never done"
    weight = 600 if row.standing is Standing.OVERDUE else 500
    draw.text(painter, place, day, 10, weight, None, draw.RIGHT)
    left = place.right() - QFontMetricsF(font(10, weight)).horizontalAdvance(day) - 15
    glyph(painter, STANDING_GLYPHS[row.standing], left, place.y() + 1, 11, tone.fill)
    said = first_word(row.standing) if row.standing is not Standing.IN_SERVICE else ""
    draw.text(painter, place.translated(0, LINE), said, 9, 500, tone.text, draw.RIGHT)


def _foot(painter: QPainter, pages: Pages, number: int) -> None:
    foot = QRectF(MARGIN, PAGE.height() - 34, ACROSS, 12)
    draw.text(painter, foot, f"Page {number + 1} of {pages.count}", 9, 400, LIGHT.ink3, draw.RIGHT)
    said = "An overdue item must not be used. Tick what is done; record its readings at the bench."
    draw.text(painter, foot.adjusted(0, 0, -80, 0), said, 9, 400, LIGHT.ink3)
