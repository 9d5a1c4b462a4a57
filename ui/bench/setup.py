"""How the safety switch is connected: two ways, each with a small drawing and its caution."""

from collections.abc import Iterator
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from register.domain.words import SetUp
from ui.look import draw
from ui.look.theme import colours, theme
from ui.look.typeface import px, width
from ui.look.widgets import Words

TITLES: Final = {
    SetUp.TESTER_FEEDS_DEVICE: "Tester feeds the device",
    SetUp.DEVICE_FEEDS_TESTER: "Device feeds the tester",
}
PARTS: Final = {
    SetUp.TESTER_FEEDS_DEVICE: ("tester", "device", "return lead"),
    SetUp.DEVICE_FEEDS_TESTER: ("transformer", "device", "tester"),
}
CUTS: Final = "The test cuts the supply: nothing may hang on it, and nobody touches it meanwhile."
CAUTIONS: Final = {
    SetUp.TESTER_FEEDS_DEVICE: CUTS,
    SetUp.DEVICE_FEEDS_TESTER: (
        f"{CUTS} Use an isolating transformer made for RCD testing, or another safety switch trips first; on a plain "
        "isolated winding nothing can trip."
    ),
}


class Way(QAbstractButton):
    """One way to connect: what feeds what, drawn as boxes on a line, with its name."""

    def __init__(self, set_up: SetUp) -> None:
        super().__init__()
        self.set_up = set_up
        self.setCheckable(True)
        self.setAutoExclusive(True)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setText(TITLES[set_up])
        self.setAccessibleName(f"{TITLES[set_up]}: {', '.join(PARTS[set_up])}")
        self.setToolTip(CAUTIONS[set_up])
        self.setFixedHeight(px(50))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(px(200), px(50))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens, on = QPainter(self), colours(), self.isChecked()
        place = QRectF(self.rect())
        ground = tokens.accent_soft if on else tokens.hover if self.underMouse() else tokens.surface
        draw.box(painter, place, ground, tokens.accent if on else tokens.rule, 6)
        inset, middle, radius = px(10), px(13), px(6)
        ring = QRectF(inset, middle - radius, 2 * radius, 2 * radius)
        draw.box(painter, ring, tokens.surface, tokens.accent if on else tokens.line, radius, 1.5)
        if on:
            draw.box(painter, ring.adjusted(3.5, 3.5, -3.5, -3.5), tokens.accent, None, radius)
        words = QRectF(inset + px(20), px(2), place.width() - inset - px(28), px(22))
        draw.text(painter, words, self.text(), 13, 600 if on else 500)
        self._draw_parts(painter, inset, px(26))
        painter.end()

    def _draw_parts(self, painter: QPainter, x: float, y: float) -> None:
        tokens, high, parts = colours(), px(19), PARTS[self.set_up]
        wide = [width(part, 11, 500) + px(12) for part in parts]
        room = self.width() - 2 * x - sum(wide)
        gap = min(px(18), max(px(4), room / 2))
        for number, part in enumerate(parts):
            draw.box(painter, QRectF(x, y, wide[number], high), tokens.surface, tokens.rule, 4)
            draw.text(painter, QRectF(x, y, wide[number], high), part, 11, 500, tokens.ink2, draw.CENTRE)
            x += wide[number]
            if number < len(parts) - 1:
                draw.across(painter, x, x + gap, y + high / 2, tokens.ink2, 2)
            x += gap


class SetUpChoice(QWidget):
    """The choice between the two ways. `chosen` tells which."""

    chosen = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.ways = [Way(set_up) for set_up in SetUp]
        self._caution = Words("", 12, 400, "ink2", wrap=True)
        row = QHBoxLayout()
        row.setSpacing(px(8))
        for way in self.ways:
            row.addWidget(way)
            way.clicked.connect(self._choose)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(px(4))
        column.addLayout(row)
        column.addWidget(self._caution)

    def show_set_up(self, set_up: SetUp) -> None:
        """Show the way that is chosen, with its caution."""
        for way in self.ways:
            way.setChecked(way.set_up is set_up)
        self._caution.say(CAUTIONS[set_up])

    def _choose(self) -> None:
        chosen = next(way.set_up for way in self.ways if way.isChecked())
        self._caution.say(CAUTIONS[chosen])
        self.chosen.emit(chosen)

    def widgets(self) -> Iterator[QWidget]:
        """Yield the choices in reading order."""
        yield from self.ways
