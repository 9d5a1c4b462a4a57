"""The first window: a new register, one that is there already, or the sample. Four questions at most."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QCloseEvent, QColor, QKeyEvent, QPainter, QPen
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QScrollArea, QStackedWidget, QVBoxLayout, QWidget

from register.services.rulebooks import rulebook, rulebook_ids
from register.services.settings import STATES
from ui.asking.fields import Field
from ui.frame import NAME, SMALLEST
from ui.look.glyphs import glyph
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import FocusRing, Painted, PickBox, Sheet, Words, button


@dataclass(frozen=True, slots=True)
class Answers:
    """What a new register is made with."""

    firm: str
    state: str
    rulebook: str
    copies: str


@dataclass(frozen=True, slots=True)
class Ways:
    """What the first window leads to. `make` gets the answers, `choose_folder` asks where copies go.

    `cancel` stops the sample that is being made.
    """

    make: Callable[[Answers], None]
    open: Callable[[], None]
    server: Callable[[], None]
    sample: Callable[[], None]
    cancel: Callable[[], None]
    choose_folder: Callable[[], Path | None]


class FirstRun(QWidget):
    """The window of a first start. Signal: `left` when it is closed."""

    left = Signal()

    def __init__(self, ways: Ways) -> None:
        super().__init__()
        self._ways = ways
        self.setWindowTitle(NAME)
        self.setMinimumSize(SMALLEST)
        self.resize(1180, 760)
        self._stack = QStackedWidget()
        self._stack.addWidget(self._choices())
        self._stack.addWidget(self._questions())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._stack)
        self._ring = FocusRing(self)

    def complain(self, why: str) -> None:
        """Say what could not be done; nothing typed is lost."""
        self._wrong.say(why, "overdue")
        self._told.say(why, "overdue")
        self.cancel.hide()

    def tell(self, said: str) -> None:
        """Say what was done."""
        self._told.say(said, "ink2")
        self.cancel.hide()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let Esc cancel what is made."""
        if event.key() == Qt.Key.Key_Escape and self.cancel.isVisible():
            self._ways.cancel()
        else:
            super().keyPressEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.left.emit()
        super().closeEvent(event)

    def _choices(self) -> QWidget:
        page, column = QWidget(), QVBoxLayout()
        column.setSpacing(0)
        mark = Painted(_horizon)
        mark.setFixedHeight(px(150))
        self._told = Words("", 13, 500, "overdue", wrap=True)
        column.addStretch(2)
        column.addWidget(mark)
        column.addSpacing(8)
        said = Words("Which switch, which lead, where, and by when.", 24, 600)
        said.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        column.addWidget(said)
        column.addSpacing(8)
        more = Words(
            "A register of safety switches and appliances, what must be retested when, and why.", 13, 400, "ink2"
        )
        more.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        column.addWidget(more)
        column.addSpacing(28)
        column.addLayout(self._cards())
        column.addSpacing(8)
        column.addWidget(_to_a_server(self._ways.server), 0, Qt.AlignmentFlag.AlignHCenter)
        column.addSpacing(8)
        self._told.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        column.addWidget(self._told)
        column.addSpacing(8)
        self.cancel = _cancel(self._ways.cancel)
        column.addWidget(self.cancel, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(3)
        page.setLayout(column)
        return page

    def _cards(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(16)
        row.addStretch(1)
        for title, about, verb, kind, way in (
            ("Start a new register", "Four questions, then your spreadsheets.", "New register", "primary", self._ask),
            ("Open a register", "One that is on this computer or on a stick.", "Open…", "", self._ways.open),
            ("Look around first", "Sixteen invented sites, in a file of their own.", "Open the sample", "",
             self._ways.sample),
        ):  # fmt: skip
            row.addWidget(_way(title, about, verb, kind, way), 6)
        row.addStretch(1)
        return row

    def _questions(self) -> QWidget:
        page, outer, sheet = QWidget(), QHBoxLayout(), Sheet(radius=12)
        self._firm, self._state, self._rules, self._copies = QLineEdit(), PickBox(), PickBox(), QLineEdit()
        for key, name in STATES:
            self._state.addItem(name, key)
        for key in rulebook_ids():
            self._rules.addItem(rulebook(key).title, key)
        self._firm_field = Field("Your firm", self._firm, "Stands on every workbook and notice.")
        copies = self._copies_row()
        self._wrong = Words("", 13, 500, "overdue", wrap=True)
        column = QVBoxLayout(sheet)
        column.setContentsMargins(32, 28, 32, 24)
        column.setSpacing(18)
        column.addWidget(Words("A new register", 20, 600))
        column.addWidget(self._firm_field)
        column.addWidget(Field("State or territory", self._state, "For public holidays in later plans."))
        column.addWidget(Field("Rulebook of new sites", self._rules, "Each site can have another."))
        column.addWidget(Field("Where copies go", copies, "Best on another disk. You can leave it empty for now."))
        self._copies.setAccessibleName("Where copies go")
        column.addWidget(self._wrong)
        buttons, back, make = QHBoxLayout(), button("Back"), button("Make the register…", "primary")
        back.clicked.connect(partial(self._stack.setCurrentIndex, 0))
        make.clicked.connect(self._make)
        buttons.addWidget(Words("All of it can be changed later, in Firm.", 12, 400, "ink3"), 1)
        buttons.addWidget(back)
        buttons.addWidget(make)
        column.addLayout(buttons)
        sheet.setFixedWidth(px(560))
        outer.addStretch(1)
        outer.addWidget(sheet, 0, Qt.AlignmentFlag.AlignVCenter)
        outer.addStretch(1)
        page.setLayout(outer)
        area = QScrollArea()
        area.setObjectName("questions")
        area.setStyleSheet("#questions, #questions > QWidget > QWidget { background: transparent; }")
        area.setWidgetResizable(True)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setWidget(page)
        return area

    def _copies_row(self) -> QWidget:
        """Return the field for the folder of copies with the button that chooses one."""
        folder = button("Choose…", name="Choose the folder for copies")
        folder.clicked.connect(self._choose_folder)
        row = QWidget()
        within = QHBoxLayout(row)
        within.setContentsMargins(0, 0, 0, 0)
        within.addWidget(self._copies, 1)
        within.addWidget(folder)
        return row

    def _ask(self) -> None:
        self.complain("")
        self._stack.setCurrentIndex(1)
        self._firm.setFocus()

    def _choose_folder(self) -> None:
        folder = self._ways.choose_folder()
        if folder is not None:
            self._copies.setText(str(folder))

    def _make(self) -> None:
        firm = self._firm.text().strip()
        self._firm_field.complain("" if firm else "Give the name of your firm.")
        if not firm:
            self._firm.setFocus()
            return
        self._ways.make(
            Answers(firm, self._state.currentData(), self._rules.currentData(), self._copies.text().strip())
        )


def _to_a_server(way: Callable[[], None]) -> QPushButton:
    made = button("Open one on a team's server…", "quiet")
    made.clicked.connect(way)
    return made


def _cancel(way: Callable[[], None]) -> QPushButton:
    made = button("Cancel   Esc", "quiet", name="Cancel what is made")
    made.clicked.connect(way)
    made.hide()
    return made


def _way(title: str, about: str, verb: str, kind: str, way: Callable[[], None]) -> QWidget:
    sheet = Sheet()
    sheet.setMaximumWidth(px(280))
    sheet.setMinimumHeight(px(178))
    column = QVBoxLayout(sheet)
    column.setContentsMargins(20, 20, 20, 20)
    column.setSpacing(8)
    column.addWidget(Words(title, 15, 600))
    column.addWidget(Words(about, 13, 400, "ink2", wrap=True))
    column.addStretch(1)
    made = button(verb, kind)
    made.clicked.connect(way)
    column.addWidget(made)
    return sheet


def _horizon(painter: QPainter, place: QRectF) -> None:
    """Draw the mark of the program, large: the sun on the horizon."""
    tokens, size = colours(), px(84)
    level = place.center().y() - size / 2 + size * 12.9 / 16
    painter.setPen(QPen(QColor(tokens.rule), 2))
    for left, right in ((-260, -58), (58, 260)):
        painter.drawLine(int(place.center().x() + left), int(level), int(place.center().x() + right), int(level))
    glyph(painter, "sun", place.center().x() - size / 2, place.center().y() - size / 2, size, tokens.accent)
