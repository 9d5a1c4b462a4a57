"""An unknown tag becomes an item: what it is and a description, at the place where one works."""

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from register.domain.words import Kind, spoken
from ui.asking.fields import Field, Picked
from ui.look.glyphs import glyph
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Painted, Sheet, TagLabel, Words, button

LONGEST = 200


@dataclass(frozen=True, slots=True)
class Newcomer:
    """What was said of an unknown tag."""

    code: str
    kind: Kind
    description: str


class NewcomerSheet(Sheet):
    """Asks two things of an unknown tag. `entered` gives the answer, `dropped` the code that is to be no item.

    Alt+A enters it; Enter leads on and answers nothing. The kind stays chosen for the next one.
    """

    entered = Signal(object)
    dropped = Signal(str)
    left = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.code = ""
        self._tag = TagLabel(height=32, size=17)
        self._place = Words("", 13, 400, "ink2", wrap=True)
        self.kind = Picked([(kind, f"{spoken(kind)[:1].upper()}{spoken(kind)[1:]}") for kind in Kind])
        self.kind.choose(Kind.EXTENSION_LEAD)
        self.description = QLineEdit()
        self.description.setMaxLength(LONGEST)
        self._wrong = Words("", 13, 500, "overdue", wrap=True)
        self._wrong.hide()
        self._enter = button("Enter it and test it   Alt A", "primary", name="Enter it and test it")
        self._enter.setShortcut("Alt+A")
        self._enter.clicked.connect(self._tell)
        self.description.returnPressed.connect(self._enter.setFocus)
        self._drop = button("It is no item, let it go   Alt D", name="It is no item, let it go")
        self._drop.setShortcut("Alt+D")
        self._drop.clicked.connect(lambda: self.dropped.emit(self.code))
        self._later = button("Leave it for later   Esc", name="Leave it for later")
        self._later.clicked.connect(self.left)
        self._lay_out()

    def _lay_out(self) -> None:
        head, fields, keys = QHBoxLayout(), QHBoxLayout(), QHBoxLayout()
        size = px(26)
        head.setSpacing(px(14))
        head.addWidget(Painted(_mark, size=QSize(size, size)))
        head.addWidget(self._tag)
        head.addWidget(Words("is unknown here: a new item?", 20, 600, elide=True), 1)
        fields.setSpacing(px(16))
        fields.addWidget(Field("What it is", self.kind, "Type its first letters."), 2, Qt.AlignmentFlag.AlignTop)
        said = Field("Description", self.description, "Such as “Lead of 20 m”; left empty, what it is stands there.")
        fields.addWidget(said, 3, Qt.AlignmentFlag.AlignTop)
        keys.setSpacing(px(8))
        for each in (self._enter, self._later, self._drop):
            keys.addWidget(each)
        keys.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(px(24), px(20), px(24), px(20))
        column.setSpacing(px(16))
        column.addLayout(head)
        column.addWidget(self._place)
        column.addLayout(fields)
        column.addWidget(self._wrong)
        column.addLayout(keys)
        column.addStretch(1)

    def ask(self, code: str, place: str) -> None:
        """Ask about a code. `place` says where the item will be; empty where nobody said yet where one works."""
        if code != self.code:
            self.description.clear()
        self.code = code
        self._tag.show_number(code)
        self.complain("")
        at = f"It will be entered at {place}." if place else "Say first where you work (F6): an item has a place."
        self._place.say(f"{at} Its code is kept with those set aside until then; scanning on loses nothing.")

    def complain(self, why: str) -> None:
        """Say what keeps it from being entered; what was typed stays."""
        self._wrong.say(why)
        self._wrong.setVisible(bool(why))

    def begin(self) -> None:
        """Put the cursor into the first field."""
        self.kind.setFocus()

    def _tell(self) -> None:
        kind = self.kind.chosen
        assert isinstance(kind, Kind)
        self.entered.emit(Newcomer(self.code, kind, self.description.text()))

    def widgets(self) -> Iterator[QWidget]:
        """Yield what takes the cursor, in reading order."""
        yield from (self.kind, self.description, self._enter, self._later, self._drop)


def _mark(painter: QPainter, place: object) -> None:  # noqa: ARG001 - the glyph has one place
    glyph(painter, "unknown", 0, 0, px(26), colours().unknown.fill)
