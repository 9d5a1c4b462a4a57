"""What stands in place of the week where there is none: what is true now, and the next step."""

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
    """A row of days without stops, two sentences, one deed."""

    def __init__(self) -> None:
        super().__init__()
        self._title = Words("", 20, 600, wrap=True)
        self._more = Words("", 13, 400, "ink2", wrap=True)
        self.deed = button("", "primary")
        self._do: Callable[[], None] | None = None
        self.deed.clicked.connect(self._press)
        column, row = QVBoxLayout(self), QHBoxLayout()
        column.setContentsMargins(32, 24, 32, 24)
        column.addStretch(4)
        column.addWidget(Painted(_days, size=QSize(px(300), px(64))), 0, Qt.AlignmentFlag.AlignHCenter)
        column.addSpacing(28)
        for words in (self._title, self._more):
            words.setAlignment(Qt.AlignmentFlag.AlignHCenter)
            column.addWidget(words)
            column.addSpacing(10)
        row.addStretch(1)
        row.addWidget(self.deed)
        row.addStretch(1)
        column.addSpacing(14)
        column.addLayout(row)
        column.addStretch(5)

    def say(self, title: str, more: str, verb: str = "", deed: Callable[[], None] | None = None) -> None:
        """Show why there is no week, and what to do about it by what the button says."""
        self._title.say(title)
        self._more.say(more)
        self.deed.setText(verb)
        self.deed.setVisible(bool(verb))
        self._do = deed

    def _press(self) -> None:
        if self._do is not None:
            self._do()


def _days(painter: QPainter, place: QRectF) -> None:
    tokens, wide = colours(), place.width() / 5
    for day in range(5):
        x = place.x() + day * wide
        draw.across(painter, x + 6, x + wide - 6, 2, tokens.accent if day == 0 else tokens.rule, 3)
        draw.box(painter, QRectF(x + 6, 12, wide - 12, place.height() - 14), None, tokens.rule, 6, 1, [4, 3])
    glyph(painter, "pin", place.center().x() - 10, place.center().y() - 4, 20, tokens.accent)
