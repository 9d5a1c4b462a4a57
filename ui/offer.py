"""One calm line under the bar that offers something once, whatever page is in front, with what can be done about it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from ui.look import draw
from ui.look.glyphs import glyph
from ui.look.theme import colours, theme
from ui.look.typeface import px
from ui.look.widgets import Painted, Words, button


@dataclass(frozen=True, slots=True)
class Answer:
    """One thing that can be done about what a line says: what the button says, its key, its deed."""

    said: str
    key: str
    deed: Callable[[], None]


def answer_button(answer: Answer) -> QPushButton:
    """Return the button of an answer, with its key; Enter never presses it from elsewhere."""
    made = button(f"{answer.said}   {answer.key.replace('+', ' ')}", name=answer.said)
    made.setShortcut(answer.key)
    made.clicked.connect(answer.deed)
    return made


class Offer(QWidget):
    """The line; hidden where nothing is offered. Its buttons answer to keys with Alt."""

    def __init__(self) -> None:
        super().__init__()
        self._words = Words("", 13, 500, "ink", wrap=True)
        self._buttons: list[QPushButton] = []
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(px(24), px(6), px(24), px(6))
        self._row.setSpacing(px(8))
        self._row.addWidget(Painted(self._mark, size=QSize(px(16), px(16))))
        self._row.addWidget(self._words, 1)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        theme.changed.connect(self.update)
        self.hide()

    @property
    def said(self) -> str:
        """What it offers at present."""
        return self._words.text()

    def say(self, said: str, answers: Sequence[Answer] = ()) -> None:
        """Offer something; nothing hides the line."""
        self._words.say(said)
        self.setAccessibleName(said)
        for old in self._buttons:
            self._row.removeWidget(old)
            old.setShortcut("")
            old.hide()
            old.deleteLater()
        self._buttons = [answer_button(each) for each in answers]
        for made in self._buttons:
            self._row.addWidget(made)
        self.setVisible(bool(said))

    def widgets(self) -> Iterator[QWidget]:
        """Yield the buttons."""
        yield from self._buttons

    def _mark(self, painter: QPainter, place: QRectF) -> None:
        glyph(painter, "again", 0, 0, place.width(), colours().accent)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, tokens = QPainter(self), colours()
        draw.box(painter, QRectF(self.rect()), tokens.accent_soft, None, 0)
        draw.across(painter, 0, self.width(), self.height() - 1, tokens.hair)
        painter.end()
