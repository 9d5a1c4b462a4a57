"""A stop that is held over the sheet of a week, and the note that says what letting it go there would cost."""

from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QPoint, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from register.planning.planned import Difference
from register.planning.week_rows import PlannedWeek
from ui.look import draw
from ui.look.theme import colours
from ui.look.typeface import px, width
from ui.week.card import StopCard
from ui.week.look import clock, day_name

LEAST_WIDE: Final = 270
"""So wide is the note at least, so that it doesn't jump about as its words change."""


@dataclass
class Held:
    """A stop that is held over the sheet: where it would come to, and what that costs; `why` says why it can't.

    `home` is the column that it came from.
    """

    card: StopCard
    home: int
    grip: QPoint
    at: QPoint
    column: int | None = None
    position: int | None = None
    after: PlannedWeek | None = None
    cost: Difference | None = None
    why: str = ""


class HeldNote(QWidget):
    """The dark note beside a stop that is held: minutes and kilometres first, then how both days end."""

    def __init__(self, sheet: QWidget) -> None:
        super().__init__(sheet)
        self._sheet = sheet
        self._held: Held | None = None
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hide()

    def follow(self, held: Held | None) -> None:
        """Stand below the stop that is held, or be gone."""
        self._held = held
        self.setVisible(held is not None)
        if held is not None:
            lines = note_lines(held)
            wide = int(max(width(line, 12, 500) for line in lines)) + px(30)
            self.setFixedSize(max(wide, px(LEAST_WIDE)), px(34) + px(18) * len(lines) + px(8))
            seen = self._sheet.visibleRegion().boundingRect()
            below = held.card.geometry().bottomLeft() + QPoint(0, 8)
            x = max(seen.left(), min(below.x(), seen.right() - self.width()))
            y = below.y()
            if y + self.height() > seen.bottom():
                y = max(0, held.card.y() - self.height() - 8)
            self.move(x, y)
            self.raise_()
            self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens, held = QPainter(self), colours(), self._held
        draw.box(painter, QRectF(self.rect()), tokens.ink, None, 6)
        room = self.width() - 28
        if held is not None:
            said = cost_words(held.cost) if held.cost else "It can't go here" if held.why else "Not a working day"
            draw.text(painter, QRectF(14, px(6), room, px(26)), said, 20, 600, tokens.surface)
            for number, line in enumerate(note_lines(held)):
                draw.text(painter, QRectF(14, px(34) + number * px(18), room, px(18)), line, 12, 500, tokens.surface)
        painter.end()


def cost_words(cost: Difference) -> str:
    """Return a cost in short: "+14 km, +19 min"."""
    return f"{cost.km:+.0f} km, {cost.minutes:+d} min"


def note_lines(held: Held) -> list[str]:
    """Return what the note says below the cost."""
    if held.after is None or held.column is None:
        return [held.why, "Esc to leave it where it was"]
    lines = []
    for at in dict.fromkeys((held.column, held.home)):
        day = held.after.days[at]
        spare = day.room - day.at_work
        said = f"{spare} min to spare" if spare >= 0 else f"{-spare} min too long"
        back = f"ends {clock(day.back)}, {said}" if day.stops else "is free"
        lines.append(f"{day_name(day.day)} {back}")
    return [*lines, *(held.cost.past[:2] if held.cost else ()), "Drop to move, Esc to leave"]


def draw_target(painter: QPainter, place: QRectF) -> None:
    """Draw the place that a stop would take."""
    ground = QColor(colours().accent_soft)
    ground.setAlphaF(0.7)
    draw.box(painter, place, ground.name(QColor.NameFormat.HexArgb), colours().accent, 6, 1.5, [4, 3])


def draw_left(painter: QPainter, place: QRectF, name: str) -> None:
    """Draw the place that a stop has left while it is held."""
    tokens = colours()
    draw.box(painter, place, None, tokens.line, 6, 1, [4, 3])
    if place.height() < px(40):
        draw.text(painter, place.adjusted(4, 0, -4, 0), f"{name} was here", 12, 400, tokens.ink3, draw.CENTRE)
        return
    above = QRectF(place.x() + 4, place.center().y() - px(18), place.width() - 8, px(18))
    for line, said in ((above, name), (above.translated(0, px(18)), "was here")):
        draw.text(painter, line, said, 12, 400, tokens.ink3, draw.CENTRE)
