"""What stands in place of the list where it has nothing to show: what is true now, and the way on."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from register.domain.words import counted
from ui.actions import Deeds
from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Painted, Words, button


@dataclass(frozen=True, slots=True)
class WayOn:
    """One thing that can be done where there is nothing to see."""

    said: str
    act: Callable[[], None]


class Empty(QWidget):
    """A drawing, one sentence of what is true, one of what would be here, and one or two deeds."""

    def __init__(self) -> None:
        super().__init__()
        self._glyph = "search"
        column = QVBoxLayout(self)
        column.setContentsMargins(40, 24, 40, 24)
        column.setSpacing(0)
        column.addStretch(4)
        column.addWidget(Painted(self._draw, size=QSize(px(176), px(56))), 0, Qt.AlignmentFlag.AlignHCenter)
        column.addSpacing(32)
        self._title = Words("", 20, 600, wrap=True)
        self._more = Words("", 13, 400, "ink2", wrap=True)
        for words in (self._title, self._more):
            words.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        column.addWidget(self._title)
        column.addSpacing(10)
        column.addWidget(self._more)
        column.addSpacing(28)
        self._deeds = QHBoxLayout()
        self._deeds.setSpacing(8)
        column.addLayout(self._deeds)
        column.addStretch(5)

    def say(self, mark: str, title: str, more: str, ways: Sequence[WayOn]) -> None:
        """Show why there is nothing, and what can be done."""
        self._glyph = mark
        self._title.setText(title)
        self._more.setText(more)
        while (item := self._deeds.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.deleteLater()
        self._deeds.addStretch(1)
        for place, way in enumerate(ways):
            made = button(way.said, "" if place else "primary")
            made.clicked.connect(_without_argument(way.act))
            self._deeds.addWidget(made)
        self._deeds.addStretch(1)
        self.update()

    def say_no_fit(self, active: Sequence[str], total: int, clear: Callable[[], None]) -> None:
        """Name the filters that show nothing, and offer to clear them."""
        more = f"The register has {counted(total, 'item')}."
        self.say("search", f"No item fits {', '.join(active)}", more, [WayOn("Clear search and filters", clear)])

    def say_no_items(self, deeds: Deeds) -> None:
        """Say what a register without items is for, and how the first come into it."""
        ways = [WayOn("Add an item   Ctrl N", partial(deeds.do, "item.add"))]
        if deeds.possible("sheet.take-in"):
            ways.append(WayOn("Take in a spreadsheet   Ctrl I", partial(deeds.do, "sheet.take-in")))
        more = "Every switch, lead and appliance with a tag of its own stands here, with the day it must be tested by."
        self.say("closed", "This register has no items yet", more, ways)

    def _draw(self, painter: QPainter, place: QRectF) -> None:
        tokens, size = colours(), place.height()
        middle = round(place.height() / 2)
        left = (place.width() - size) / 2
        draw.across(painter, 0, left - 12, middle, tokens.rule)
        draw.across(painter, left + size + 12, place.width(), middle, tokens.rule)
        glyph(painter, self._glyph, left, 0, size, tokens.ink3)


def _without_argument(act: Callable[[], None]) -> Callable[[bool], None]:
    return lambda _on: act()
