"""What stands in place of the horizon where nothing is on it: what is true now, and the way on."""

from collections.abc import Callable

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout

from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Painted, Sheet, Words, button


class Empty(Sheet):
    """A large sun on an empty horizon, two sentences, one or two deeds."""

    def __init__(self) -> None:
        super().__init__()
        self._title = Words("", 20, 600)
        self._more = Words("", 13, 400, "ink2", wrap=True)
        self._more.setFixedWidth(px(460))
        for words in (self._title, self._more):
            words.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.first, self.second = button("", "primary"), button("")
        column, row = QVBoxLayout(self), QHBoxLayout()
        row.setSpacing(8)
        for each in (self.first, self.second):
            row.addWidget(each)
        column.addStretch(4)
        column.addWidget(Painted(_sun, size=QSize(px(184), px(64))), 0, Qt.AlignmentFlag.AlignHCenter)
        column.addSpacing(32)
        column.addWidget(self._title, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addSpacing(10)
        column.addWidget(self._more, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addSpacing(28)
        column.addLayout(row)
        column.setAlignment(row, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(5)
        self._deeds: list[Callable[[], None]] = []
        self.first.clicked.connect(self._do_first)
        self.second.clicked.connect(self._do_second)

    def say(self, title: str, more: str, deeds: dict[str, Callable[[], None]]) -> None:
        """Show why there is nothing, and at most two things to do about it, by what their buttons say."""
        self._title.say(title)
        self._more.say(more)
        self._more.setFixedHeight(self._more.heightForWidth(self._more.width()))
        self._deeds = list(deeds.values())
        for place, each in enumerate((self.first, self.second)):
            each.setVisible(place < len(deeds))
            each.setText(list(deeds)[place] if place < len(deeds) else "")

    def _do_first(self) -> None:
        self._deeds[0]()

    def _do_second(self) -> None:
        self._deeds[1]()


def _sun(painter: QPainter, place: QRectF) -> None:
    tokens, size = colours(), place.height()
    left = (place.width() - size) / 2
    level = size * 12.9 / 16
    draw.across(painter, 0, left - 8, level, tokens.rule, 2)
    draw.across(painter, left + size + 8, place.width(), level, tokens.rule, 2)
    glyph(painter, "sun", left, 0, size, tokens.accent)
