"""How the safety switch is connected: two ways, each with a small drawing and its caution."""

from collections.abc import Iterator
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from register.domain.words import SetUp
from ui.look import draw
from ui.look.theme import colours, theme
from ui.look.typeface import px, width
from ui.look.widgets import Words, button

TITLES: Final = {
    SetUp.TESTER_FEEDS_DEVICE: "Tester feeds the device",
    SetUp.DEVICE_FEEDS_TESTER: "Device feeds the tester",
}
PARTS: Final = {
    SetUp.TESTER_FEEDS_DEVICE: ("tester", "device", "return lead"),
    SetUp.DEVICE_FEEDS_TESTER: ("transformer", "device", "tester"),
}
NEEDS: Final = {
    SetUp.TESTER_FEEDS_DEVICE: "the return lead, from the device's outlet to the tester's earth",
    SetUp.DEVICE_FEEDS_TESTER: "the isolating transformer made for RCD testing, upstream of the device",
}
CUTS: Final = "The test cuts the supply: nothing may hang on it, and nobody touches it meanwhile."
CAUTIONS: Final = {
    SetUp.TESTER_FEEDS_DEVICE: CUTS,
    SetUp.DEVICE_FEEDS_TESTER: (
        f"{CUTS} Without a transformer made for RCD testing another safety switch trips first; on a plain isolated "
        "winding nothing can trip."
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
        return QSize(max(px(200), int(width(self.text(), 13, 600)) + px(38)), px(50))

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
    """The choice between the two ways. `chosen` tells which, `asked` that the card of both is wanted.

    Where a trip gave no reading it offers the other way; `other` tells that it is to be tried.
    """

    chosen = Signal(object)
    other = Signal(object)
    asked = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.ways = [Way(set_up) for set_up in SetUp]
        self._caution = Words("", 12, 400, "ink2", wrap=True)
        self.card = button("How to connect it   F7", "quiet", name="How to connect it")
        self.card.clicked.connect(self.explain)
        self._offer = Words("", 13, 500, "unknown", wrap=True)
        self.try_other = button("", name="Try the other set-up")
        self.try_other.setShortcut("Alt+O")
        self.try_other.clicked.connect(self.take_other)
        self._fill()

    def _fill(self) -> None:
        across = QBoxLayout.Direction.LeftToRight
        self._rows = row, offered, below = QBoxLayout(across), QBoxLayout(across), QBoxLayout(across)
        for each in self._rows:
            each.setSpacing(px(8))
        for way in self.ways:
            row.addWidget(way)
            way.clicked.connect(self._choose)
        below.addWidget(self._caution, 1)
        below.addWidget(self.card, 0, Qt.AlignmentFlag.AlignTop)
        offered.addWidget(self._offer, 1)
        offered.addWidget(self.try_other)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(px(4))
        for layout in (row, below, offered):
            column.addLayout(layout)
        self.offer_other(wanted=False)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put below each other what has no room beside each other."""
        way = QBoxLayout.Direction
        narrow = self.width() < sum(each.sizeHint().width() for each in self.ways)
        for each in self._rows:
            each.setDirection(way.TopToBottom if narrow else way.LeftToRight)
        super().resizeEvent(event)

    @property
    def way(self) -> SetUp:
        """The way that is chosen."""
        return next(way.set_up for way in self.ways if way.isChecked())

    def show_set_up(self, set_up: SetUp) -> None:
        """Show the way that is chosen, with what it needs and its caution."""
        for way in self.ways:
            way.setChecked(way.set_up is set_up)
        self._caution.say(f"Needs {NEEDS[set_up]}. {CAUTIONS[set_up]}")

    def offer_other(self, *, wanted: bool) -> None:
        """Offer the other way, or no longer."""
        for widget in (self._offer, self.try_other):
            widget.setVisible(wanted)
        if wanted:
            self._offer.say(
                "No reading in this set-up says nothing of the switch: try the other one before you judge it."
            )
            self.try_other.setText(f"{TITLES[other_way(self.way)]}   Alt O")
            self.try_other.setShortcut("Alt+O")

    def explain(self) -> None:
        """Show the card of both ways."""
        self.asked.emit()

    def _choose(self) -> None:
        self.show_set_up(self.way)
        self.chosen.emit(self.way)

    def take_other(self) -> None:
        """Take the other way."""
        self.other.emit(other_way(self.way))

    def widgets(self) -> Iterator[QWidget]:
        """Yield the choices in reading order."""
        yield from (*self.ways, self.card, self.try_other)


def other_way(set_up: SetUp) -> SetUp:
    """Return the set-up that is not this one."""
    return next(each for each in SetUp if each is not set_up)
