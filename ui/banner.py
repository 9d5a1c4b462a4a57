"""The sentence below the bar about the register as a whole: a warning, or why it can only be looked at."""

from collections.abc import Callable

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours, theme
from ui.look.typeface import px
from ui.look.widgets import Painted, Words, button


class Banner(QWidget):
    """A sentence below the bar about the register as a whole, and what to do; hidden where there is none.

    A warning goes once it was read; what holds for as long as the register is open stays. `other` is the button for
    what can be done about it, hidden where there is nothing.
    """

    def __init__(self) -> None:
        super().__init__()
        self.words = Words("", 13, 500, "soon", wrap=True)
        self.read, self.other = button("I have read it", "quiet"), button("", "line")
        self.read.clicked.connect(self.hide)
        self.other.hide()
        row = QHBoxLayout(self)
        row.setContentsMargins(px(24), 0, 24, 0)
        row.setSpacing(10)
        row.addWidget(Painted(self._draw_mark, size=QSize(px(16), px(16))))
        row.addWidget(self.words, 1)
        row.addWidget(self.read)
        row.addWidget(self.other)
        self.setMinimumHeight(px(40))
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.hide()
        theme.changed.connect(self.update)

    def warn(self, said: str) -> None:
        """Show a warning until it was read; none changes nothing."""
        if said:
            self.say(said, stays=False)

    def say(self, said: str, *, stays: bool = True) -> None:
        """Show a sentence; none hides the banner."""
        self.words.say(said)
        self.read.setVisible(not stays)
        self.setAccessibleName(said)
        self.setVisible(bool(said))

    def let(self, title: str, deed: Callable[[], None]) -> None:
        """Offer beside the sentence what can be done about it."""
        self.other.setText(title)
        self.other.setAccessibleName(title)
        self.other.clicked.connect(deed)
        self.other.show()

    def _draw_mark(self, painter: QPainter, place: QRectF) -> None:
        glyph(painter, "unknown", 0, 0, place.width(), colours().soon.fill)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens = QPainter(self), colours()
        draw.box(painter, QRectF(self.rect()), tokens.soon.soft, None, 0)
        draw.across(painter, 0, self.width(), self.height() - 1, tokens.hair)
        painter.end()
