"""A glyph, what is so in one line, and what there is to say about it below."""

from typing import Final

from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from ui.look.glyphs import glyph
from ui.look.theme import Tone, colours, theme
from ui.look.typeface import px
from ui.look.widgets import Words

TONES: Final = {"tick": "service", "cross": "overdue", "gap": "soon", "unknown": "unknown"}


class VerdictLine(QWidget):
    """What is so: well (`tick`), wrong (`cross`), wanting (`gap`), or not known."""

    def __init__(self) -> None:
        super().__init__()
        self._mark = "unknown"
        self.said = Words("", 13, 600, "unknown", wrap=True)
        self.more = Words("", 12, 400, "ink2", wrap=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(px(26), 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self.said)
        column.addWidget(self.more)
        theme.changed.connect(self.update)

    def say(self, mark: str, said: str, more: str) -> None:
        """Say something else."""
        self._mark = mark
        self.said.say(said, TONES[mark])
        self.more.say(more)
        self.setAccessibleName(said)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tone = QPainter(self), getattr(colours(), TONES[self._mark])
        assert isinstance(tone, Tone)
        glyph(painter, self._mark, 0, 2, px(16), tone.fill)
        painter.end()
