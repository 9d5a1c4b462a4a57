"""What is chosen on the horizon: how much work it is, what falls due and why, and the ways on from there."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from register.domain.words import counted
from register.planning.workload import time_words
from register.services.horizon import DueThen, SiteWork
from register.services.questions import DueDuty
from ui.asking.dialog import Block
from ui.dates import shown
from ui.horizon.due_rows import INSET, DueView, why_words
from ui.horizon.model import Choice, days_words, minutes_words, overdue_words, span_words, work_words
from ui.horizon.title import Fitting
from ui.look import draw
from ui.look.theme import colours
from ui.look.typeface import px
from ui.look.widgets import Painted, Sheet, Words, button

WIDE: Final = 312
EDGE: Final = 20
LIST_HINT: Final = "Ctrl+L"


@dataclass(frozen=True, slots=True)
class Found:
    """What the register says of a choice: what falls due then, and the duty there that is overdue the longest."""

    then: DueThen
    oldest: DueDuty | None


class Figure(QWidget):
    """A large figure and what it counts."""

    def __init__(self, caption: str) -> None:
        super().__init__()
        self._caption = caption
        self._number, self._said = Words("", 28, 500), Words(caption, 12, 400, "ink3")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._number)
        column.addWidget(self._said)

    def say(self, number: str, caption: str | None = None) -> None:
        """Show another figure."""
        self._number.say(number)
        self._said.say(caption or self._caption)


class Panel(Sheet):
    """The sheet at the right. Signals: one for each of its buttons, and `item_wanted` with an item's id."""

    list_wanted = Signal()
    register_wanted = Signal()
    owner_wanted = Signal()
    item_wanted = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("What is chosen")
        self.setFixedWidth(px(WIDE))
        self._when = Words("", 12, 500, "accent")
        self._name = Words("", 20, 600, wrap=True)
        self._where = Words("", 12, 400, "ink2", wrap=True)
        self._duties, self._items, self._work = Figure("duties"), Figure("items"), Figure("of work")
        self._head = Words("Falls due then", 13, 600)
        self._count = Words("", 12, 400, "ink3")
        self.list = DueView()
        self._nothing = Words("", 13, 400, "ink2", wrap=True)
        self._stack = QStackedWidget()
        self._overdue = Block("sunk", lambda: colours().overdue, "overdue")
        self._never = Block("broken-ring", lambda: colours().unknown, "unknown")
        self.list_button = button("List what falls due…", "primary", hint=LIST_HINT)
        self.register_button = button("Show in the register", hint="Enter, in the grid")
        self.owner_button = button("Write the owner workbook…", hint="Ctrl+E")
        self._lay_out()
        self.list.opened.connect(self.item_wanted)
        self.list_button.clicked.connect(self._ask_list)
        self.register_button.clicked.connect(self._ask_register)
        self.owner_button.clicked.connect(self._ask_owner)

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(EDGE - INSET, 18, EDGE - INSET, 20)
        column.setSpacing(0)
        for widget, gap in ((self._when, 4), (self._name, 4), (self._where, 14)):
            column.addLayout(_inset(widget))
            column.addSpacing(gap)
        column.addLayout(_inset(self._duties, self._items, self._work, gap=px(24)))
        column.addSpacing(14)
        column.addLayout(_inset(_hairline()))
        column.addSpacing(10)
        column.addLayout(_inset(self._head, None, self._count))
        column.addSpacing(4)
        self.list.setFrameShape(QFrame.Shape.NoFrame)
        nothing = QWidget()
        QVBoxLayout(nothing).addWidget(self._nothing, 0, Qt.AlignmentFlag.AlignTop)
        nothing.setContentsMargins(0, 0, 0, 0)
        for each in (self.list, nothing):
            self._stack.addWidget(each)
        column.addWidget(self._stack, 1)
        for block in (self._overdue, self._never):
            column.addSpacing(10)
            column.addLayout(_inset(block))
        column.addSpacing(16)
        column.addLayout(_inset(self.list_button))
        for each in (self.register_button, self.owner_button):
            column.addSpacing(8)
            column.addLayout(_inset(each))

    def show_choice(self, choice: Choice, today: date) -> None:
        """Show at once what the horizon itself knows of a choice; the rest follows by `show_found`."""
        row = choice.row
        work = row.weeks[choice.week] if choice.week is not None else row.ahead
        self._when.say(_when_words(choice))
        self._name.say(row.name)
        self._where.say(row.address or row.environment)
        self._where.setVisible(bool(row.address or row.environment))
        duties = row.overdue if choice.overdue else work.duties
        self._duties.say(f"{duties:,}", "duty" if duties == 1 else "duties")
        self._items.say("…")
        self._work.say("…" if choice.overdue else minutes_words(choice))
        self._head.say("The oldest first" if choice.overdue else "Falls due")
        never = row.never_done > 0
        self._never.setVisible(never)
        if never:
            self._never.say(
                f"{work_words(row.never_done)} never done", "The items must not be used until they are tested."
            )
        self._overdue.setVisible(not choice.overdue and row.overdue > 0)
        if row.overdue and row.oldest is not None:
            self._overdue.say(_overdue_words(row, today))

    def show_found(self, choice: Choice, found: Found, today: date) -> None:
        """Show what the register answered."""
        then, rows = found.then, found.then.rows
        self._items.say(f"{then.items:,}", "item" if then.items == 1 else "items")
        self._work.say(time_words(then.work.minutes))
        every = then.work.duties + (choice.row.never_done if choice.overdue else 0)
        self._count.say(f"first {len(rows):,} of {every:,}" if len(rows) < every else f"{every:,}")
        self._count.setVisible(bool(rows))
        self._stack.setCurrentIndex(0 if rows else 1)
        self.list.due.show_rows(rows, with_site=choice.site is None)
        self.list.scrollToTop()
        self._nothing.say(_nothing_words(choice))
        self.register_button.setVisible(bool(rows))
        oldest = found.oldest
        if oldest is not None and oldest.due is not None and not choice.overdue:
            where = f"{oldest.tag}, {oldest.area}" if choice.site else f"{oldest.tag}, {oldest.site_name}"
            more = f"{where}, was due {shown(oldest.due)}. {why_words(oldest)}"
            self._overdue.say(_overdue_words(choice.row, today), more)

    def _ask_list(self) -> None:
        self.list_wanted.emit()

    def _ask_register(self) -> None:
        self.register_wanted.emit()

    def _ask_owner(self) -> None:
        self.owner_wanted.emit()


class Strip(Sheet):
    """In a small window: one sentence on what is chosen, and the ways on. Signals as those of the panel."""

    list_wanted = Signal()
    register_wanted = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._title = Words("", 13, 600)
        self._said = Fitting()
        self.list_button = button("List what falls due…", "primary", hint=LIST_HINT)
        self.register_button = button("Show in the register", hint="Enter, in the grid")
        self.register_button.setAccessibleName("Show these items in the register")
        row = QHBoxLayout(self)
        row.setContentsMargins(16, 6, 6, 6)
        row.setSpacing(8)
        row.addWidget(self._title)
        row.addSpacing(8)
        row.addWidget(self._said, 1)
        row.addWidget(self.register_button)
        row.addWidget(self.list_button)
        self.list_button.clicked.connect(self._ask_list)
        self.register_button.clicked.connect(self._ask_register)

    def show_choice(self, choice: Choice, today: date, items: int | None = None) -> None:
        """Say what is chosen in one sentence; `items` once the register has counted them."""
        self._title.say(choice.row.name if choice.overdue else choice.where_and_when)
        self._said.offer(_strip_ways(choice, today, items))

    def _ask_list(self) -> None:
        self.list_wanted.emit()

    def _ask_register(self) -> None:
        self.register_wanted.emit()


def _strip_ways(choice: Choice, today: date, items: int | None) -> list[str]:
    """Return how what is chosen may be told in a line, the fullest first."""
    row = choice.row
    work = row.weeks[choice.week] if choice.week is not None else row.ahead
    overdue = overdue_words(row, today)
    if choice.overdue:
        return [overdue]
    if not work.duties:
        return [f"nothing falls due; {overdue}", "nothing falls due"]
    on = f" on {counted(items, 'item')}" if items is not None else ""
    taken = f"{minutes_words(choice)} of work"
    short = f"; {row.overdue:,} overdue" if row.overdue else ""
    return [
        f"{work_words(work.duties)}{on}, {taken}; {overdue}",
        f"{work_words(work.duties)}{on}, {taken}{short}",
        f"{work_words(work.duties)}, {taken}{short}",
        f"{work_words(work.duties)}, {taken}",
    ]


def _when_words(choice: Choice) -> str:
    if choice.overdue:
        return "Overdue"
    return f"{choice.when} · {span_words(choice.first, choice.last)}"


def _overdue_words(row: SiteWork, today: date) -> str:
    return "" if row.oldest is None else f"{row.overdue:,} overdue, the oldest {days_words(row.oldest, today)}"


def _nothing_words(choice: Choice) -> str:
    if choice.overdue:
        return "Nothing is overdue here."
    return f"Nothing falls due here from {span_words(choice.first, choice.last)}."


def _inset(*widgets: QWidget | None, gap: int = 0) -> QHBoxLayout:
    """Return widgets in a row, set in so that they stand above the words of the list; None takes what is left."""
    row = QHBoxLayout()
    row.setContentsMargins(INSET, 0, INSET, 0)
    row.setSpacing(gap)
    for widget in widgets:
        if widget is None:
            row.addStretch(1)
        else:
            row.addWidget(widget)
    if gap:
        row.addStretch(1)
    return row


def _hairline() -> QWidget:
    line = Painted(lambda painter, place: draw.across(painter, 0, place.width(), 0))
    line.setFixedHeight(1)
    return line
