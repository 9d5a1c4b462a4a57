"""The empty bench: what to do, drawn large, or what was saved last and what can be done about it."""

from collections.abc import Callable

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from ui.actions import Deeds, action
from ui.bench.became import GLYPHS, TONES, Became
from ui.look.glyphs import glyph
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Painted, Sheet, Words, button

_SAY = "Scan a tag, or type its number and press Enter."


class NothingHere(Sheet):
    """What stands in the middle while no item does. A click on its buttons leaves the cursor in the scan box."""

    def __init__(self, act: Callable[[], None], deeds: Deeds) -> None:
        super().__init__()
        self.became: Became | None = None
        self._to_register = button("Choose an item from the register", "", name="Go to Register")
        self._to_register.clicked.connect(act)
        self._title, self._said = Words("", 24, 600), Words("", 15, 400, "ink2", wrap=True)
        self._title.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self._said.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self._mark = Painted(self._draw, size=QSize(px(96), px(96)))
        self._deeds = QWidget()
        row = QHBoxLayout(self._deeds)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(px(8))
        row.addStretch(1)
        for said, key in (
            ("Print its tag", "item.tag"), ("Give a new tag", "item.new-tag"), ("Correct it", "bench.correct"),
            ("Undo", "undo"),
        ):  # fmt: skip
            row.addWidget(_doing(deeds, said, key))
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(px(24), 0, px(24), 0)
        column.setSpacing(px(10))
        column.addStretch(1)
        column.addWidget(self._mark, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addSpacing(px(12))
        column.addWidget(self._title)
        column.addWidget(self._said)
        column.addSpacing(px(12))
        column.addWidget(self._deeds)
        column.addWidget(self._to_register, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(2)
        self.say_nothing()

    def say_nothing(self) -> None:
        """Say that nothing is here."""
        self.became = None
        self._show("Nothing is on the bench", _SAY)

    def say_last(self, tag: str, became: Became, said: str) -> None:
        """Say what became of the item that was here last."""
        self.became = became
        self._show(f"{tag}: {became.value}", f"{said} Scan the next tag.".strip())

    def _show(self, title: str, said: str) -> None:
        self._title.say(title)
        self._said.say(said)
        counts = self.became not in {None, Became.UNDONE}
        self._deeds.setVisible(counts)
        self._to_register.setVisible(not counts)
        self._mark.update()

    def _draw(self, painter: QPainter, place: QRectF) -> None:
        tokens = colours()
        if self.became is None:
            glyph(painter, "scan", 0, 0, place.width(), tokens.rule)
            return
        tone = getattr(tokens, TONES.get(self.became, "unknown"))
        glyph(painter, GLYPHS[self.became], 0, 0, place.width(), tone.fill)


def _doing(deeds: Deeds, said: str, key: str) -> QPushButton:
    keys = action(key).key
    made = button(f"{said}   {keys.replace('+', ' ')}", name=said)
    made.setFocusPolicy(Qt.FocusPolicy.TabFocus)
    made.clicked.connect(lambda: deeds.do(key))
    return made
