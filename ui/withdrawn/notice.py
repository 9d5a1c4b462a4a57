"""The notice for an owner, on the day an item is taken out of service: one sheet, drawn the same for paper and PDF."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from register.services.withdrawals.listed import OutRow
from ui.asking.photo import draw_picture, image_of
from ui.dates import shown
from ui.look import draw
from ui.look.theme import LIGHT
from ui.paper.drawing import lines_of, on_paper
from ui.paper.printing import PAGE

MARGIN: Final = 56.0
ACROSS: Final = PAGE.width() - 2 * MARGIN
LABEL: Final = 120.0
PHOTO_WIDE, PHOTO_HIGH = 180.0, 135.0
SIZES: Final = (13, 11, 9)
LINE, TWO_LINES, SIX_LINES = 19, 38, 114
"""How high a fact may be, at the largest size: all of them leave room for what to do and for the signature."""

CAUTIONS: Final = (
    "Do not use it, and do not open it yourself. Keep it where nobody plugs it in by mistake.",
    "Repair is licensed work in many places; local codes decide. After a repair it must be tested before it is used.",
    "It returns to service only by a complete pass dated after this day, or leaves for good when you dispose of it.",
)
DECISIONS: Final = ("Repair it and have it tested", "Dispose of it", "Ask us back")


@dataclass(frozen=True, slots=True)
class Notice:
    """The notice about an item: `firm` heads it, `photo` is a picture of the item, empty without one."""

    row: OutRow
    firm: str
    today: date
    photo: bytes = b""
    count: int = 1

    def draw(self, painter: QPainter, _number: int) -> None:
        """Draw the sheet, in points."""
        with on_paper():
            y = _head(painter, self)
            y = _facts(painter, self, y) + 12
            draw.across(painter, MARGIN, MARGIN + ACROSS, y, LIGHT.rule)
            y = _cautions(painter, y + 18) + 20
            _decision(painter, y)


def _head(painter: QPainter, notice: Notice) -> float:
    """Draw whose notice it is and about which item; return where the rest begins, as all that follow do."""
    row, y = notice.row, MARGIN
    draw.text(painter, QRectF(MARGIN, y, ACROSS, 18), notice.firm or "The contractor", 12, 500, LIGHT.ink2)
    draw.text(painter, QRectF(MARGIN, y, ACROSS, 18), shown(notice.today), 12, 400, LIGHT.ink2, draw.RIGHT)
    y += 44
    draw.text(painter, QRectF(MARGIN, y, ACROSS, 32), "Out of service: do not use", 24, 600)
    y += 48
    wide = draw.tag(painter, MARGIN, y, row.tag, 28, 15, 600, LIGHT.ink2)
    draw.text(painter, QRectF(MARGIN + wide + 12, y, ACROSS - wide - 12, 28), row.description, 15, 600)
    return y + 44


def _facts(painter: QPainter, notice: Notice, y: float) -> float:
    row, room, below = notice.row, ACROSS - LABEL, y
    if notice.photo:
        left = MARGIN + ACROSS - PHOTO_WIDE
        draw_picture(painter, QRectF(left, y, PHOTO_WIDE, PHOTO_HIGH), image_of(notice.photo))
        room, below = room - PHOTO_WIDE - 20, y + PHOTO_HIGH
    for head, said, most in (
        ("Where", f"{row.site}, {row.area}", TWO_LINES), ("Responsible", row.owner, TWO_LINES),
        ("Since", shown(row.since), LINE), ("Why", row.detail or row.short, SIX_LINES),
        ("Out-of-service tag", row.tag_number, LINE),
    ):  # fmt: skip
        if said:
            draw.text(painter, QRectF(MARGIN, y, LABEL - 10, 20), head, 12, 500, LIGHT.ink3)
            size, lines = _fitted(said, room, most)
            step = _step(size)
            for number, line in enumerate(lines):
                place = QRectF(MARGIN + LABEL, y + 1 + number * step, room, step)
                draw.text(painter, place, line, size, elide=False)
            y = max(y + 20, y + 1 + len(lines) * step) + 6
    return max(y, below)


def _fitted(said: str, room: float, high: float) -> tuple[int, tuple[str, ...]]:
    """Return the largest size at which a text fits, and its lines; one that never does ends in an ellipsis."""
    for size in SIZES:
        lines, most = lines_of(said, room, size), int(high // _step(size))
        if len(lines) <= most:
            break
    else:
        lines = (*lines[: most - 1], f"{lines[most - 1][:-1]}…")
    return size, lines


def _step(size: int) -> int:
    return round(size * 1.45)


def _cautions(painter: QPainter, y: float) -> float:
    draw.text(painter, QRectF(MARGIN, y, ACROSS, 20), "What to do now", 15, 600)
    y += 30
    for number, said in enumerate(CAUTIONS, start=1):
        draw.text(painter, QRectF(MARGIN, y, 20, 20), f"{number}", 13, 600)
        y = draw.paragraph(painter, QPointF(MARGIN + 24, y), ACROSS - 24, said, 13) + 8
    return y


def _decision(painter: QPainter, y: float) -> None:
    draw.text(painter, QRectF(MARGIN, y, ACROSS, 20), "Your decision", 15, 600)
    y += 32
    for said in DECISIONS:
        draw.box(painter, QRectF(MARGIN, y, 14, 14), None, LIGHT.ink2, 2)
        draw.text(painter, QRectF(MARGIN + 24, y - 3, ACROSS, 20), said, 13)
        y += 26
    y += 34
    draw.across(painter, MARGIN, MARGIN + 220, y, LIGHT.ink2)
    draw.across(painter, MARGIN + ACROSS - 160, MARGIN + ACROSS, y, LIGHT.ink2)
    draw.text(painter, QRectF(MARGIN, y + 4, 220, 16), "Name and signature", 11, 400, LIGHT.ink3)
    draw.text(painter, QRectF(MARGIN + ACROSS - 160, y + 4, 160, 16), "Date", 11, 400, LIGHT.ink3)
