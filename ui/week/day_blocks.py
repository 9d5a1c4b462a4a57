"""The parts of a day sheet: each knows how high it is on paper, and draws itself there."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from register.domain.words import Duty, Standing, counted, first_word
from register.services.week.day_sheets import ItemLine, KitRow, StopLine
from ui.dates import shown
from ui.look import draw
from ui.look.glyphs import STANDING_GLYPHS, glyph
from ui.look.theme import LIGHT, standing_tone
from ui.look.typeface import width
from ui.paper.drawing import ACROSS, MARGIN, TAG, lines_of, tag, tick_box

LINE: Final = 13.0
LABEL: Final = 62.0
TICK: Final = 22.0
WHEN: Final = 96.0
WORDS: Final = ACROSS - TICK - TAG - WHEN
TIMES: Final = 84.0
NUMBER: Final = 24.0
TRIPS: Final = "Trip tests cut the supply here: warn people first, and see that nothing hangs on it."

Draw = Callable[[QPainter, float], None]


@dataclass(frozen=True, slots=True)
class Block:
    """A part of a sheet: its height, how it is drawn at a height of the page, and whether it stays with the next one.

    `again` is said at the top of a page where this part begins one.
    """

    high: float
    draw: Draw
    stays: bool = False
    again: Draw | None = None


def gap(high: float) -> Block:
    """Return room between two parts."""
    return Block(high, lambda _painter, _y: None)


def title(said: str, more: str = "") -> Block:
    """Return the head of a part, which never stands last on a page."""

    def drawn(painter: QPainter, y: float) -> None:
        draw.text(painter, QRectF(MARGIN, y, ACROSS * 2 / 3, 16), said, 12, 600)
        draw.text(painter, QRectF(MARGIN, y, ACROSS, 16), more, 9, 400, LIGHT.ink3, draw.RIGHT)
        draw.across(painter, MARGIN, MARGIN + ACROSS, y + 18, LIGHT.rule)

    return Block(22, drawn, stays=True)


def glance(stop: StopLine) -> Block:
    """Return a stop as it stands in the list of the day."""

    def drawn(painter: QPainter, y: float) -> None:
        draw.text(painter, QRectF(MARGIN, y, NUMBER, LINE), str(stop.order), 10, 600)
        draw.text(painter, QRectF(MARGIN + NUMBER, y, TIMES, LINE), _times(stop), 10, 500)
        left = MARGIN + NUMBER + TIMES
        room = ACROSS - NUMBER - TIMES
        draw.text(painter, QRectF(left, y, room - 190, LINE), stop.name, 10, 500)
        draw.text(painter, QRectF(MARGIN + ACROSS - 186, y, 186, LINE), stop.work, 10, 400, LIGHT.ink2, draw.RIGHT)

    return Block(16, drawn)


def load(row: KitRow) -> Block:
    """Return one thing to load, to be ticked."""

    def drawn(painter: QPainter, y: float) -> None:
        tick_box(painter, MARGIN, y)
        draw.text(painter, QRectF(MARGIN + TICK, y, 24, LINE), f"{row.line.number}", 10, 600, None, draw.RIGHT)
        said = f"for {row.line.what_for}"
        left, room = MARGIN + TICK + 34, ACROSS - TICK - 34 - width(said, 9) - 8
        draw.text(painter, QRectF(left, y, room, LINE), row.line.thing, 10)
        draw.text(painter, QRectF(MARGIN, y, ACROSS, LINE), said, 9, 400, LIGHT.ink3, draw.RIGHT)

    return Block(16, drawn)


def stop_head(stop: StopLine) -> list[Block]:
    """Return the head of a stop: its place in the day, its times, name and address."""

    def drawn(painter: QPainter, y: float) -> None:
        draw.across(painter, MARGIN, MARGIN + ACROSS, y, LIGHT.ink, 1.5)
        draw.text(painter, QRectF(MARGIN, y + 6, NUMBER, 20), str(stop.order), 15, 600)
        room = ACROSS - NUMBER - TIMES - 16
        draw.text(painter, QRectF(MARGIN + NUMBER, y + 6, room, 20), stop.name, 15, 600)
        draw.text(painter, QRectF(MARGIN, y + 6, ACROSS, 20), _times(stop), 13, 600, None, draw.RIGHT)

    facts = [
        ("Where", stop.address, 400), ("Ask for", stop.contact, 400), ("Getting in", stop.access, 400),
        ("Mind", stop.hazards, 600), ("Mind", TRIPS if stop.trips else "", 600), ("Why", stop.why, 400),
        ("Look for", "; ".join(stop.extras.look_for), 600), ("New tags", stop.extras.tags, 400),
        ("Field pack", stop.extras.pack, 400),
    ]  # fmt: skip
    return [Block(30, drawn, stays=True), *(block for fact in facts for block in _fact(*fact))]


def _fact(label: str, said: str, weight: int) -> Iterator[Block]:
    """Yield the lines of a fact about a stop, its label beside the first."""
    for number, line in enumerate(lines_of(said, ACROSS - NUMBER - LABEL, 10, weight)):
        yield Block(LINE, partial(_fact_line, label if number == 0 else "", line, weight), stays=True)


def _fact_line(label: str, said: str, weight: int, painter: QPainter, y: float) -> None:
    left = MARGIN + NUMBER
    draw.text(painter, QRectF(left, y, LABEL, LINE), label, 9, 500, LIGHT.ink3)
    draw.text(painter, QRectF(left + LABEL, y, ACROSS, LINE), said, 10, weight, elide=False)


def area_head(area: str, count: int) -> Block:
    """Return the head of an area's items."""
    return Block(20, partial(_area_line, area, counted(count, "item")), stays=True)


def _area_line(area: str, count: str, painter: QPainter, y: float) -> None:
    draw.text(painter, QRectF(MARGIN, y + 4, ACROSS - 90, 14), area, 10, 600)
    draw.text(painter, QRectF(MARGIN, y + 4, ACROSS, 14), count, 9, 400, LIGHT.ink3, draw.RIGHT)
    draw.across(painter, MARGIN, MARGIN + ACROSS, y + 19, LIGHT.hair)


def item(lines: list[ItemLine], again: str) -> Block:
    """Return an item with all that is to be done to it; `again` says where, at the top of a page."""
    doing = " and ".join(
        first_word(Duty(line.duty)) if place == 0 else _lower(line.duty) for place, line in enumerate(lines)
    )
    early = next((line.early for line in lines if line.early), "") if all(line.early for line in lines) else ""
    first = min(lines, key=lambda line: (line.due is not None, line.due or line.day))
    whys = lines_of(early, WORDS + WHEN, 9)
    say = lines_of(doing, WORDS - 6, 9)

    def drawn(painter: QPainter, y: float) -> None:
        tick_box(painter, MARGIN, y + 3)
        tag(painter, MARGIN + TICK, y + 3, first.tag)
        left = MARGIN + TICK + TAG
        draw.text(painter, QRectF(left, y + 3, WORDS - 6, LINE), first.description or "No description", 10, 500)
        for number, line in enumerate((*say, *whys)):
            place = QRectF(left, y + 3 + LINE + number * 12, ACROSS, 12)
            draw.text(painter, place, line, 9, 400, LIGHT.ink2 if number < len(say) else LIGHT.accent, elide=False)
        _when(painter, QRectF(MARGIN + ACROSS - WHEN, y + 3, WHEN, LINE), first)
        bottom = y + 3 + LINE + 12 * (len(say) + len(whys)) + 4
        draw.across(painter, MARGIN, MARGIN + ACROSS, bottom - 1, LIGHT.hair)

    return Block(3 + LINE + 12 * (len(say) + len(whys)) + 4, drawn, again=partial(_area_line, again, "continued"))


def _lower(duty: str) -> str:
    said = first_word(Duty(duty))
    return f"{said[:1].lower()}{said[1:]}"


def _when(painter: QPainter, place: QRectF, line: ItemLine) -> None:
    """Draw when it is due, with the glyph and below it the word of its standing on the day of the visit."""
    tone = standing_tone(line.standing)
    day = shown(line.due) if line.due is not None else "Never done"
    heavy = 600 if line.standing in (Standing.OVERDUE, Standing.UNTESTED) else 500
    draw.text(painter, place, day, 10, heavy, None, draw.RIGHT)
    glyph(
        painter,
        STANDING_GLYPHS[line.standing],
        place.right() - width(day, 10, heavy) - 15,
        place.y() + 1,
        11,
        tone.fill,
    )
    word = "Early" if line.early else first_word(line.standing)
    draw.text(painter, place.translated(0, LINE), word, 9, 500, tone.text, draw.RIGHT)


def caution(said: str) -> list[Block]:
    """Return a sentence of what to mind, line by line."""
    lines = lines_of(said, ACROSS - 14, 9)
    return [
        Block(12 if place < len(lines) - 1 else 15, partial(_caution_line, line, place == 0))
        for place, line in enumerate(lines)
    ]


def _caution_line(said: str, first: bool, painter: QPainter, y: float) -> None:  # noqa: FBT001 - bound by place
    if first:
        draw.text(painter, QRectF(MARGIN, y, 14, 12), "•", 9, 600)
    draw.text(painter, QRectF(MARGIN + 14, y, ACROSS, 12), said, 9, 400, LIGHT.ink2, elide=False)


def _times(stop: StopLine) -> str:
    return f"{stop.arrive} – {stop.leave}"  # noqa: RUF001 - a stretch
